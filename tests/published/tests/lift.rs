//! Lifts against the published equation, ladders against the published rule.

#[test]
fn published_values_are_met() {
    wythe_test_published::check("lift");
}
