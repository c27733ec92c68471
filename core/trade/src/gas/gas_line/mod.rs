//! Gas line: does the pipe tree carry its appliances?

pub mod equations;
pub mod line;
pub mod sizing;
pub mod tree;
