//! Smoke avoided against an agency's figure.

#[test]
fn published_values_are_met() {
    wythe_test_published::check("emissions_avoided");
}
