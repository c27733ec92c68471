//! An office and two phones as separate programs, over HTTP on this machine and a way that keeps being cut.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that cannot go on stops"
)]

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{Shutdown, SocketAddr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use serde_json::Value as Json;

const PROGRAMME: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/../../fixtures/programmes/larkspur.toml"
);
const WIDTH: &str = "survey.tile_inside_a@tile_section:1";
const PAPER: &str = "claim.invoice";
/// The way to the office is cut after so many bytes.
const CUT_AFTER: u64 = 200_000;
/// The length of the paper that has to get through.
const PAPER_BYTES: usize = 900_000;

fn wythe(arguments: &[&str]) -> Json {
    let out = Command::new(env!("CARGO_BIN_EXE_wythe"))
        .arg("--json")
        .args(arguments)
        .output()
        .unwrap();
    let told = String::from_utf8_lossy(&out.stderr);
    assert!(out.status.success(), "{arguments:?}: {told}");
    serde_json::from_slice(&out.stdout).unwrap()
}

/// Where the office of a folder writes its log in these tests.
fn log_of(data: &Path) -> PathBuf {
    data.with_extension("log")
}

/// An office that serves until it is dropped.
struct Served {
    process: Child,
    address: SocketAddr,
}

impl Served {
    fn start(data: &Path) -> Self {
        let mut process = Command::new(env!("CARGO_BIN_EXE_wythe"))
            .args(["--json", "office", "--listen", "127.0.0.1:0", "--data"])
            .arg(data)
            .stdout(Stdio::piped())
            .stderr(std::fs::File::create(log_of(data)).unwrap())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(process.stdout.take().unwrap())
            .read_line(&mut line)
            .unwrap();
        let said: Json = serde_json::from_str(&line).unwrap();
        let url = said["serving"].as_str().unwrap();
        let address = url.strip_prefix("http://").unwrap().parse().unwrap();
        Self { process, address }
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _gone = self.process.kill();
        let _gone = self.process.wait();
    }
}

/// A way to the office on which each connection is cut after [`CUT_AFTER`] bytes.
struct CutWay {
    address: SocketAddr,
    up: Arc<AtomicU64>,
    cuts: Arc<AtomicU64>,
}

impl CutWay {
    fn to(office: SocketAddr) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let way = Self {
            address: listener.local_addr().unwrap(),
            up: Arc::default(),
            cuts: Arc::default(),
        };
        let (up, cuts) = (Arc::clone(&way.up), Arc::clone(&way.cuts));
        std::thread::spawn(move || {
            for phone in listener.incoming() {
                let phone = phone.unwrap();
                let office = TcpStream::connect(office).unwrap();
                let carried = Arc::new(AtomicU64::new(0));
                for (from, to, count) in [(&phone, &office, Some(&up)), (&office, &phone, None)] {
                    let (from, to) = (from.try_clone().unwrap(), to.try_clone().unwrap());
                    let (carried, count, cuts) = (Arc::clone(&carried), count.cloned(), Arc::clone(&cuts));
                    std::thread::spawn(move || carry(from, to, &carried, count.as_deref(), &cuts));
                }
            }
        });
        way
    }
}

fn carry(
    mut from: TcpStream,
    mut to: TcpStream,
    carried: &AtomicU64,
    count: Option<&AtomicU64>,
    cuts: &AtomicU64,
) {
    let mut bytes = [0; 8 * 1024];
    while let Ok(length @ 1..) = from.read(&mut bytes) {
        let there = u64::try_from(length).unwrap();
        if carried.fetch_add(there, Ordering::SeqCst) + there > CUT_AFTER {
            cuts.fetch_add(1, Ordering::SeqCst);
            break;
        }
        if let Some(count) = count {
            count.fetch_add(there, Ordering::SeqCst);
        }
        if to.write_all(&bytes[..length]).is_err() {
            break;
        }
    }
    let _gone = from.shutdown(Shutdown::Both);
    let _gone = to.shutdown(Shutdown::Both);
}

