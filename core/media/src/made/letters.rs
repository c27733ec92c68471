//! Letters as strokes on a grid of 4 by 6, as a label stamp or an engraver makes them.

/// From one letter to the next, in grid steps.
pub(super) const ADVANCE: f64 = 5.6;

/// Height of a letter, in grid steps.
pub(super) const HEIGHT: f64 = 6.0;

/// The strokes of a letter; each is a run of points (across, down). Small letters are drawn as
/// capitals, unknown ones as a box.
pub(super) fn strokes(letter: char) -> impl Iterator<Item = Vec<(f64, f64)>> {
    shape(letter.to_ascii_uppercase()).split(' ').map(|stroke| {
        let (points, _) = stroke.as_bytes().as_chunks::<2>();
        points.iter().map(|[x, y]| (step(*x), step(*y))).collect()
    })
}

fn step(digit: u8) -> f64 {
    f64::from(digit.saturating_sub(b'0'))
}

/// Points as two digits, strokes apart by spaces.
const fn shape(letter: char) -> &'static str {
    match letter {
        ' ' => "",
        'A' => "062046 1434",
        'B' => "000636453303 0030413203",
        'C' => "41301001051636 3645",
        'D' => "00062644422000",
        'E' => "40000646 0333",
        'F' => "400006 0333",
        'G' => "4130100105163645 434523",
        'H' => "0006 4046 0343",
        'I' => "1030 2026 1636",
        'J' => "4045361605",
        'K' => "0006 400346",
        'L' => "000646",
        'M' => "0600234046",
        'N' => "06004640",
        'O' => "103041453616050110",
        'P' => "060030414233 3303",
        'Q' => "103041453616050110 3446",
        'R' => "060030414233 3303 2346",
        'S' => "413010010213334445361605",
        'T' => "0040 2026",
        'U' => "000516364540",
        'V' => "002640",
        'W' => "0016233640",
        'X' => "0046 4006",
        'Y' => "002340 2326",
        'Z' => "00400646",
        '0' => "103041453616050110 1432",
        '1' => "112026 1636",
        '2' => "011030414206 0646",
        '3' => "0110304142331333444536 361605",
        '4' => "36300444",
        '5' => "400002324345361605",
        '6' => "30100105163645443303",
        '7' => "004016",
        '8' => "1030414233130201 0110 130405163645 454433",
        '9' => "431302011030414536 3616",
        '-' => "1333",
        '.' => "2526",
        ',' => "2516",
        ':' => "2122 2526",
        ';' => "2122 2516",
        '/' => "0640",
        '\'' => "2021",
        '"' => "1011 3031",
        '°' => "1020211110",
        '(' => "30121436",
        ')' => "10323416",
        '%' => "0640 0001 4546",
        '#' => "1016 3036 0242 0444",
        '+' => "2125 0343",
        '=' => "0242 0444",
        '_' => "0646",
        '!' => "2024 2526",
        '?' => "01103041422324 2526",
        '&' => "461120310405162643",
        _ => "0040460600",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_stroke_stays_on_its_grid() {
        for letter in (' '..='~').chain(['°', 'é']) {
            for (x, y) in strokes(letter).flatten() {
                assert!(
                    (0.0..=4.0).contains(&x) && (0.0..=6.0).contains(&y),
                    "{letter}: {x} {y}"
                );
            }
        }
    }

    #[test]
    fn letters_and_digits_differ() {
        let drawn: std::collections::BTreeSet<_> = ('A'..='Z').chain('0'..='9').map(shape).collect();
        assert_eq!(drawn.len(), 36);
    }
}
