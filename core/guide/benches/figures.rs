//! How long a whole job's figures and the screen with most of them take, as a share of the 10 ms that a screen
//! may take to follow an entry.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    clippy::disallowed_methods,
    clippy::print_stdout,
    missing_docs,
    dead_code,
    reason = "a bench stops where it cannot go on, and makes its job as the tests do"
)]

use criterion::measurement::{Measurement, ValueFormatter, WallTime};
use criterion::{Criterion, Throughput};
use wythe_guide::figures::run;
use wythe_guide::readiness::readiness;
use wythe_guide::screen::Make;
use wythe_guide::{Elsewhere, Guide, Known, Language, Words, read_date};
use wythe_job::{Address, PersonId};

#[path = "../tests/support/mod.rs"]
mod support;

use support::deeds::play;
use support::whole::{deeds, library};
use support::{Look, programmes};

/// Nanoseconds that a screen may take to follow an entry.
const GATE: f64 = 10e6;

/// Wall time, told as a share of the gate.
struct OfGate(WallTime);

struct Share;

impl Measurement for OfGate {
    type Intermediate = <WallTime as Measurement>::Intermediate;
    type Value = <WallTime as Measurement>::Value;

    fn start(&self) -> Self::Intermediate {
        self.0.start()
    }
    fn end(&self, started: Self::Intermediate) -> Self::Value {
        self.0.end(started)
    }
    fn add(&self, one: &Self::Value, other: &Self::Value) -> Self::Value {
        self.0.add(one, other)
    }
    fn zero(&self) -> Self::Value {
        self.0.zero()
    }
    fn to_f64(&self, value: &Self::Value) -> f64 {
        self.0.to_f64(value)
    }
    fn formatter(&self) -> &dyn ValueFormatter {
        &Share
    }
}

impl ValueFormatter for Share {
    fn format_value(&self, nanoseconds: f64) -> String {
        format!("{:.3} of 10 ms ({:.2} ms)", nanoseconds / GATE, nanoseconds / 1e6)
    }
    fn scale_values(&self, _: f64, values: &mut [f64]) -> &'static str {
        for value in values {
            *value /= GATE;
        }
        "of the gate"
    }
    fn scale_throughputs(&self, _: f64, _: &Throughput, _: &mut [f64]) -> &'static str {
        "of the gate"
    }
    fn scale_for_machines(&self, _: &mut [f64]) -> &'static str {
        "ns"
    }
}

fn main() {
    let guide = Guide::embedded().unwrap();
    let library = library();
    let phone = play(&guide, &deeds(), &library);
    let look = Look::of(&phone.facts);
    let today = read_date("2026-03-25").unwrap();
    let words = Words::of(Language::En);
    let (programme, _) = programmes(&guide).swap_remove(0);
    let nowhere = Elsewhere::default();
    let mut criterion = Criterion::default()
        .with_measurement(OfGate(WallTime))
        .without_plots()
        .configure_from_args();
    criterion.bench_function("every figure of a whole job", |bencher| {
        bencher.iter(|| run(&Known::new(&guide, &look.job, &look.causality), &library));
    });
    criterion.bench_function("figures, readiness and the screen of day 2", |bencher| {
        bencher.iter(|| {
            let mut known = Known::new(&guide, &look.job, &look.causality).on(today);
            let figures = run(&known, &library);
            for figures in &figures {
                known.note_findings(figures);
            }
            let readiness = readiness(&known, &programme, &figures, &nowhere, today);
            let make = Make {
                known: &known,
                words: &words,
                readiness: &readiness,
                figures: &figures,
                drafts: &|_: &Address| None,
                name: &|_: PersonId| String::new(),
            };
            make.visit("day_2")
        });
    });
}