struct World {
    folder: tempfile::TempDir,
    url: String,
}

impl World {
    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn text(&self, name: &str) -> String {
        self.path(name).to_str().unwrap().to_owned()
    }

    fn join(&self, store: &str, person: &str) {
        let data = self.text("office");
        let invited = wythe(&["office", "invite", "--data", &data, "--person", person]);
        let code = invited["code"].as_str().unwrap();
        self.sync(store, &["--code", code, "--person", person]);
    }

    fn sync(&self, store: &str, rest: &[&str]) -> Json {
        let store = self.text(store);
        wythe(&[&["sync", "--store", &store, "--office", &self.url], rest].concat())
    }

    fn job(&self, store: &str, rest: &[&str]) -> Json {
        let store = self.text(store);
        wythe(&[&["job", "--store", &store], rest].concat())
    }

    /// What a phone has of a job, by entry.
    fn entries(&self, store: &str, job: &str) -> Vec<String> {
        let entries = self.job(store, &["entries", job]);
        let mut entries: Vec<String> = entries.as_array().unwrap().iter().map(Json::to_string).collect();
        entries.sort();
        entries
    }

    fn carry(&self, from: &str, to: &str) {
        let (file, from, to) = (self.text("carried"), self.text(from), self.text(to));
        wythe(&["carry", "--store", &from, "out", &file]);
        wythe(&["carry", "--store", &to, "in", &file]);
    }
}

/// A PDF of one page with a stream that no packing makes smaller.
fn paper() -> Vec<u8> {
    let mut state = 1u64;
    let noise = (0..PAPER_BYTES).map(|_| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        state.to_be_bytes()[0]
    });
    let mut pdf = b"%PDF-1.4\n1 0 obj <</Type/Catalog/Pages 2 0 R>> endobj\n\
        2 0 obj <</Type/Pages/Kids[3 0 R]/Count 1>> endobj\n\
        3 0 obj <</Type/Page/Parent 2 0 R/MediaBox[0 0 612 792]>> endobj\n"
        .to_vec();
    pdf.extend_from_slice(format!("4 0 obj <</Length {PAPER_BYTES}>> stream\n").as_bytes());
    pdf.extend(noise);
    pdf.extend_from_slice(b"\nendstream endobj\ntrailer <</Root 1 0 R>>\n%%EOF\n");
    pdf
}

#[test]
fn two_phones_over_a_way_that_is_cut_every_200_kb_end_equal() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("office");
    let opened = wythe(&[
        "office",
        "open",
        "--data",
        data.to_str().unwrap(),
        "--business",
        "Ninefold Hearth",
    ]);
    let served = Served::start(&data);
    let way = CutWay::to(served.address);
    let world = World {
        folder,
        url: format!("http://{}", way.address),
    };
    world.join("room", "Ada Testperson");
    world.join("roof", "Bo Testperson");
    let room = world.text("room");
    wythe(&["programme", "--store", &room, PROGRAMME]);
    let new = [
        "new",
        "--label",
        "Featherstep",
        "--zone",
        "America/Denver",
        "--programme",
        "larkspur",
    ];
    let job = world.job("room", &new)["job"].as_str().unwrap().to_owned();
    world.job("room", &["answer", &job, WIDTH, "11 3/8 in"]);
    world.carry("room", "roof");
    world.job("roof", &["answer", &job, WIDTH, "11 1/2 in"]);
    let file = world.path("invoice.pdf");
    std::fs::write(&file, paper()).unwrap();
    world.job("room", &["paper", &job, PAPER, file.to_str().unwrap()]);

    let before = way.up.load(Ordering::SeqCst);
    let sent = world.sync("room", &[]);
    let bytes = way.up.load(Ordering::SeqCst) - before;
    assert_eq!(sent["safe_originals"], 1);
    world.sync("roof", &[]);
    world.sync("room", &[]);
    assert!(way.cuts.load(Ordering::SeqCst) >= 3, "it was cut");
    let entries = world.entries("room", &job);
    assert!(entries.len() >= 5);
    assert_eq!(entries, world.entries("roof", &job));
    // What had to go up: the paper, and facts that are small beside it.
    let most = u64::try_from(PAPER_BYTES).unwrap() * 105 / 100;
    println!("{bytes} bytes went up for a paper of {PAPER_BYTES}");
    assert!(bytes <= most, "{bytes} bytes went up, and {most} were allowed");
    let business = opened["business"].as_str().unwrap();
    let kept = data_files(&data.join("originals").join("kept").join(business));
    assert_eq!(kept.len(), 1);
    assert_eq!(std::fs::read(&kept[0]).unwrap(), paper());
    // Nothing is left to send.
    let again = world.sync("room", &[]);
    assert_eq!((&again["received"], &again["safe_facts"]), (&0.into(), &0.into()));
}

