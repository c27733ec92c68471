//! How long a flue takes, as a share of the time it may take.
//!
//! The gates: an operating point of 6 m in 0.25 m cells 5 ms (goal 1 ms), a band of 1,000 draws 3 s (goal 0.5 s).
//! "0.2 of the gate" is a fifth of that.

use std::hint::black_box;
use std::time::Duration;

use criterion::measurement::{Measurement, ValueFormatter, WallTime};
use criterion::{Criterion, Throughput};
use wythe_physics::flue::{BandTask, Flue};

#[path = "../tests/shared/mod.rs"]
mod shared;

/// Wall time, told as a share of a gate.
struct OfGate {
    wall: WallTime,
    share: Share,
}

struct Share {
    gate: Duration,
}

impl Measurement for OfGate {
    type Intermediate = <WallTime as Measurement>::Intermediate;
    type Value = Duration;

    fn start(&self) -> Self::Intermediate {
        self.wall.start()
    }

    fn end(&self, started: Self::Intermediate) -> Duration {
        self.wall.end(started)
    }

    fn add(&self, a: &Duration, b: &Duration) -> Duration {
        self.wall.add(a, b)
    }

    fn zero(&self) -> Duration {
        self.wall.zero()
    }

    fn to_f64(&self, value: &Duration) -> f64 {
        self.wall.to_f64(value)
    }

    fn formatter(&self) -> &dyn ValueFormatter {
        &self.share
    }
}

impl Share {
    fn scale(&self, nanoseconds: &mut [f64]) -> &'static str {
        let gate = self.gate.as_secs_f64() * 1e9;
        nanoseconds.iter_mut().for_each(|value| *value /= gate);
        "of the gate"
    }
}

impl ValueFormatter for Share {
    fn scale_values(&self, _: f64, values: &mut [f64]) -> &'static str {
        self.scale(values)
    }

    fn scale_throughputs(&self, _: f64, _: &Throughput, values: &mut [f64]) -> &'static str {
        self.scale(values)
    }

    fn scale_for_machines(&self, values: &mut [f64]) -> &'static str {
        self.scale(values)
    }
}

fn against(gate: Duration) -> Criterion<OfGate> {
    let measurement = OfGate {
        wall: WallTime,
        share: Share { gate },
    };
    Criterion::default()
        .with_measurement(measurement)
        .without_plots()
        .configure_from_args()
}

fn main() {
    let inputs = [("coaxial", shared::coaxial()), ("colinear", shared::colinear())];
    let point = Duration::from_millis(5);
    let band = Duration::from_secs(3);
    let mut points = against(point);
    for (name, input) in &inputs {
        points.bench_function(&format!("operating point, {name}, gate 5 ms"), |bencher| {
            bencher.iter(|| Flue::new(black_box(input)).and_then(|flue| flue.operating_point()));
        });
    }
    let mut bands = against(band)
        .sample_size(10)
        .measurement_time(Duration::from_secs(10));
    for (name, input) in &inputs {
        bands.bench_function(&format!("band of 1,000 draws, {name}, gate 3 s"), |bencher| {
            bencher.iter(|| {
                Flue::new(black_box(input)).and_then(|flue| flue.band(BandTask::OperatingPoint, 1000, 7))
            });
        });
    }
    points.final_summary();
    bands.final_summary();
}
