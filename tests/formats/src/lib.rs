//! Tests of everything that is stored for good or handed to others, against `fixtures/formats`.