#[test]
fn the_log_is_json_and_names_nobody_and_the_office_stops_when_told() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("office");
    let name = data.to_str().unwrap().to_owned();
    wythe(&["office", "open", "--data", &name, "--business", "Ninefold Hearth"]);
    let mut served = Served::start(&data);
    let world = World {
        folder,
        url: format!("http://{}", served.address),
    };
    world.join("room", "Ada Testperson");
    let mut health = TcpStream::connect(served.address).unwrap();
    health
        .write_all(b"GET /health HTTP/1.1\r\nhost: office\r\nconnection: close\r\n\r\n")
        .unwrap();
    let mut said = String::new();
    health.read_to_string(&mut said).unwrap();
    assert!(said.starts_with("HTTP/1.1 200 OK"), "{said}");
    let told = Command::new("kill").arg(served.process.id().to_string()).status();
    assert!(told.unwrap().success());
    assert!(served.process.wait().unwrap().success(), "it ends in order");
    let log = std::fs::read_to_string(log_of(&data)).unwrap();
    let lines: Vec<Json> = log
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    let fields = lines.iter().map(|line| &line["fields"]);
    assert!(
        fields
            .clone()
            .any(|of| of["message"] == "answered" && of["status"] == 200)
    );
    assert!(fields.clone().any(|of| of["message"] == "the office stops"));
    for name in ["Ada", "Testperson", "Ninefold", "phone"] {
        assert!(!log.contains(name), "{name} is in the log");
    }
}

fn data_files(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files.extend(data_files(&path));
        } else {
            files.push(path);
        }
    }
    files
}

#[test]
fn an_office_put_back_from_a_copy_gets_what_it_lost_from_the_phones() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("office");
    let name = data.to_str().unwrap().to_owned();
    wythe(&["office", "open", "--data", &name, "--business", "Ninefold Hearth"]);
    let mut world = World {
        folder,
        url: String::new(),
    };
    let copy = world.path("copy");
    let mut served = Served::start(&data);
    world.url = format!("http://{}", served.address);
    world.join("room", "Ada Testperson");
    drop(served);
    std::fs::create_dir(&copy).unwrap();
    for entry in std::fs::read_dir(&data).unwrap() {
        let entry = entry.unwrap();
        if entry.path().is_file() {
            std::fs::copy(entry.path(), copy.join(entry.file_name())).unwrap();
        }
    }
    served = Served::start(&data);
    world.url = format!("http://{}", served.address);
    let room = world.text("room");
    wythe(&["programme", "--store", &room, PROGRAMME]);
    let new = [
        "new",
        "--label",
        "Featherstep",
        "--zone",
        "America/Denver",
        "--programme",
        "larkspur",
    ];
    world.job("room", &new);
    assert!(world.sync("room", &[])["safe_facts"].as_u64().unwrap() > 2);
    drop(served);

    wythe(&["office", "go-on", "--data", copy.to_str().unwrap()]);
    let served = Served::start(&copy);
    world.url = format!("http://{}", served.address);
    assert!(
        world.sync("room", &[])["safe_facts"].as_u64().unwrap() > 2,
        "it is offered again"
    );
    let again = world.sync("room", &[]);
    assert_eq!(again["safe_facts"], 0);
}
