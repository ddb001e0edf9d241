//! The exact program as an MPS file, so that anyone can solve it with another solver.

use std::ffi::CString;
use std::path::Path;

use highs_sys::{Highs_passColName, Highs_passRowName, Highs_writeModel, HighsInt};

use super::callback::Watch;
use super::model_loader::load;
use super::program::Program;

/// Why a program could not be written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ExportError {
    /// The file's name does not end in `.mps`.
    #[error("{0}: the name of a model file must end in .mps")]
    Ending(String),
    /// The solver could not take the program in.
    #[error("the program could not be loaded: {0}")]
    Load(String),
    /// The file could not be written.
    #[error("{0}: the file could not be written; check that its folder exists and is writable")]
    Write(String),
}

/// Writes a program to an MPS file, with names that tell task, resource and point. MPS files
/// minimise, so the worth is written with its sign turned.
///
/// # Errors
/// [`ExportError`] if the name does not end in `.mps` or the file cannot be written.
pub fn export_mps(program: &Program, path: &Path) -> Result<(), ExportError> {
    let shown = path.display().to_string();
    if path.extension().and_then(|e| e.to_str()) != Some("mps") {
        return Err(ExportError::Ending(shown));
    }
    let file = CString::new(shown.clone()).map_err(|_| ExportError::Write(shown.clone()))?;
    let mut turned = program.clone();
    for column in &mut turned.columns {
        column.objective = -column.objective;
    }
    let mut model =
        load(&turned, Watch::default()).map_err(|e| ExportError::Load(e.to_string()))?;
    model.set_sense(highs::Sense::Minimise);
    let highs = model.as_mut_ptr();
    let columns = turned.columns.iter().map(|c| &*c.name);
    let rows = turned.rows.iter().map(|r| &*r.name);
    // SAFETY: the model is alive; names and the file's name are valid C strings during each call,
    // and numbers are those of columns and rows the model has.
    let status = unsafe {
        for (n, name) in numbered(columns) {
            Highs_passColName(highs, n, name.as_ptr());
        }
        for (n, name) in numbered(rows) {
            Highs_passRowName(highs, n, name.as_ptr());
        }
        Highs_writeModel(highs, file.as_ptr())
    };
    // A warning (such as a renamed column) still writes the file; an error does not.
    if status == highs_sys::STATUS_ERROR || !path.is_file() {
        return Err(ExportError::Write(shown));
    }
    Ok(())
}

/// Names made unique by their number, without blanks.
fn numbered<'a>(names: impl Iterator<Item = &'a str>) -> impl Iterator<Item = (HighsInt, CString)> {
    names.enumerate().filter_map(|(n, name)| {
        let plain: String = name
            .chars()
            .map(|c| if c.is_ascii_graphic() { c } else { '_' })
            .collect();
        let number = HighsInt::try_from(n).ok()?;
        Some((number, CString::new(format!("{plain}#{n}")).ok()?))
    })
}
