//! The prep sheet: which day and whose work, on to a page of paper.

use actix_web::{HttpResponse, web};
use askama::Template;

use super::page::{Nav, Shell, shown};
use super::trouble::Trouble;
use super::visitor::Visitor;
use crate::domain::roles::Role;
use crate::domain::{Refusal, time};
use crate::http::At;
use crate::routes::SitePath;
use crate::service::Service;
use crate::storage::{plans, publications, sites};

#[derive(Template)]
#[template(path = "board/sheets.html")]
struct Page {
    shell: Shell,
    /// Where the sheet is; the API makes it.
    sheet: String,
    day: String,
    roles: Vec<(&'static str, &'static str)>,
    published: bool,
}

pub(super) fn configure(app: &mut web::ServiceConfig) {
    app.route("/{site}/sheets", web::get().to(read));
}

async fn read(
    service: web::Data<Service>,
    visitor: Visitor,
    At(SitePath { site }): At<SitePath>,
) -> Result<HttpResponse, Trouble> {
    let page = service
        .store
        .read(move |conn| {
            let site = sites::load(conn, &site)?;
            let today = time::now().with_timezone(&site.time_zone).date_naive();
            let published = publications::current(conn, &site.id, site.time_zone)?;
            let day = match &published {
                Some(published) => {
                    let plan = plans::made(conn, published.plan)?.plan;
                    today.clamp(plan.start.date_naive(), plan.end.date_naive())
                }
                None => today,
            };
            Ok::<_, Refusal>(Page {
                sheet: format!("/v1/sites/{}/sheet", site.id),
                day: day.to_string(),
                roles: Role::ALL.map(|role| (role.as_str(), role.title())).into(),
                published: published.is_some(),
                shell: Shell::of(&visitor, &site, Nav::Sheets),
            })
        })
        .await?;
    shown(200, &page)
}
