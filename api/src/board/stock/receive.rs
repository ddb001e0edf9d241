//! Something came in, or went out.

use actix_web::{HttpResponse, web};
use serde_json::json;
use uuid::Uuid;

use super::super::error_page::ErrorPage;
use super::super::fields::{Fields, through};
use super::super::go_to;
use super::super::principal::Principal;
use super::{counted_at, refused};
use crate::app;
use crate::domain::Refusal;
use crate::domain::stock::Movement;
use crate::http::{SitePath, TypedPath};
use crate::service::Service;
use crate::storage::sites;
use crate::text::units::Units;
use chrono_tz::Tz;
use model::units::{Unit, converted};

pub(in crate::board) async fn receive(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    fields: Fields,
) -> Result<HttpResponse, ErrorPage> {
    let (asked, units) = (site.clone(), visitor.units);
    let done = service
        .store
        .write(move |conn| {
            let zone = sites::load(conn, &asked)?.time_zone;
            let movement = moved(&fields, units, zone)?;
            app::stock::record_movement(conn, &asked, movement)
        })
        .await;
    match done {
        Ok(_) => Ok(go_to(format!("/board/{site}/stock"))),
        Err(refusal) => refused(&service, visitor, site, refusal).await,
    }
}

/// What came in, or went out.
fn moved(fields: &Fields, units: Units, zone: Tz) -> Result<Movement, Refusal> {
    let amount: Option<f64> = fields.number("amount")?;
    let amount =
        amount.ok_or_else(|| Refusal::field("amount", "nothing found; a number is needed"))?;
    let amount = if fields.get("way") == Some("out") {
        -amount
    } else {
        amount
    };
    let what = fields.get("what").unwrap_or_default();
    let (of, id) = what.split_once(' ').unwrap_or((what, ""));
    let kg = converted(amount, units.read_in(Unit::Kg), Unit::Kg);
    let change = match of {
        "ice" | "co2" => json!({ "of": of, "kg": kg }),
        "material" => json!({ "of": of, "material": id, "amount": amount }),
        _ => {
            if amount.fract().abs() > 1e-9 {
                let found = format!("{amount} kegs found; a whole number is allowed");
                return Err(Refusal::field("amount", found));
            }
            json!({ "of": of, "keg_type": id, "kegs": amount as i64 })
        }
    };
    through(json!({
        "reference": format!("move-{}", Uuid::now_v7()),
        "at": counted_at(fields, zone)?,
        "change": change,
    }))
}
