//! The exchange of many phones with one office, by seed, in one process and without real time. See
//! `tests/simulation`.
