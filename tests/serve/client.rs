//! A client that sends what it is told to, byte by byte, and takes whatever comes.

use crate::server::Server;
use std::io::{ErrorKind, Read, Write};
use std::net::TcpStream;
use std::time::Duration;

/// Longer than anything that the server allows itself, so that a test never hangs.
const PATIENCE: Duration = Duration::from_secs(90);

/// A reply.
#[derive(Debug, Clone, Default)]
pub(crate) struct Reply {
    /// 0 where the connection was closed without one.
    pub(crate) status: u16,
    pub(crate) headers: Vec<(String, String)>,
    pub(crate) body: String,
}

impl Reply {
    /// The first reply in these bytes.
    pub(crate) fn of(bytes: &[u8]) -> Self {
        let text = String::from_utf8_lossy(bytes);
        let Some((head, body)) = text.split_once("\r\n\r\n") else {
            assert!(text.is_empty(), "no reply is cut short: {text}");
            return Self::default();
        };
        let mut lines = head.lines();
        let status = lines.next().unwrap().split(' ').nth(1).unwrap().parse().unwrap();
        let headers = lines
            .filter_map(|line| line.split_once(": "))
            .map(|(name, value)| (name.to_ascii_lowercase(), value.to_owned()))
            .collect();
        Self { status, headers, body: body.to_owned() }
    }

    /// A header that stands once.
    pub(crate) fn header(&self, name: &str) -> Option<&str> {
        let mut all = self.headers.iter().filter(|(own, _)| own == name);
        let one = all.next().map(|(_, value)| value.as_str());
        assert!(all.next().is_none(), "{name} stands once");
        one
    }

    /// The body as JSON.
    pub(crate) fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.body).unwrap_or_else(|_| panic!("JSON: {self:?}"))
    }
}

impl Server {
    /// An open connection.
    pub(crate) fn connected(&self) -> TcpStream {
        let stream = TcpStream::connect(("127.0.0.1", self.address.port())).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        stream.set_write_timeout(Some(PATIENCE)).unwrap();
        stream
    }

    /// Its own name.
    pub(crate) fn host(&self) -> String {
        format!("127.0.0.1:{}", self.address.port())
    }

    /// A page or JSON.
    pub(crate) fn get(&self, path: &str) -> Reply {
        self.asked("GET", path, &[], "")
    }

    /// An answer to a question sent as JSON.
    pub(crate) fn post(&self, path: &str, body: &str) -> Reply {
        self.asked("POST", path, &[("Content-Type", "application/json")], body)
    }

    /// A request with headers beside the usual ones.
    pub(crate) fn asked(
        &self,
        method: &str,
        path: &str,
        headers: &[(&str, &str)],
        body: &str,
    ) -> Reply {
        let mut head = format!("{method} {path} HTTP/1.1\r\nHost: {}\r\n", self.host());
        for (name, value) in headers {
            head.push_str(&format!("{name}: {value}\r\n"));
        }
        if !body.is_empty() {
            head.push_str(&format!("Content-Length: {}\r\n", body.len()));
        }
        self.sent(format!("{head}Connection: close\r\n\r\n{body}").as_bytes())
    }

    /// The reply to these bytes, whatever they are.
    pub(crate) fn sent(&self, bytes: &[u8]) -> Reply {
        let mut stream = self.connected();
        // A refusal may come before all is sent.
        let _ = stream.write_all(bytes);
        Reply::of(&read(&mut stream))
    }
}

/// All that comes until the other side closes, by whatever means.
pub(crate) fn read(stream: &mut TcpStream) -> Vec<u8> {
    let mut all = Vec::new();
    let mut piece = [0; 1 << 14];
    loop {
        match stream.read(&mut piece) {
            Ok(0) => return all,
            Ok(length) => all.extend_from_slice(&piece[..length]),
            Err(error) if error.kind() == ErrorKind::ConnectionReset => return all,
            Err(error) => panic!("the server neither answers nor closes: {error}"),
        }
    }
}

/// Text as a part of a query.
pub(crate) fn encoded(text: &str) -> String {
    form_urlencoded::byte_serialize(text.as_bytes()).collect()
}
