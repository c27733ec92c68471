//! The derate rules by name, as inputs write them.

use wythe_physics::derate::DerateRule;

use crate::form::choice;

choice! {
    /// A rule by which the input is reduced above 2,000 ft.
    #[derive(Default)]
    pub enum DerateRuleChoice {
        /// 4 % for each 1,000 ft above sea level.
        #[default]
        FourPercentFromSeaLevel = "four_percent_from_sea_level",
        /// 4 % for each 1,000 ft above 2,000 ft.
        FourPercentAbove2000Ft = "four_percent_above_2000_ft",
        /// 2 % for each 1,000 ft above sea level.
        TwoPercentFromSeaLevel = "two_percent_from_sea_level",
        /// 2 % for each 1,000 ft above 2,000 ft.
        TwoPercentAbove2000Ft = "two_percent_above_2000_ft",
        /// 10 % from 2,000 to 4,500 ft; nothing is said above.
        TenPercent2000To4500Ft = "ten_percent_2000_to_4500_ft",
        /// No reduction.
        None = "none",
    }
}

impl DerateRuleChoice {
    /// The rule itself.
    #[must_use]
    pub fn rule(self) -> DerateRule {
        match self {
            Self::FourPercentFromSeaLevel => DerateRule::FourPercentFromSeaLevel,
            Self::FourPercentAbove2000Ft => DerateRule::FourPercentAbove2000Ft,
            Self::TwoPercentFromSeaLevel => DerateRule::TwoPercentFromSeaLevel,
            Self::TwoPercentAbove2000Ft => DerateRule::TwoPercentAbove2000Ft,
            Self::TenPercent2000To4500Ft => DerateRule::TenPercent2000To4500Ft,
            Self::None => DerateRule::None,
        }
    }
}
