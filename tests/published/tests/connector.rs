//! The connector search against plain arithmetic of tapes.

#[test]
fn published_values_are_met() {
    wythe_test_published::check("connector");
}
