//! How wide a line of text is.

/// Knows how wide a line of text is.
pub trait Measure {
    /// Width of one line set in `size`, in the unit of `size`.
    fn width(&self, text: &str, size: f64, bold: bool) -> f64;
}

/// A fair guess for a painter whose font is not known here: a little wider than the usual sans serifs.
#[derive(Debug, Clone, Copy, Default)]
pub struct Estimate;

impl Measure for Estimate {
    fn width(&self, text: &str, size: f64, bold: bool) -> f64 {
        let ems: f64 = text.chars().map(em_share).sum();
        ems * size * if bold { 1.16 } else { 1.08 }
    }
}

/// Share of an em, after the proportions common to grotesque faces (common practice, no source).
fn em_share(character: char) -> f64 {
    match character {
        'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' | '·' | '′' | 'í' | 'ì' | 'î' | 'ï' => {
            0.28
        }
        ' ' | '\u{a0}' | 'f' | 't' | 'r' | 'I' | '(' | ')' | '[' | ']' | '/' | '-' | '"' | '″' | '°' => {
            0.36
        }
        'm' | 'M' | 'w' | 'W' | '%' | '@' | '—' | '½' | '¼' | '¾' | '⅛' | '⅜' | '⅝' | '⅞' => {
            0.88
        }
        'A'..='Z' | 'À'..='Þ' => 0.68,
        _ => 0.56,
    }
}
