//! Places for the cap against the steps and tables of codes.

#[test]
fn published_values_are_met() {
    wythe_test_published::check("vent_terminal");
}
