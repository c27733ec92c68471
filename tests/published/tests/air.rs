//! `air` against published and hand-worked figures.

#[test]
fn published_values_are_met() {
    wythe_test_published::check("air");
}
