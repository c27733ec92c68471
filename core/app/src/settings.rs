use serde::{Deserialize, Serialize};
use wythe_job::PersonId;
use wythe_store::Log;

use crate::app::App;
use crate::error::AppError;
use crate::jobs::said;

const SETTINGS: &str = "screens";

/// How a person wants the screens.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Settings {
    /// Whether the tape pad begins in millimetres.
    pub metric: bool,
    /// Soot on white, nothing else.
    pub sunlight: bool,
}

/// Who uses a device, as others read it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Who {
    /// The name.
    pub name: String,
    /// The role: `lead`, `installer`, `fitter` ...
    pub role: String,
    /// The number of the licence.
    pub licence: Option<String>,
    /// The last day on which it is valid, `YYYY-MM-DD`.
    pub licence_until: Option<String>,
}

impl<L: Log> App<L> {
    /// How the person wants the screens.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub fn settings(&self) -> Result<Settings, AppError> {
        let held = self.log.setting(SETTINGS)?;
        Ok(held
            .and_then(|text| serde_json::from_slice(&text).ok())
            .unwrap_or_default())
    }

    /// Keeps how the person wants the screens.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub fn keep_settings(&mut self, settings: Settings) -> Result<(), AppError> {
        let text = serde_json::to_vec(&settings).unwrap_or_default();
        Ok(self.log.set_setting(SETTINGS, Some(&text))?)
    }

    /// Who uses this device.
    ///
    /// # Errors
    /// [`AppError::NotBegun`], [`AppError::Store`].
    pub fn who(&self) -> Result<Who, AppError> {
        let assigned = self.assignment()?;
        Ok(Who {
            name: assigned.name,
            role: assigned.role,
            licence: assigned.licence,
            licence_until: assigned.licence_until,
        })
    }

    /// Says anew who uses this device; jobs that the person was introduced to keep what they were told.
    ///
    /// # Errors
    /// [`AppError::NoReason`] for no name, [`AppError::NotOneOf`] for an unknown role or what is no date.
    pub fn set_who(&mut self, who: &Who) -> Result<PersonId, AppError> {
        let name = said(&who.name)?;
        if !self.guide.roles.contains(&who.role) {
            return Err(AppError::NotOneOf {
                value: who.role.clone(),
                what: format!("a role; write one of {}", self.guide.roles.join(", ")),
            });
        }
        let until = who.licence_until.as_deref().filter(|until| !until.is_empty());
        if let Some(until) = until.filter(|until| wythe_guide::read_date(until).is_none()) {
            return Err(AppError::NotOneOf {
                value: until.to_owned(),
                what: "a date; write it like 2026-03-31".to_owned(),
            });
        }
        let licence = who.licence.as_deref().filter(|licence| !licence.is_empty());
        let content = serde_json::json!({
            "name": name, "role": who.role, "licence": licence, "licence_until": until,
        });
        let mut whose = self.whose()?;
        self.keep_in_library("person", &whose.person.to_string(), &content.to_string())?;
        whose.person_name = name;
        self.set_whose(&whose)?;
        Ok(whose.person)
    }
}
