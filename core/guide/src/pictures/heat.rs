use serde_json::Value as Json;
use wythe_drawing::{Dash, Drawing, Fill, Hatch, Marker, Pen, Plot, Role, Space, Weight};
use wythe_units::Dimension as Kind;

use super::bars::{Bar, bars};
use super::{Sheet, number};

/// Watts in a Btu per hour (NIST SP 811, international table).
const BTU_PER_HOUR: f64 = 0.293_071_07;
/// The most bars that are told apart.
const MOST_BARS: usize = 14;

fn fahrenheit(celsius: f64) -> f64 {
    celsius * 1.8 + 32.0
}

/// What the heat leaves through, the greatest first, to one scale.
pub(super) fn ways(sheet: &Sheet<'_>) -> Option<Drawing> {
    let load = sheet.found("/load")?;
    let zones = sheet.result.get("zones").and_then(Json::as_array)?;
    let mut found: Vec<(String, f64)> = Vec::new();
    for zone in zones {
        let name = |what: &str| match zone.get("id").and_then(Json::as_str) {
            Some(id) if zones.len() > 1 => format!("{id}: {what}"),
            _ => what.to_owned(),
        };
        for surface in zone
            .get("surfaces")
            .and_then(Json::as_array)
            .into_iter()
            .flatten()
        {
            let id = surface.get("id").and_then(Json::as_str).unwrap_or_default();
            found.push((name(id), surface.get("load").and_then(number)?));
        }
        for way in ["slab_edges", "bridges", "air"] {
            let value = zone.pointer(&format!("/balance/{way}")).and_then(number)?;
            let word = format!("way-{}", way.replace('_', "-"));
            found.push((name(&sheet.word(&word)), value));
        }
    }
    found.retain(|(_, value)| value.abs() > 0.5);
    found.sort_by(|a, b| b.1.total_cmp(&a.1));
    if found.len() > MOST_BARS {
        let rest = found.split_off(MOST_BARS - 1);
        let value = rest.iter().map(|(_, value)| value).sum();
        found.push((sheet.word("way-rest"), value));
    }
    let rows: Vec<Bar> = found
        .into_iter()
        .map(|(name, value)| Bar {
            name,
            value,
            text: sheet.shown(Kind::Power, value),
            fill: if value < 0.0 {
                Fill::Hatched(Hatch::Clear, Role::Ink)
            } else {
                Fill::Solid(Role::Clay)
            },
        })
        .collect();
    if rows.is_empty() {
        return None;
    }
    let said = sheet
        .words
        .with("picture-heat-load", &[("load", &sheet.shown(Kind::Power, load))]);
    let alt = sheet.words.with("picture-heat-alt", &[("said", &said)]);
    let mut drawing = Drawing::new(Space::Abstract, alt);
    bars(&mut drawing, &rows, &said);
    Some(drawing)
}

