//! Settings as they hold, in the form of a file of settings, with where each came from.

use std::fmt;

use super::ResolvedSettings;

impl fmt::Display for ResolvedSettings {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut shown = self.settings.clone();
        if let Ok(place) = shown.place() {
            shown.database = place.to_string();
        }
        let values = serde_json::to_value(&shown).map_err(|_| fmt::Error)?;
        for (name, value) in values.as_object().into_iter().flatten() {
            writeln!(f, "# {}", self.origin(name))?;
            // Texts, numbers, flags and lists of texts are written alike in JSON and TOML.
            writeln!(f, "{name} = {value}")?;
        }
        Ok(())
    }
}

impl ResolvedSettings {
    fn origin(&self, name: &str) -> String {
        let Some(metadata) = self.sources.find_metadata(name) else {
            return "default".to_owned();
        };
        match &metadata.source {
            Some(figment::Source::File(path)) => path.display().to_string(),
            _ if metadata.name.contains("environment") => {
                format!("FIZZWRIGHT_{}", name.to_uppercase())
            }
            _ if metadata.name.contains("Flags") => {
                format!("--{}", name.replace('_', "-"))
            }
            _ => "default".to_owned(),
        }
    }
}
