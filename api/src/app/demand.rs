//! Demand: lines are put and taken away, one by one, by range, or from a table.

use chrono::Duration;
use chrono_tz::Tz;
use scheduler::scenario::{Demand, DemandId, SiteId};

use crate::domain::Refusal;
use crate::domain::demand::{Range, check_line, check_lines, forecast_at};
use crate::domain::setup::SetupDocument;
use crate::domain::tags::ExpectedTag;
use crate::storage::{Connection, demand, setup, sites};

/// Replaces all lines in a range, and gives those that are there then.
pub(crate) fn replace(
    conn: &mut Connection,
    site: &SiteId,
    range: Range,
    lines: &[Demand],
) -> Result<Vec<Demand>, Refusal> {
    let zone = sites::load(conn, site)?.time_zone;
    let setup = setup::latest(conn, site)?.map(|found| found.document);
    check_lines(lines, range, setup.as_ref())?;
    demand::replace(conn, site, range, lines)?;
    Ok(demand::list(conn, site, range, zone)?)
}

/// Puts one line. Tells whether it is new, and what it says.
pub(crate) fn put(
    conn: &mut Connection,
    site: &SiteId,
    line: Demand,
    expected: &ExpectedTag,
) -> Result<(bool, Demand), Refusal> {
    let zone = sites::load(conn, site)?.time_zone;
    let setup = setup::latest(conn, site)?.map(|found| found.document);
    check_line(&line, setup.as_ref())?;
    let current = demand::find(conn, site, &line.id, zone)?;
    expected.admit(current.as_ref())?;
    let new = demand::upsert(conn, site, &line)?;
    let line = demand::find(conn, site, &line.id, zone)?.unwrap_or(line);
    Ok((new, line))
}

/// Takes one line away.
pub(crate) fn remove(
    conn: &mut Connection,
    site: &SiteId,
    line: &DemandId,
    expected: &ExpectedTag,
) -> Result<(), Refusal> {
    let unknown = || Refusal::UnknownDemand(line.clone());
    let zone = sites::load(conn, site)?.time_zone;
    let current = demand::find(conn, site, line, zone)?.ok_or_else(unknown)?;
    expected.admit(Some(&current))?;
    match demand::delete(conn, site, line)? {
        true => Ok(()),
        false => Err(unknown()),
    }
}

/// Puts some lines and takes others away.
pub(crate) fn change(
    conn: &mut Connection,
    (site, setup): (&SiteId, &SetupDocument),
    put: &[Demand],
    gone: &[DemandId],
) -> Result<(), Refusal> {
    for line in put {
        check_line(line, Some(setup))?;
        demand::upsert(conn, site, line)?;
    }
    for id in gone {
        demand::delete(conn, site, id)?;
    }
    Ok(())
}

/// How many lines of a table would be new, if all of them can be stored.
pub(crate) fn look(
    conn: &mut Connection,
    site: &SiteId,
    lines: &[Demand],
) -> Result<usize, Refusal> {
    sites::load(conn, site)?;
    let setup = setup::latest(conn, site)?.map(|found| found.document);
    check_lines(lines, Range::ALWAYS, setup.as_ref())?;
    Ok(lines.len() - demand::known(conn, site, lines)?)
}

/// Lets forecasts of a grid, which names none of them, take the places of those that are there, of
/// the same product and service. Their ids, priorities and notes stay.
pub(crate) fn take_places(
    conn: &mut Connection,
    site: &SiteId,
    lines: &mut [Demand],
    zone: Tz,
) -> Result<(), Refusal> {
    let due = || lines.iter().map(|line| line.due);
    let Some((first, last)) = due().min().zip(due().max()) else {
        return Ok(());
    };
    let range = Range {
        from: Some(first),
        to: Some(last + Duration::seconds(1)),
    };
    let there = demand::list(conn, site, range, zone)?;
    for line in lines {
        if there.iter().any(|old| old.id == line.id) {
            continue;
        }
        if let Some(old) = forecast_at(&there, &line.product, line.due) {
            line.id = old.id.clone();
            line.priority = old.priority;
            line.note.clone_from(&old.note);
        }
    }
    Ok(())
}

/// Stores the lines of a table, all or none, and gives how many are new.
pub(crate) fn import(
    conn: &mut Connection,
    site: &SiteId,
    lines: &[Demand],
) -> Result<usize, Refusal> {
    let new = look(conn, site, lines)?;
    demand::replace(conn, site, Range::ALWAYS, lines)?;
    Ok(new)
}
