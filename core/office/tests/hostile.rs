//! What whoever can reach the office's port may try: the right status, nothing stored where it should not
//! be, and a server that goes on.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that cannot go on stops"
)]

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::sync::Arc;
use std::time::Duration;

use ed25519_dalek::SigningKey;
use tokio::sync::oneshot;
use wythe_app::job::{BusinessId, Chain, DeviceId, OfficeEpoch, digest_of};
use wythe_app::sync::wire::{Code, Enrol, Exchange, Piece, Reply, Request};
use wythe_app::sync::{Cursor, InviteCode, Token, TokenHash};
use wythe_office::{Bounds, Invited, MAX_BODY_BYTES, Place, serve};

/// A server on a port of its own, until it is dropped.
struct Server {
    address: SocketAddr,
    place: Arc<Place>,
    folder: tempfile::TempDir,
    stop: Option<oneshot::Sender<()>>,
    thread: Option<std::thread::JoinHandle<()>>,
}

impl Server {
    fn start() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let place = Arc::new(Place::open(folder.path()).unwrap());
        let (stop, stopped) = oneshot::channel();
        let (say, said) = std::sync::mpsc::channel();
        let served = Arc::clone(&place);
        let bounds = Bounds {
            head: Duration::from_millis(400),
            body: Duration::from_millis(400),
            stop: Duration::from_millis(400),
            connections: 50,
        };
        let thread = std::thread::spawn(move || {
            let runtime = tokio::runtime::Builder::new_multi_thread()
                .worker_threads(2)
                .enable_all()
                .build()
                .unwrap();
            runtime.block_on(async {
                let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
                say.send(listener.local_addr().unwrap()).unwrap();
                let stopped = async {
                    let _ = stopped.await;
                };
                serve(served, listener, bounds, stopped).await.unwrap();
            });
        });
        Self {
            address: said.recv().unwrap(),
            place,
            folder,
            stop: Some(stop),
            thread: Some(thread),
        }
    }

    fn business(&self, name: &str) -> BusinessId {
        self.place.open_business(name).unwrap().business()
    }

    fn invite(&self, business: BusinessId) -> InviteCode {
        let invited = Invited {
            name: "Ada Testperson".into(),
            role: "installer".into(),
        };
        self.place.invite(business, &invited).unwrap()
    }

    /// Sends bytes as they are, and gives the status and body of what comes back.
    fn raw(&self, bytes: &[u8]) -> (u16, Vec<u8>) {
        let mut stream = TcpStream::connect(self.address).unwrap();
        // Whoever is refused early may be cut off while writing.
        let _cut = stream.write_all(bytes);
        answer(&mut stream)
    }

    fn post(&self, token: Option<&str>, body: &[u8]) -> (u16, Reply) {
        let token = token.map(|token| format!("authorization: {token}\r\n"));
        let head = format!(
            "POST /exchange HTTP/1.1\r\nhost: office\r\nconnection: close\r\n{}content-length: {}\r\n\r\n",
            token.unwrap_or_default(),
            body.len()
        );
        let (status, body) = self.raw(&[head.as_bytes(), body].concat());
        (status, Reply::decode(&body).unwrap().0)
    }

    fn ask(&self, token: &Token, request: &Request) -> (u16, Reply) {
        self.post(Some(&format!("Bearer {}", token.to_text())), &request.encode())
    }

    fn is_alive(&self) {
        let (status, body) = self.raw(b"GET /health HTTP/1.1\r\nhost: office\r\nconnection: close\r\n\r\n");
        assert_eq!((status, body.as_slice()), (200, b"ok\n".as_slice()));
    }

    /// A phone that was taken in.
    fn phone(&self, business: BusinessId, number: u8) -> Phone {
        let key = SigningKey::from_bytes(&[number; 32]);
        let token = Token {
            business,
            secret: [number; 32],
        };
        let device = DeviceId([number; 16]);
        let enrol = Enrol::sign(
            self.invite(business),
            device,
            &key,
            TokenHash::of(&token.secret),
            "phone",
        );
        let (status, reply) = self.post(None, &Request::Enrol(enrol).encode());
        assert!(matches!((status, reply), (200, Reply::Enrolled(_))));
        Phone {
            token,
            chain: Chain { device, epoch: 1 },
        }
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _gone = self.stop.take().map(|stop| stop.send(()));
        self.thread.take().unwrap().join().unwrap();
    }
}

