//! Parse, run, print the error, exit code.

use bubblemargin::cli::{Arguments, run};
use bubblemargin::web::serve;
use clap::Parser;
use std::io::Write;
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    // A panic is a bug of ours; the contract's exit code for it is 1, not the default 101.
    let outcome = std::panic::catch_unwind(|| run(&arguments, serve));
    let failure = match outcome {
        Ok(Ok(code)) => return ExitCode::from(code),
        Ok(Err(failure)) => failure,
        Err(_) => return ExitCode::from(1),
    };
    // Nothing can be done if standard error is closed.
    let _ = writeln!(std::io::stderr(), "error: {failure}");
    ExitCode::from(failure.exit_code())
}
