//! Flue-gas readings against a shop formula and a trade protocol.

#[test]
fn published_values_are_met() {
    wythe_test_published::check("flue_gas");
}
