//! The `wythe` command: a phone at the command line, the reckonings, the claim pack and its check.

fn main() {}
