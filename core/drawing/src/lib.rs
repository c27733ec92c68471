//! Pictures as data: a display list that a phone paints, a page shows and a PDF prints.
//!
//! Invariant: a drawing has paint roles and text classes, never colours or fonts, and every
//! difference that matters shows in black and white (hatch, dash, outline, words).
//!
//! A [`Drawing`] is built in its own space, metres or abstract, with y upwards. Each [`Point`] also
//! has a paper part in points, so that texts, ticks and dimension lines keep their size whatever the
//! scale. [`lay`] settles a drawing at one size into a [`Laid`]: paths and lines of text in final
//! coordinates, y downwards, nothing cut off. A painter needs no more than that; [`to_svg`] is one.
//!
//! [`Plot`] draws curves over axes; [`wall()`] draws a job as a wall of bricks.

mod bounds;
mod dimension;
mod drawing;
mod error;
mod expand;
mod hatch;
mod lay;
mod measure;
mod paint;
mod plot;
mod point;
mod scale_bar;
mod shape;
mod svg;
mod theme;
mod ticks;
mod wall;

pub use bounds::Bounds;
pub use drawing::{Drawing, Space};
pub use error::DrawingError;
pub use lay::{Fit, HitBox, Laid, Lay, Mark, Stroke, lay};
pub use measure::{Estimate, Measure};
pub use paint::{Dash, Fill, Hatch, Pen, Role, Weight};
pub use plot::{Axis, Plot};
pub use point::{Point, Step};
pub use shape::{
    Anchor, Dimension, Hit, Item, Marker, ScaleBar, ScaleUnit, Shape, Side, Sit, Text, TextClass,
};
pub use svg::{to_page_svg, to_svg};
pub use theme::{Rgb, Theme};
pub use ticks::{nice_step, plain_number};
pub use wall::{Brick, BrickState, Course, Wall, WallSize, wall};