fn answer(stream: &mut TcpStream) -> (u16, Vec<u8>) {
    stream.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
    let mut bytes = Vec::new();
    let _cut = stream.read_to_end(&mut bytes);
    let Some(end) = bytes.windows(4).position(|four| four == b"\r\n\r\n") else {
        return (0, bytes);
    };
    let head = String::from_utf8_lossy(&bytes[..end]).into_owned();
    let status = head.split(' ').nth(1).unwrap().parse().unwrap();
    (status, bytes[end + 4..].to_vec())
}

struct Phone {
    token: Token,
    chain: Chain,
}

impl Phone {
    fn exchange(&self) -> Exchange {
        Exchange {
            business: self.token.business,
            chain: self.chain,
            office: OfficeEpoch([0; 16]),
            cursor: Cursor::default(),
            room: 100_000,
            facts: Vec::new(),
            held: Vec::new(),
            originals: Vec::new(),
            wanted: Vec::new(),
        }
    }
}

fn code(reply: Reply) -> Code {
    match reply {
        Reply::Refused(refused) => refused.code,
        other => panic!("not refused: {other:?}"),
    }
}

#[test]
fn only_the_phones_own_token_opens_its_own_business() {
    let server = Server::start();
    let (ours, theirs) = (
        server.business("Ninefold Hearth"),
        server.business("Other Hearth"),
    );
    let (mine, other) = (server.phone(ours, 1), server.phone(theirs, 2));
    let request = Request::Exchange(mine.exchange());
    let (status, reply) = server.ask(&mine.token, &request);
    assert!(matches!((status, reply), (200, Reply::Exchanged(_))));

    let bytes = request.encode();
    for nonsense in ["Bearer", "Bearer x.y", "Basic YWRhOmFkYQ==", "Bearer ../../etc"] {
        let (status, reply) = server.post(Some(nonsense), &bytes);
        assert_eq!((status, code(reply)), (401, Code::UnknownToken), "{nonsense}");
    }
    let (status, reply) = server.post(None, &bytes);
    assert_eq!((status, code(reply)), (401, Code::UnknownToken));
    let guessed = Token {
        secret: [9; 32],
        ..mine.token.clone()
    };
    let (status, reply) = server.ask(&guessed, &request);
    assert_eq!((status, code(reply)), (401, Code::UnknownToken));

    // Another business's token, and one's own secret under another business's name.
    let (status, reply) = server.ask(&other.token, &request);
    assert_eq!((status, code(reply)), (403, Code::NotYours));
    let renamed = Token {
        business: theirs,
        ..mine.token.clone()
    };
    let mut at_theirs = mine.exchange();
    at_theirs.business = theirs;
    let (status, reply) = server.ask(&renamed, &Request::Exchange(at_theirs));
    assert_eq!((status, code(reply)), (401, Code::UnknownToken));
    // Another phone's name with one's own token.
    let mut as_another = mine.exchange();
    as_another.chain.device = DeviceId([5; 16]);
    let (status, reply) = server.ask(&mine.token, &Request::Exchange(as_another));
    assert_eq!((status, code(reply)), (403, Code::NotYours));
    server.is_alive();
}

