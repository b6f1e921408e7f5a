//! The operator's page and the interface for programs, on this machine.
//!
//! Every question is asked as on the command line: a query becomes flags of the same parser, so that what is
//! accepted, what is answered and the hash of the inputs are the same. Pages are whole without a script.
//!
//! | part | what it does |
//! |---|---|
//! | `listen` | accepts connections, with limits, and stops in order |
//! | `guard` | what is refused before anything is looked at: foreign hosts, foreign origins, no token, too much, too slow |
//! | `app` | the folder of units, the catalogue, the files that the server was started with |
//! | `ask` | from names and values to a question, and why it was refused |
//! | `api` | JSON for programs, and its description |
//! | `desk`, `pages` | what people look at |

mod api;
mod app;
mod ask;
mod desk;
mod frame;
mod guard;
mod listen;
mod once;
mod openapi;
mod pages;
mod pairs;
mod reply;
mod routes;

use crate::cli::Failure;
use crate::cli::serve::ServeArguments;
use crate::unit::defaults::Catalogue;
use app::App;
use guard::hosts::Hosts;
use guard::token::Token;
use std::path::Path;
use std::sync::Arc;

/// Serves until it is told to stop.
///
/// # Errors
/// [`Failure::Input`] if a file or an address is refused, [`Failure::Internal`] if the machine gives no socket.
pub fn serve(
    arguments: &ServeArguments,
    catalogue: Catalogue,
    profiles: Option<&Path>,
) -> Result<u8, Failure> {
    let token = Token::of(arguments)?;
    let app = App::of(arguments, catalogue, profiles)?;
    let internal = |error: std::io::Error| Failure::Internal(error.to_string());
    let runtime =
        tokio::runtime::Builder::new_multi_thread().enable_all().build().map_err(internal)?;
    runtime.block_on(async {
        let (listener, address) = listen::bound(arguments.listen).await?;
        let hosts = Hosts::of(address, &arguments.host);
        listen::announce(address, token.is_some())?;
        listen::until_stopped(listener, routes::router(Arc::new(app), hosts, token)).await;
        Ok::<(), Failure>(())
    })?;
    // A question that is still being computed has nobody left to be told.
    runtime.shutdown_background();
    Ok(0)
}
