//! Pictures as data: a display list that a phone paints, a page shows and a PDF prints.
//!
//! Invariant: a drawing has paint roles and text classes, never colours or fonts.
