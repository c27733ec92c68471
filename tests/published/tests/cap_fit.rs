//! Cap fit against plain geometry and the rules for crowns and heights.

#[test]
fn published_values_are_met() {
    wythe_test_published::check("cap_fit");
}
