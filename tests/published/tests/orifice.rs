//! Orifices against a textbook table and the altitude table.

#[test]
fn published_values_are_met() {
    wythe_test_published::check("orifice");
}
