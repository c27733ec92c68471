//! Rules by which an appliance's input is reduced at altitude.
//!
//! The listing and the manual come first; these rules are for where they are silent.

use crate::constants::FOOT;
use crate::quantities::Length;

/// A rule. All give a factor of 1 up to and including 2,000 ft.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DerateRule {
    /// No reduction.
    #[default]
    None,
    /// Above 2,000 ft, 4 % for each 1,000 ft above sea level. (NFPA 54-2015 table E.1.1(d), as quoted at
    /// <http://www.industry-publications.com/digitalissues/ICM_SeptemberOctober_2015/pubData/SEO/Page_19.html>.)
    FourPercentFromSeaLevel,
    /// Above 2,000 ft, 4 % for each 1,000 ft above 2,000 ft: another reading of the same words.
    FourPercentAbove2000Ft,
    /// As the first with 2 %.
    TwoPercentFromSeaLevel,
    /// As the second with 2 %.
    TwoPercentAbove2000Ft,
    /// 10 % from 2,000 to 4,500 ft; says nothing above.
    TenPercent2000To4500Ft,
}

/// Altitudes are compared with this slack, m, so that 2,000 ft typed as feet is 2,000 ft.
const SLACK: f64 = 1e-6;

impl DerateRule {
    /// Every rule that reduces, in the order in which they are listed for a reader.
    pub const READINGS: [Self; 5] = [
        Self::FourPercentFromSeaLevel,
        Self::FourPercentAbove2000Ft,
        Self::TwoPercentFromSeaLevel,
        Self::TwoPercentAbove2000Ft,
        Self::TenPercent2000To4500Ft,
    ];

    /// The rule's name in files.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::FourPercentFromSeaLevel => "four_percent_from_sea_level",
            Self::FourPercentAbove2000Ft => "four_percent_above_2000_ft",
            Self::TwoPercentFromSeaLevel => "two_percent_from_sea_level",
            Self::TwoPercentAbove2000Ft => "two_percent_above_2000_ft",
            Self::TenPercent2000To4500Ft => "ten_percent_2000_to_4500_ft",
        }
    }

    /// What is left of the input at this altitude, as a factor. `None` where the rule says nothing.
    #[must_use]
    pub fn factor(self, altitude: Length) -> Option<f64> {
        let feet = altitude.value / FOOT;
        if !above_2000_ft(altitude) {
            return Some(1.0);
        }
        match self {
            Self::None => Some(1.0),
            Self::FourPercentFromSeaLevel => Some(1.0 - 0.04 * feet / 1000.0),
            Self::FourPercentAbove2000Ft => Some(1.0 - 0.04 * (feet - 2000.0) / 1000.0),
            Self::TwoPercentFromSeaLevel => Some(1.0 - 0.02 * feet / 1000.0),
            Self::TwoPercentAbove2000Ft => Some(1.0 - 0.02 * (feet - 2000.0) / 1000.0),
            Self::TenPercent2000To4500Ft => (altitude.value <= 4500.0 * FOOT + SLACK).then_some(0.90),
        }
    }
}

/// Whether an altitude counts as altitude: above 2,000 ft.
#[must_use]
pub fn above_2000_ft(altitude: Length) -> bool {
    altitude.value > 2000.0 * FOOT + SLACK
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantities::length;

    #[test]
    fn two_thousand_feet_itself_is_not_above() {
        for rule in DerateRule::READINGS {
            assert_eq!(rule.factor(length(2000.0 * FOOT)), Some(1.0));
            assert!(rule.factor(length(2000.1 * FOOT)).unwrap() < 1.0);
        }
    }

    #[test]
    fn the_ten_percent_rule_ends_at_4500_ft() {
        let rule = DerateRule::TenPercent2000To4500Ft;
        assert_eq!(rule.factor(length(4500.0 * FOOT)), Some(0.90));
        assert_eq!(rule.factor(length(4501.0 * FOOT)), None);
    }
}
