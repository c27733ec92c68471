//! A trade size as it stands in an input.

use serde_json::{Value, json};

use crate::form::{Field, Pointer, Refusal, Rule};
use crate::gas::pipe_sizes::{PipeMaterial, PipeSize};

/// The text of a trade size: `1-1/4`, `1 1/4`, `3/4"`. Which sizes there are hangs on the material.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SizeText(String);

impl SizeText {
    /// The text as written.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The place of the size among those of a material.
    ///
    /// # Errors
    /// `unknown_choice`, listing the sizes.
    pub fn place(&self, material: PipeMaterial, at: &Pointer) -> Result<usize, Refusal> {
        let sizes = material.sizes();
        let found = material
            .size(&self.0)
            .and_then(|size| sizes.iter().position(|known| known == size));
        found.ok_or_else(|| {
            let names: Vec<&str> = sizes.iter().map(|size| size.name.as_str()).collect();
            Refusal::unknown_choice(
                at,
                format!(
                    "{} has no such size in the table. Write one of: {}; or give inside_diameter.",
                    material.word(),
                    names.join(", ")
                ),
            )
        })
    }

    /// The size itself.
    ///
    /// # Errors
    /// As [`SizeText::place`].
    pub fn size(&self, material: PipeMaterial, at: &Pointer) -> Result<&'static PipeSize, Refusal> {
        let place = self.place(material, at)?;
        material
            .sizes()
            .get(place)
            .ok_or_else(|| Refusal::unknown_choice(at, "There is no such size."))
    }
}

impl Field for SizeText {
    fn read(value: &Value, at: &Pointer, _: &Rule) -> Result<Self, Refusal> {
        value
            .as_str()
            .filter(|text| text.len() <= 40)
            .map(|text| Self(text.to_owned()))
            .ok_or_else(|| {
                Refusal::unknown_choice(
                    at,
                    "A trade size in quotes is needed here, such as \"3/4\" or \"1-1/4\".",
                )
            })
    }

    fn schema(_: &Rule) -> Value {
        let mut names: Vec<&str> = Vec::new();
        for size in PipeMaterial::Schedule40
            .sizes()
            .iter()
            .chain(PipeMaterial::CopperKL.sizes())
        {
            if !names.contains(&size.name.as_str()) {
                names.push(&size.name);
            }
        }
        json!({ "type": "string", "examples": names })
    }
}
