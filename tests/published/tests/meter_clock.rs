//! Clocked meters against published examples.

#[test]
fn published_values_are_met() {
    wythe_test_published::check("meter_clock");
}
