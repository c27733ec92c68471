//! The time of every reckoning on its sample input, told as a share of the limit it has to keep.
//!
//! A reckoning joins by a file `samples/NAME.json`. From text in to value out, as a phone calls it.

#![expect(
    clippy::disallowed_methods,
    clippy::print_stdout,
    reason = "a bench reads its samples and prints; the crate itself has no file"
)]

use std::fs;
use std::path::Path;

use criterion::measurement::{Measurement, ValueFormatter, WallTime};
use criterion::{Criterion, Throughput};
use wythe_trade::form::{Reckoning, read_input};
use wythe_trade::gas::gas_line::GasLine;

/// Nanoseconds a reckoning may take: the flue 5 ms, the search for connector pieces 20 ms, any other 1 ms.
fn gate(name: &str) -> f64 {
    match name {
        "flue" => 5e6,
        "connector" => 20e6,
        _ => 1e6,
    }
}

/// Wall time, told as a share of a gate.
struct AgainstGate {
    time: WallTime,
    words: Share,
}

struct Share {
    gate: f64,
}

impl AgainstGate {
    fn of(gate: f64) -> Self {
        Self {
            time: WallTime,
            words: Share { gate },
        }
    }
}

impl Measurement for AgainstGate {
    type Intermediate = <WallTime as Measurement>::Intermediate;
    type Value = <WallTime as Measurement>::Value;

    fn start(&self) -> Self::Intermediate {
        self.time.start()
    }
    fn end(&self, started: Self::Intermediate) -> Self::Value {
        self.time.end(started)
    }
    fn add(&self, one: &Self::Value, other: &Self::Value) -> Self::Value {
        self.time.add(one, other)
    }
    fn zero(&self) -> Self::Value {
        self.time.zero()
    }
    fn to_f64(&self, value: &Self::Value) -> f64 {
        self.time.to_f64(value)
    }
    fn formatter(&self) -> &dyn ValueFormatter {
        &self.words
    }
}

impl ValueFormatter for Share {
    fn format_value(&self, nanoseconds: f64) -> String {
        format!(
            "{:.4} of {} ms ({:.1} µs)",
            nanoseconds / self.gate,
            self.gate / 1e6,
            nanoseconds / 1e3
        )
    }

    fn scale_values(&self, _: f64, values: &mut [f64]) -> &'static str {
        for value in values {
            *value /= self.gate;
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

/// A tree of two hundred segments to be found and fifty appliances: the largest that is taken.
fn largest_gas_line() -> String {
    let segment = |place: usize| {
        let parent = if place == 0 {
            String::new()
        } else {
            format!(r#""parent":"s{}","#, (place - 1) / 2)
        };
        format!(r#"{{"id":"s{place}",{parent}"length":"9 ft","size":"find","fittings":{{"tee_branch":1}}}}"#)
    };
    let appliance =
        |place: usize| format!(r#"{{"id":"a{place}","node":"s{}","input":"9 MBH"}}"#, 150 + place);
    let segments: Vec<String> = (0..200).map(segment).collect();
    let appliances: Vec<String> = (0..50).map(appliance).collect();
    format!(
        r#"{{"gas":"natural_gas","heating_value":"1000 Btu/ft3","inlet_pressure":"7 in wc","allowed_drop":"0.5 in wc",
        "method":"pressure_drop","segments":[{}],"appliances":[{}]}}"#,
        segments.join(","),
        appliances.join(",")
    )
}

fn bench(name: &str, called: &str, text: &str) {
    let reckoned = wythe_trade::reckon(name, text);
    assert!(reckoned.is_ok(), "{called}: {reckoned:?}");
    let mut criterion = Criterion::default()
        .with_measurement(AgainstGate::of(gate(name)))
        .without_plots()
        .configure_from_args();
    criterion.bench_function(called, |bencher| {
        bencher.iter(|| wythe_trade::reckon(std::hint::black_box(name), std::hint::black_box(text)));
    });
}

/// The sum alone of the largest gas line: typed input in, typed answer out.
fn bench_largest_sum() {
    let value: Result<serde_json::Value, _> = serde_json::from_str(&largest_gas_line());
    let input = value.map(|value| read_input::<GasLine>(&value));
    let Ok(Ok(input)) = input else {
        println!("the largest gas line is not taken");
        return;
    };
    let mut criterion = Criterion::default()
        .with_measurement(AgainstGate::of(gate("gas_line")))
        .without_plots()
        .configure_from_args();
    criterion.bench_function("gas_line, 200 segments, the sum alone", |bencher| {
        bencher.iter(|| GasLine::reckon(std::hint::black_box(&input)));
    });
}

fn main() {
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    for entry in wythe_trade::list() {
        match fs::read_to_string(samples.join(format!("{}.json", entry.name))) {
            Ok(text) => bench(entry.name, entry.name, &text),
            Err(_) => println!(
                "{} has no sample, so it is not timed; add samples/{0}.json",
                entry.name
            ),
        }
    }
    // Two hundred segments are more than any house has: the sum keeps the limit, its 30 kB of text in and
    // 150 kB of figures out take longer.
    bench(
        "gas_line",
        "gas_line, 200 segments, text in, figures out",
        &largest_gas_line(),
    );
    bench_largest_sum();
}
