//! Liner fit against printed areas and plain geometry.

#[test]
fn published_values_are_met() {
    wythe_test_published::check("liner_fit");
}
