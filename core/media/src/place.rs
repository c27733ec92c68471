use crate::Position;

/// Mean radius of the Earth, metres: (2a + b) / 3 of the GRS 80 ellipsoid (Moritz, Geodetic
/// Reference System 1980, gives R1 = 6,371,008.7714 m).
pub const EARTH_RADIUS_M: f64 = 6_371_008.8;

/// Degrees from degrees, minutes and seconds; `negative` for south and west.
#[must_use]
pub fn degrees(degrees: f64, minutes: f64, seconds: f64, negative: bool) -> f64 {
    let size = degrees + minutes / 60.0 + seconds / 3600.0;
    if negative { -size } else { size }
}

/// Great-circle distance, metres, on a sphere of [`EARTH_RADIUS_M`] by the haversine formula:
/// `2 R asin sqrt(sin²(Δφ/2) + cos φ1 cos φ2 sin²(Δλ/2))`. The ellipsoid differs by up to 0.5 %.
///
/// Source: Sinnott, Virtues of the Haversine, Sky and Telescope 68 (1984) 159.
#[must_use]
pub fn distance_m(from: Position, to: Position) -> f64 {
    let (phi_1, phi_2) = (from.latitude.to_radians(), to.latitude.to_radians());
    let half_phi = libm::sin((phi_2 - phi_1) / 2.0);
    let half_lambda = libm::sin((to.longitude - from.longitude).to_radians() / 2.0);
    let h = half_phi * half_phi + libm::cos(phi_1) * libm::cos(phi_2) * half_lambda * half_lambda;
    2.0 * EARTH_RADIUS_M * libm::asin(libm::sqrt(h.clamp(0.0, 1.0)))
}

/// Distance in metres, and the bearing at the start in degrees clockwise from true north, 0 to 360.
/// The bearing of two equal places is 0 and means nothing.
#[must_use]
pub fn distance_and_bearing(from: Position, to: Position) -> (f64, f64) {
    let (phi_1, phi_2) = (from.latitude.to_radians(), to.latitude.to_radians());
    let lambda = (to.longitude - from.longitude).to_radians();
    let east = libm::sin(lambda) * libm::cos(phi_2);
    let north = libm::cos(phi_1) * libm::sin(phi_2) - libm::sin(phi_1) * libm::cos(phi_2) * libm::cos(lambda);
    (
        distance_m(from, to),
        libm::atan2(east, north).to_degrees().rem_euclid(360.0),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(latitude: f64, longitude: f64) -> Position {
        Position { latitude, longitude }
    }

    #[test]
    fn degrees_minutes_and_seconds_read_as_degrees() {
        assert!((degrees(46.0, 52.0, 19.2, false) - 46.872).abs() < 1e-12);
        assert!((degrees(113.0, 59.0, 38.4, true) + 113.994).abs() < 1e-12);
    }

    #[test]
    fn a_thousandth_of_a_degree_of_latitude_is_111_195_m() {
        let (distance, bearing) = distance_and_bearing(at(46.872, -113.994), at(46.873, -113.994));
        assert!((distance - 111.195).abs() < 5e-4, "{distance}");
        assert!(bearing.abs() < 1e-9);
    }

    #[test]
    fn a_quarter_of_the_way_round_is_a_quarter_of_the_circle() {
        let quarter = std::f64::consts::FRAC_PI_2 * EARTH_RADIUS_M;
        assert!((distance_m(at(0.0, 0.0), at(0.0, 90.0)) - quarter).abs() < 1e-3);
        assert!((distance_m(at(0.0, 0.0), at(90.0, 0.0)) - quarter).abs() < 1e-3);
        assert!((distance_m(at(0.0, 179.5), at(0.0, -179.5)) - quarter / 90.0).abs() < 1e-3);
    }

    #[test]
    fn bearings_go_clockwise_from_north() {
        for (to, expected) in [
            (at(1.0, 0.0), 0.0),
            (at(0.0, 1.0), 90.0),
            (at(-1.0, 0.0), 180.0),
            (at(0.0, -1.0), 270.0),
        ] {
            let (_, bearing) = distance_and_bearing(at(0.0, 0.0), to);
            assert!((bearing - expected).abs() < 1e-9, "{bearing} for {expected}");
        }
    }
}
