//! Heat losses against worked examples.

#[test]
fn published_values_are_met() {
    wythe_test_published::check("heat_loss");
}
