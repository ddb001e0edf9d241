//! `fizzwright new`: a first scenario from what a person knows.

use std::fs::OpenOptions;
use std::io::{BufRead, Write};
use std::path::{Path, PathBuf};

use chrono::Utc;
use clap::Args;
use scheduler::draft::{self, Answers, Draft, Template};
use scheduler::scenario::Faults;

use super::{Failure, file, output};
use crate::text::typed::{FIELDS, Field, Typed, answers, as_typed, read};
use crate::text::units::Units;

/// Make a scenario of your own bar: asks ten questions, fills in the rest with what is usual, and
/// says what it assumed. `fizzwright plan` plans it.
#[derive(Debug, Args)]
pub(crate) struct New {
    /// Write the scenario into this file, which must not be there yet; it is printed where none is named.
    #[arg(long, short, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Take the answers from this file in JSON, as POST /v1/drafts does; `-` reads standard input.
    #[arg(long, value_name = "FILE")]
    answers: Option<PathBuf>,
    /// Start from an invented bar: stall, counter, bar or hall. What is said is different.
    #[arg(long, value_name = "BAR", value_parser = like)]
    like: Option<Template>,
    /// An answer, such as `--say pots[0].litres="40 L"`; can be given again. What is said is not asked.
    #[arg(long, value_name = "FIELD=ANSWER", value_parser = saying)]
    say: Vec<(String, String)>,
    /// Bare numbers are US gallons, pounds, psi and degrees Fahrenheit.
    #[arg(long)]
    us: bool,
}

impl New {
    pub(crate) fn run(self) -> Result<(), Failure> {
        if let Some(path) = &self.output {
            // Before anybody is asked ten questions.
            free(path)?;
        }
        let draft = self.draft()?;
        let text = serde_json::to_string_pretty(&draft.scenario).map_err(Failure::other)?;
        tell(&draft);
        let Some(path) = &self.output else {
            return output::print(&(text + "\n"));
        };
        write_new(path, &text)?;
        let path = path.display();
        eprintln!("\nwrote {path}; `fizzwright plan {path}` plans it");
        Ok(())
    }

    fn draft(&self) -> Result<Draft, Failure> {
        if let Some(path) = &self.answers {
            let answers: Answers = file::document(path)?;
            return draft::draft(&answers, Utc::now()).map_err(every);
        }
        let units = if self.us { Units::US } else { Units::METRIC };
        let mut typed = Typed(self.say.clone());
        if let Some(like) = &self.like {
            typed = Typed::of(&like.answers).but(&self.say);
        } else if typed.0.is_empty() {
            typed = ask(&mut std::io::stdin().lock(), units)?;
        }
        let answers = answers(&typed, units).map_err(every)?;
        draft::draft(&answers, Utc::now()).map_err(|faults| every(as_typed(faults, &typed)))
    }
}

fn like(text: &str) -> Result<Template, String> {
    let known = draft::shelf().into_iter().find(|one| one.id == text);
    known.ok_or_else(|| {
        let known = draft::shelf().map(|one| format!("{} ({})", one.id, one.title));
        format!("there are {}", known.join(", "))
    })
}

fn saying(text: &str) -> Result<(String, String), String> {
    let split = text.split_once('=');
    let (field, answer) = split.ok_or("FIELD=ANSWER is allowed, such as name=\"Corner bar\"")?;
    let field = field.trim();
    if FIELDS.iter().any(|known| known.is_called(field)) {
        return Ok((field.to_owned(), answer.to_owned()));
    }
    let known: Vec<String> = FIELDS.iter().map(|f| f.name_in(0)).collect();
    Err(format!(
        "there is no field {field}; there are {}",
        known.join(", ")
    ))
}

fn every(Faults(faults): Faults) -> Failure {
    Failure::Input(faults.iter().map(ToString::to_string).collect())
}

/// Asks one field after another, and again where an answer cannot be read. A list goes on until
/// nothing is said to its first question.
fn ask(from: &mut impl BufRead, units: Units) -> Result<Typed, Failure> {
    let mut typed = Typed::default();
    let mut n = 0;
    while n < FIELDS.len() {
        let field = &FIELDS[n];
        if !field.is_list() {
            if let Some(text) = answer(from, field, (field.needed, units))? {
                typed.0.push((field.name_in(0), text));
            }
            n += 1;
            continue;
        }
        let rows: Vec<&Field> = FIELDS.iter().filter(|f| f.list == field.list).collect();
        let mut row = 0;
        while ask_row(from, &rows, (row, units), &mut typed)? {
            row += 1;
        }
        n += rows.len();
    }
    Ok(typed)
}

