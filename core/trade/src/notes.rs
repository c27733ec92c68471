//! What sheets say whatever their figures are. Every answer begins with [`GOVERNS`].

/// On every sheet.
pub const GOVERNS: &str = "The appliance's listing, its manual and the adopted local code govern; a figure from \
     the appliance's own papers goes before any table here. This sum advises; the licensed person decides.";

/// On sheets that send somebody on a roof.
pub const ROOF: &str = "Only on a dry roof, with fall protection, and 10 ft from power lines. Old tiles and \
     crowns can topple: try them before anything leans on them.";

/// On sheets that put somebody under a load.
pub const LOAD: &str = "Dolly and slings before backs. Doors and firebrick come out first.";