/// Load against outdoor temperature, with the stove's high and low fire.
pub(super) fn matching(sheet: &Sheet<'_>) -> Option<Drawing> {
    let (high, low) = (sheet.found("/high_output")?, sheet.found("/low_output")?);
    let indoor = sheet.measured("/indoor_temperature", Kind::Temperature)?;
    let outdoor = sheet.measured("/outdoor_temperature", Kind::Temperature)?;
    let heats = sheet.result.get("heats").and_then(Json::as_str)?;
    let of = |place: &str, key: &str| sheet.found(&format!("/{place}/{key}"));
    let ua = of(heats, "ua")?;
    let balance = of(heats, "balance_temperature");
    let mild = sheet.measured("/mild_outdoor_temperature", Kind::Temperature);
    // Where high fire just carries the load.
    let carries = indoor - high / ua;
    // What lies far below the coldest day is not on the drawing; the words name it.
    let shown = [balance, Some(carries)].into_iter().flatten();
    let coldest = shown.filter(|t| *t > outdoor - 12.0).fold(outdoor, f64::min);
    let btu = |watts: f64| watts / BTU_PER_HOUR;
    let line = |ua: f64| [coldest - 3.0, indoor].map(|t| (fahrenheit(t), btu(ua * (indoor - t))));
    let other = ["room", "house"].into_iter().find(|place| *place != heats);
    let beside = other.and_then(|place| Some((place, of(place, "ua")?)));
    let most = beside.map_or(ua, |(_, other)| other.max(ua)) * (indoor - outdoor);
    let x = sheet.axis("axis-outdoor", fahrenheit(coldest - 3.0), fahrenheit(indoor), 8)?;
    let y = sheet.axis("axis-heat", 0.0, 1.08 * btu(most.max(high)), 6)?;
    let temperature = |celsius: f64| sheet.shown(Kind::Temperature, celsius);
    let power = |watts: f64| sheet.shown(Kind::Power, watts);
    let mut said = if carries <= outdoor {
        sheet.word("carries-all")
    } else {
        let at = temperature(carries);
        sheet.words.with("picture-carries", &[("temperature", &at)])
    };
    if let Some(balance) = balance {
        let at = temperature(balance);
        let cycles = sheet.words.with("picture-balance", &[("temperature", &at)]);
        said = format!("{said} {cycles}");
    }
    let load = power(ua * (indoor - outdoor));
    let alt = sheet.words.with(
        "picture-match-alt",
        &[
            ("high", &power(high)),
            ("low", &power(low)),
            ("load", &load),
            ("balance", &said),
        ],
    );
    let mut plot = Plot::new(x, y, 1.9, alt);
    let pen = |role, weight, dash| Pen {
        dash,
        ..Pen::new(role, weight)
    };
    plot.curve(
        &line(ua),
        pen(Role::Clay, Weight::Thick, Dash::Solid),
        &sheet.word(&format!("load-{heats}")),
    );
    if let Some((place, ua)) = beside {
        let word = sheet.word(&format!("load-{place}"));
        plot.curve(&line(ua), pen(Role::Clay, Weight::Medium, Dash::Dashed), &word);
    }
    let level = |watts: f64| {
        [
            (fahrenheit(coldest - 3.0), btu(watts)),
            (fahrenheit(indoor), btu(watts)),
        ]
    };
    let named = |word: &str, watts: f64| format!("{}, {}", sheet.word(word), power(watts));
    plot.curve(
        &level(high),
        pen(Role::Ink, Weight::Medium, Dash::Solid),
        &named("high-fire", high),
    );
    if high - low > 1.0 {
        plot.curve(
            &level(low),
            pen(Role::Ink, Weight::Medium, Dash::DashDot),
            &named("low-fire", low),
        );
    }
    let thin = pen(Role::Mortar, Weight::Thin, Dash::Dashed);
    plot.upright(
        fahrenheit(outdoor),
        thin,
        &format!("{} {}", sheet.word("coldest-day"), temperature(outdoor)),
    );
    if let Some(mild) = mild.filter(|mild| *mild > outdoor + 12.0 && *mild < indoor) {
        plot.upright(
            fahrenheit(mild),
            thin,
            &format!("{} {}", sheet.word("mild-day"), temperature(mild)),
        );
    }
    plot.point(
        fahrenheit(outdoor),
        btu(ua * (indoor - outdoor)),
        Marker::Dot,
        Role::Ink,
        &load,
    );
    // A point that lies on the coldest day's is ringed without words: the sentence below names it.
    let near = |at: f64| (at - outdoor).abs() < 0.15 * (indoor - outdoor);
    for (at, watts) in [(balance, low), (Some(carries), high)] {
        if let Some(at) = at {
            let text = if near(at) { String::new() } else { temperature(at) };
            plot.point(fahrenheit(at), btu(watts), Marker::Ring, Role::Ink, &text);
        }
    }
    Some(plot.finish())
}