/// Asks for one row of a list; false where there is no further one.
fn ask_row(
    from: &mut impl BufRead,
    rows: &[&Field],
    (row, units): (usize, Units),
    typed: &mut Typed,
) -> Result<bool, Failure> {
    for (n, field) in rows.iter().enumerate() {
        let first_row = row == 0;
        if n == 0 && !first_row {
            eprint!("Another one? Nothing, if not. ");
        }
        let must = field.needed && (n > 0 || first_row);
        match answer(from, field, (must, units))? {
            Some(text) => typed.0.push((field.name_in(row), text)),
            None if n == 0 => return Ok(false),
            None => {}
        }
    }
    Ok(true)
}

/// One answer that can be read; nothing where nothing was said and nothing must be.
fn answer(
    from: &mut impl BufRead,
    field: &Field,
    (must, units): (bool, Units),
) -> Result<Option<String>, Failure> {
    loop {
        eprint!("{} ", field.ask);
        let mut line = String::new();
        let read_bytes = from.read_line(&mut line).map_err(Failure::other)?;
        let text = line.trim();
        if text.is_empty() && !must {
            return Ok(None);
        }
        if read_bytes == 0 {
            return Err(Failure::input(format!(
                "{}: nothing found; {} is needed",
                field.name_in(0),
                field.what
            )));
        }
        if text.is_empty() {
            eprintln!("  {} is needed", field.what);
            continue;
        }
        match read(field, text, units) {
            Ok(_) => return Ok(Some(text.to_owned())),
            Err(what) => eprintln!("  {what}"),
        }
    }
}

/// Says on standard error what was assumed.
fn tell(draft: &Draft) {
    let lasting = draft
        .assumed
        .iter()
        .filter(|a| !a.field.starts_with("demand"));
    eprintln!("\nAssumed, until you measure or change it in the scenario:");
    for one in lasting {
        let range = one
            .range
            .as_ref()
            .map_or_else(String::new, |range| format!(", usually {range}"));
        let value = match &one.value {
            serde_json::Value::Array(_) | serde_json::Value::Object(_) => String::new(),
            plain => format!(" = {plain}"),
        };
        eprintln!(
            "  {}{value}{range}: {} ({})",
            one.field, one.why, one.source
        );
    }
}

fn free(path: &Path) -> Result<(), Failure> {
    if path.exists() {
        return Err(Failure::input(format!(
            "--output {}: it is there already, and is not written over",
            path.display()
        )));
    }
    Ok(())
}

fn write_new(path: &Path, text: &str) -> Result<(), Failure> {
    let failed = |error| Failure::other(format!("--output {}: {error}", path.display()));
    let opened = OpenOptions::new().write(true).create_new(true).open(path);
    let mut opened = opened.map_err(failed)?;
    writeln!(opened, "{text}").map_err(failed)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two drinks, one pot; a wrong answer is asked for again.
    const SAID: &str = "Corner bar\nMadrid\n\n\n\n40 L\n3 kW\n\n\nunder counter\n8\n\n\n19\n10\n\n\n4\n\n\
        2.5 bar\n\n\n\n20 kg\nwed-sat\n11\n5pm\n\n\nPlain soda\nlots\nhigh\n\nTonic\nhigh\nyes\n\nthu-sat\n\
        half past five\n3\n\n";

    #[test]
    fn questions_are_asked_one_after_another() {
        let typed = ask(&mut SAID.as_bytes(), Units::METRIC).unwrap();
        let found = answers(&typed, Units::METRIC).unwrap();
        assert_eq!(
            (found.pots.len(), found.drinks.len(), found.nights.len()),
            (1, 2, 1)
        );
        assert!(found.drinks[1].sweet && !found.drinks[0].sweet);
        assert_eq!(found.crew[0].to.to_string(), "17:00:00");
        assert!(draft::draft(&found, Utc::now()).is_ok());
    }

    #[test]
    fn an_end_before_the_last_answer_names_what_is_missing() {
        let failure = ask(&mut "Corner bar\n".as_bytes(), Units::METRIC).unwrap_err();
        let Failure::Input(said) = failure else {
            panic!("{failure:?}");
        };
        assert!(
            said[0].starts_with("place.time_zone: nothing found"),
            "{said:?}"
        );
    }
}