#[test]
fn a_code_lets_in_one_phone_and_a_guessed_one_none() {
    let server = Server::start();
    let business = server.business("Ninefold Hearth");
    let asked = server.invite(business);
    let enrol = |number: u8, code| {
        let key = SigningKey::from_bytes(&[number; 32]);
        let token = TokenHash::of(&[number; 32]);
        Request::Enrol(Enrol::sign(code, DeviceId([number; 16]), &key, token, "phone")).encode()
    };
    for _ in 0..2 {
        let (status, _) = server.post(None, &enrol(1, asked));
        assert_eq!(status, 200, "the same phone may ask again");
    }
    let (status, reply) = server.post(None, &enrol(2, asked));
    assert_eq!((status, code(reply)), (403, Code::BadCode));
    let (status, reply) = server.post(None, &enrol(3, InviteCode([0; 10])));
    assert_eq!((status, code(reply)), (403, Code::BadCode));
    server.is_alive();
}

#[test]
fn what_is_no_request_is_refused_and_stores_nothing() {
    let server = Server::start();
    let business = server.business("Ninefold Hearth");
    let phone = server.phone(business, 1);
    let good = Request::Exchange(phone.exchange()).encode();
    for body in [
        &b""[..],
        b"\xff\xff\xff",
        b"GET / HTTP/1.1\r\n\r\n",
        &good[..good.len() / 2],
    ] {
        let (status, reply) = server.post(None, body);
        assert_eq!((status, code(reply)), (400, Code::Unreadable));
    }
    // An original that no fact names, with the name of one that would lie elsewhere.
    let piece = Piece {
        business,
        digest: digest_of(b"evil"),
        bytes: 4,
        at: 0,
        length: 4,
    };
    let mut bytes = Request::Piece(piece).encode();
    bytes.extend_from_slice(b"evil");
    let (status, reply) = server.post(Some(&format!("Bearer {}", phone.token.to_text())), &bytes);
    assert_eq!(status, 200);
    assert!(matches!(reply, Reply::Held(held) if held.refused == Some(Code::NotNamed)));
    assert!(!server.folder.path().join("originals").exists());
    for (request, status) in [
        ("GET /exchange HTTP/1.1", 405),
        ("POST /health HTTP/1.1", 405),
        ("GET /../../etc/passwd HTTP/1.1", 404),
        ("GET /%2e%2e/office.sqlite HTTP/1.1", 404),
        ("GET /office.sqlite HTTP/1.1", 404),
        ("nonsense", 400),
    ] {
        let request = format!("{request}\r\nhost: office\r\nconnection: close\r\ncontent-length: 0\r\n\r\n");
        assert_eq!(server.raw(request.as_bytes()).0, status, "{request}");
    }
    server.is_alive();
}

#[test]
fn oversized_and_slow_requests_end_in_their_bounds() {
    let server = Server::start();
    server.business("Ninefold Hearth");
    let (status, reply) = server.post(None, &vec![0; MAX_BODY_BYTES + 100_000]);
    assert_eq!((status, code(reply)), (413, Code::OutOfBounds));
    // A head that never ends, however it is fed.
    let endless = format!(
        "GET /health HTTP/1.1\r\nhost: office\r\nx: {}",
        "x".repeat(300_000)
    );
    let (status, _) = server.raw(endless.as_bytes());
    assert!(status == 431 || status == 0, "{status}");
    // A body that does not come: what came is looked at when its time is over.
    let mut slow = TcpStream::connect(server.address).unwrap();
    slow.write_all(
        b"POST /exchange HTTP/1.1\r\nhost: office\r\nconnection: close\r\ncontent-length: 1000\r\n\r\nabc",
    )
    .unwrap();
    // A head that does not come.
    let mut silent = TcpStream::connect(server.address).unwrap();
    silent.write_all(b"POST /exch").unwrap();
    let (status, body) = answer(&mut slow);
    assert_eq!(status, 400);
    assert_eq!(code(Reply::decode(&body).unwrap().0), Code::Unreadable);
    let (status, _) = answer(&mut silent);
    assert!(status == 408 || status == 0, "{status}");
    server.is_alive();
}
