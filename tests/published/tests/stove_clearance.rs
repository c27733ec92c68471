//! Stove clearances against the tables they come from.

#[test]
fn published_values_are_met() {
    wythe_test_published::check("stove_clearance");
}
