//! Puts load on the server of a built binary, on this machine alone: one client, then many at once for a time, each
//! asking again as soon as it has its answer. Prints how many requests, how many errors, and how long they took.
//!
//! ```sh
//! cargo run --release --example serve_load -- target/release/bubblemargin [CLIENTS] [SECONDS]
//! ```
//!
//! What is measured is the time from the first byte sent to the last received, over a connection that is kept. Beside
//! the server, the clients take processor time on the same machine.

#![allow(clippy::print_stdout, reason = "what it prints is what it is for")]

use std::error::Error;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

type Outcome<T> = Result<T, Box<dyn Error + Send + Sync>>;

const QUESTION: &str = "load=1.2&for=90min&preload=0.65&ambient=27";
/// Requests of the client that is alone, for each path.
const ALONE: usize = 200;
const MOST_CLIENTS: usize = 400;
const MOST_SECONDS: u64 = 60;
/// A request that takes longer is an error.
const PATIENCE: Duration = Duration::from_secs(30);

/// A server that ends with this.
struct Server(Child, SocketAddr);

impl Server {
    fn started(binary: &str) -> Outcome<Self> {
        let mut child = Command::new(binary)
            .args(["serve", "demo-data/units", "--listen", "127.0.0.1:0", "--as-of", "2026-10-20"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()?;
        let mut first = String::new();
        BufReader::new(child.stdout.take().ok_or("no output")?).read_line(&mut first)?;
        let address = first.trim().trim_start_matches("http://").trim_end_matches('/').parse()?;
        Ok(Self(child, address))
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// A client over one kept connection.
struct Client(BufReader<TcpStream>, SocketAddr);

impl Client {
    fn connected(address: SocketAddr) -> Outcome<Self> {
        let stream = TcpStream::connect(address)?;
        stream.set_read_timeout(Some(PATIENCE))?;
        stream.set_nodelay(true)?;
        Ok(Self(BufReader::new(stream), address))
    }

    /// Asks and reads the whole reply, which must be an answer.
    fn asked(&mut self, path: &str) -> Outcome<Duration> {
        let began = Instant::now();
        let request = format!("GET {path} HTTP/1.1\r\nHost: {}\r\n\r\n", self.1);
        self.0.get_mut().write_all(request.as_bytes())?;
        let mut line = String::new();
        self.0.read_line(&mut line)?;
        if !line.starts_with("HTTP/1.1 200") {
            return Err(line.into());
        }
        let mut length = 0;
        loop {
            line.clear();
            self.0.read_line(&mut line)?;
            if line.trim().is_empty() {
                break;
            }
            if let Some(value) = line.to_ascii_lowercase().strip_prefix("content-length:") {
                length = value.trim().parse()?;
            }
        }
        let mut body = vec![0; length];
        self.0.read_exact(&mut body)?;
        Ok(began.elapsed())
    }
}

fn point(sorted: &[Duration], share: f64) -> f64 {
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a share of a count is a count"
    )]
    #[allow(clippy::cast_precision_loss, reason = "some thousands")]
    let index = (sorted.len() as f64 * share) as usize;
    sorted.get(index.min(sorted.len().saturating_sub(1))).map_or(0.0, |own| own.as_secs_f64() * 1e3)
}

fn report(what: &str, mut took: Vec<Duration>, errors: usize) {
    took.sort_unstable();
    let [p50, p95, p99, all] = [0.5, 0.95, 0.99, 1.0].map(|share| point(&took, share));
    let count = took.len();
    println!(
        "{what}: {count} answers, {errors} errors, p50 {p50:.1} ms, p95 {p95:.1} ms, p99 {p99:.1} ms, longest {all:.1} ms"
    );
}

fn alone(address: SocketAddr, path: &str) -> Outcome<()> {
    let mut client = Client::connected(address)?;
    let took = (0..ALONE).map(|_| client.asked(path)).collect::<Outcome<Vec<_>>>()?;
    report(&format!("one client, {path}"), took, 0);
    Ok(())
}

/// Asks until the time is over; an error is counted and the client connects anew.
fn busy(address: SocketAddr, path: &str, until: Instant) -> (Vec<Duration>, usize) {
    let (mut took, mut errors) = (Vec::new(), 0);
    let mut client = Client::connected(address);
    while Instant::now() < until {
        let asked = client.as_mut().ok().and_then(|client| client.asked(path).ok());
        if let Some(time) = asked {
            took.push(time);
        } else {
            errors += 1;
            client = Client::connected(address);
            thread::sleep(Duration::from_millis(10));
        }
    }
    (took, errors)
}

fn together(address: SocketAddr, path: &str, clients: usize, seconds: u64) {
    let until = Instant::now() + Duration::from_secs(seconds);
    let (mut took, mut errors) = (Vec::new(), 0);
    thread::scope(|threads| {
        let all: Vec<_> =
            (0..clients).map(|_| threads.spawn(move || busy(address, path, until))).collect();
        for client in all {
            if let Ok((own, own_errors)) = client.join() {
                took.extend(own);
                errors += own_errors;
            }
        }
    });
    report(&format!("{clients} clients for {seconds} s, {path}"), took, errors);
}

fn main() -> Outcome<()> {
    let mut arguments = std::env::args().skip(1);
    let binary = arguments.next().ok_or("usage: serve_load BINARY [CLIENTS] [SECONDS]")?;
    let clients: usize = arguments.next().map_or(Ok(200), |text| text.parse())?;
    let seconds: u64 = arguments.next().map_or(Ok(20), |text| text.parse())?;
    let server = Server::started(&binary)?;
    let page = format!("/unit/fellmoor-t2?{QUESTION}");
    for path in [&page, &format!("/api/check?unit=fellmoor-t2&{QUESTION}"), "/page.css"] {
        alone(server.1, path)?;
    }
    together(server.1, &page, clients.min(MOST_CLIENTS), seconds.min(MOST_SECONDS));
    Ok(())
}
