//! Stoves against loads.

#[test]
fn published_values_are_met() {
    wythe_test_published::check("appliance_match");
}
