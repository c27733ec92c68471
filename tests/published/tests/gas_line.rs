//! Gas lines against the code's printed tables.

#[test]
fn published_values_are_met() {
    wythe_test_published::check("gas_line");
}
