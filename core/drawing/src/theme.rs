//! The colours of the house, for light, dark, sunlight and paper.

use serde::{Deserialize, Serialize};

use crate::paint::Role;

/// A colour of a screen or a printer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Rgb(pub u8, pub u8, pub u8);

impl Rgb {
    /// As `#rrggbb`.
    #[must_use]
    pub fn hex(self) -> String {
        format!("#{:02x}{:02x}{:02x}", self.0, self.1, self.2)
    }

    /// Contrast ratio against another colour, 1 to 21 (Web Content Accessibility Guidelines 2.1,
    /// relative luminance).
    #[must_use]
    pub fn contrast(self, other: Self) -> f64 {
        let (a, b) = (self.luminance(), other.luminance());
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    fn luminance(self) -> f64 {
        let linear = |channel: u8| {
            let share = f64::from(channel) / 255.0;
            if share <= 0.03928 {
                share / 12.92
            } else {
                libm::pow((share + 0.055) / 1.055, 2.4)
            }
        };
        0.2126 * linear(self.0) + 0.7152 * linear(self.1) + 0.0722 * linear(self.2)
    }
}

const SOOT: Rgb = Rgb(0x1D, 0x1A, 0x17);
const LIME: Rgb = Rgb(0xF6, 0xF1, 0xE7);
const WHITE: Rgb = Rgb(0xFF, 0xFF, 0xFF);

/// Which colours the roles are painted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Theme {
    /// Soot on lime.
    Light,
    /// Lime on soot.
    Dark,
    /// Soot on white and nothing else, for glare.
    Sunlight,
    /// The light colours on white, text in black, for printing.
    Paper,
}

impl Theme {
    /// All themes.
    pub const ALL: [Self; 4] = [Self::Light, Self::Dark, Self::Sunlight, Self::Paper];

    /// The colour of a role.
    #[must_use]
    pub const fn colour(self, role: Role) -> Rgb {
        match (self, role) {
            (Self::Sunlight | Self::Paper, Role::Ground) => WHITE,
            (Self::Light, Role::Ground) => LIME,
            (Self::Dark, Role::Ground) => SOOT,
            (Self::Sunlight, _) => SOOT,
            // A printer breaks anything but black into dots.
            (Self::Paper, Role::Ink) => Rgb(0, 0, 0),
            (Self::Light | Self::Paper, role) => match role {
                Role::Ink | Role::Ground => SOOT,
                Role::Mortar => Rgb(0x4A, 0x44, 0x3D),
                Role::Clay => Rgb(0x7A, 0x33, 0x1C),
                Role::Water => Rgb(0x0E, 0x4A, 0x5C),
                Role::Oxide => Rgb(0x8C, 0x1C, 0x13),
                Role::Ochre => Rgb(0x5E, 0x44, 0x00),
            },
            (Self::Dark, role) => match role {
                Role::Ink | Role::Ground => LIME,
                Role::Mortar => Rgb(0xC9, 0xC1, 0xB4),
                Role::Clay => Rgb(0xE9, 0xB4, 0x8F),
                Role::Water => Rgb(0x8F, 0xD0, 0xDE),
                Role::Oxide => Rgb(0xFF, 0xB4, 0xA6),
                Role::Ochre => Rgb(0xF0, 0xC3, 0x5A),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_role_stands_seven_to_one_on_its_ground() {
        for theme in Theme::ALL {
            for role in [
                Role::Ink,
                Role::Mortar,
                Role::Clay,
                Role::Water,
                Role::Oxide,
                Role::Ochre,
            ] {
                let contrast = theme.colour(role).contrast(theme.colour(Role::Ground));
                assert!(contrast >= 7.0, "{theme:?} {role:?} {contrast:.2}");
            }
        }
    }
}
