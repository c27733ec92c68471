//! Gas pipe and tube by trade size.

use std::sync::LazyLock;

use serde::Deserialize;
use uom::si::length::meter;

use crate::customary::INCH;
use crate::quantities::Length;

/// A kind of pipe whose sizes are in the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PipeMaterial {
    /// Schedule 40 steel pipe.
    #[serde(rename = "schedule_40")]
    Schedule40,
    /// Copper tube, type K or L.
    CopperKL,
}

impl PipeMaterial {
    /// The word the JSON form uses.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Schedule40 => "schedule_40",
            Self::CopperKL => "copper_k_l",
        }
    }

    /// Its sizes, smallest first.
    #[must_use]
    pub fn sizes(self) -> &'static [PipeSize] {
        table()
            .iter()
            .find(|(material, _)| *material == self)
            .map_or(&[], |(_, sizes)| sizes)
    }

    /// The size a person wrote: `1-1/4`, `1 1/4`, `3/4"` or `3/4 in`. `None` when the table has no such size.
    #[must_use]
    pub fn size(self, text: &str) -> Option<&'static PipeSize> {
        let text = text.trim();
        let bare = ["\"", "″", "”", "''", "in"]
            .into_iter()
            .find_map(|mark| text.strip_suffix(mark))
            .unwrap_or(text);
        let written = bare.split_whitespace().collect::<Vec<_>>().join("-");
        self.sizes().iter().find(|size| size.name == written)
    }
}

/// One trade size.
#[derive(Debug, Clone, PartialEq)]
pub struct PipeSize {
    /// Trade size as the tables print it, without the inch mark.
    pub name: String,
    /// Inside diameter.
    pub inside_diameter: Length,
}

type Table = Vec<(PipeMaterial, Vec<PipeSize>)>;

fn table() -> &'static Table {
    static TABLE: LazyLock<Table> =
        LazyLock::new(|| read(include_str!("../../data/pipe_sizes.toml")).unwrap_or_default());
    &TABLE
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    material: Vec<MaterialRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MaterialRow {
    name: PipeMaterial,
    sizes: Vec<SizeRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SizeRow {
    size: String,
    inside_in: f64,
}

/// Reads the table: each material once, its inside diameters rising.
fn read(text: &str) -> Result<Table, String> {
    let file: File = toml::from_str(text).map_err(|error| error.to_string())?;
    let mut table = Table::new();
    for MaterialRow { name, sizes } in file.material {
        if table.iter().any(|(known, _)| *known == name) {
            return Err(format!("{} stands twice", name.word()));
        }
        let mut last = 0.0;
        for row in &sizes {
            if row.inside_in <= last {
                return Err(format!(
                    "{} {} is not larger than the size before",
                    name.word(),
                    row.size
                ));
            }
            last = row.inside_in;
        }
        let sizes = sizes
            .into_iter()
            .map(|row| PipeSize {
                name: row.size,
                inside_diameter: Length::new::<meter>(row.inside_in * INCH),
            })
            .collect();
        table.push((name, sizes));
    }
    Ok(table)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shipped_table_holds_nine_sizes_of_each() {
        let table = read(include_str!("../../data/pipe_sizes.toml")).unwrap();
        assert_eq!(table.len(), 2);
        assert!(table.iter().all(|(_, sizes)| sizes.len() == 9));
    }

    #[test]
    fn a_size_is_found_as_people_write_it() {
        for text in ["1-1/4", "1 1/4", "1-1/4\"", " 1 1/4 in ", "1  1/4″"] {
            let size = PipeMaterial::Schedule40.size(text).unwrap();
            assert_eq!(size.name, "1-1/4", "{text}");
            assert!((size.inside_diameter.value / INCH - 1.380).abs() < 1e-12);
        }
        assert!(PipeMaterial::CopperKL.size("5/8").is_some());
        assert_eq!(PipeMaterial::Schedule40.size("5/8"), None);
        assert_eq!(PipeMaterial::Schedule40.size(""), None);
    }

    #[test]
    fn a_table_out_of_order_is_refused() {
        let text = "[[material]]\nname = \"schedule_40\"\nsizes = [{ size = \"2\", inside_in = 2.0 }, { size = \"1\", inside_in = 1.0 }]";
        assert!(read(text).unwrap_err().contains("not larger"));
        assert!(read("[[material]]\nname = \"clay\"\nsizes = []").is_err());
    }
}
