//! `flue_conditions` against figures from outside.

#[test]
fn published_values_are_met() {
    wythe_test_published::check("flue_conditions");
}
