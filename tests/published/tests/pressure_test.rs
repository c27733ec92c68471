//! Pressure tests against published examples of the gas law.

#[test]
fn published_values_are_met() {
    wythe_test_published::check("pressure_test");
}
