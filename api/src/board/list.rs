//! The board's pages and forms: what each asks for, and what answers it. What is not listed is not
//! served, and the server is told of each by the same line that its door goes by.
//!
//! Forms are named as the API's operations that do the same, so that the audit trail reads alike.

use actix_web::{Route, web};

use super::{
    account, admin, assets, calculators, commitments, demand, new_site, plans, ready, setup,
    sheets, sign_in, sites, stock, today, week, work,
};
use crate::domain::access::Scope;
use crate::http::{Operation, Operations};

use Scope::{Admin, Floor, Plan, Read};
use Takes::{Anybody, Anywhere, Everywhere, InSite};

/// A page or a form.
struct Page {
    method: &'static str,
    path: &'static str,
    name: &'static str,
    takes: Takes,
    handler: fn() -> Route,
}

/// What a page asks of whoever looks at it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Takes {
    /// Nothing.
    Anybody,
    /// The scope, at the site in its path.
    InSite(Scope),
    /// The scope, at whichever site: it shows each caller what is their own.
    Anywhere(Scope),
    /// The scope, of somebody who is not limited to some sites.
    Everywhere(Scope),
}

/// One line for each page: method, path, the name in the trail, what it takes, and its handler.
macro_rules! pages {
    ($($method:literal $path:literal $name:literal $takes:expr => $handler:path;)*) => {
        &[$(Page {
            method: $method,
            path: $path,
            name: $name,
            takes: $takes,
            handler: || web::to($handler),
        }),*]
    };
}

#[rustfmt::skip]
const PAGES: &[Page] = pages![
    "GET" "/board" "board" Anywhere(Read) => sites::sites;
    "GET" "/board/new" "board_new_site" Everywhere(Admin) => new_site::read;
    "POST" "/board/new" "create_drafted_site" Everywhere(Admin) => new_site::create;
    "POST" "/board/new/import" "import_site" Everywhere(Admin) => new_site::import;
    "GET" "/board/sign-in" "board_sign_in" Anybody => sign_in::read;
    "POST" "/board/sign-in" "sign_in" Anybody => sign_in::sign_in;
    "POST" "/board/sign-out" "sign_out" Anywhere(Read) => sign_in::sign_out;
    "GET" "/board/sign-in/account" "board_account" Anywhere(Read) => account::read;
    "POST" "/board/sign-in/account/password" "change_own_password" Anywhere(Read) => account::change;
    "POST" "/board/sign-in/account/sessions" "end_sessions" Anywhere(Read) => account::end;
    "POST" "/board/units" "board_units" Anywhere(Read) => sites::units;
    "GET" "/board/{site}" "board_site" InSite(Read) => sites::site;
    "GET" "/board/{site}/today" "board_today" InSite(Read) => today::read;
    "GET" "/board/{site}/week" "board_week" InSite(Read) => week::current;
    "GET" "/board/{site}/plans/{plan}/week" "board_plan_week" InSite(Read) => week::read;
    "GET" "/board/{site}/plans/{plan}/week.svg" "board_week_picture" InSite(Read) => week::alone;
    "GET" "/board/{site}/ready" "board_ready" InSite(Read) => ready::read;
    "GET" "/board/{site}/ready/curve.svg" "board_ready_curve" InSite(Read) => ready::picture;
    "GET" "/board/{site}/commitments" "board_commitments" InSite(Read) => commitments::read;
    "POST" "/board/{site}/commitments" "ask_commitment" InSite(Plan) => commitments::take;
    "GET" "/board/{site}/commitments/{commitment}" "board_commitment" InSite(Read) => commitments::one::one;
    "POST" "/board/{site}/commitments/{commitment}/hold" "hold_commitment" InSite(Plan) => commitments::one::hold;
    "POST" "/board/{site}/commitments/{commitment}/accept" "accept_commitment" InSite(Plan) => commitments::one::accept;
    "POST" "/board/{site}/commitments/{commitment}/release" "release_commitment" InSite(Plan) => commitments::one::release;
    "GET" "/board/{site}/demand" "board_demand" InSite(Read) => demand::read;
    "POST" "/board/{site}/demand" "replace_demand" InSite(Plan) => demand::edit;
    "POST" "/board/{site}/demand/paste" "import_demand" InSite(Plan) => demand::paste;
    "POST" "/board/{site}/demand/remove" "delete_demand_line" InSite(Plan) => demand::remove;
    "GET" "/board/{site}/stock" "board_stock" InSite(Read) => stock::read;
    "POST" "/board/{site}/stock/count" "record_stock_count" InSite(Floor) => stock::count::count;
    "POST" "/board/{site}/stock/receive" "record_stock_movement" InSite(Floor) => stock::receive::receive;
    "GET" "/board/{site}/setup" "board_setup" InSite(Read) => setup::read;
    "POST" "/board/{site}/setup" "replace_setup" InSite(Plan) => setup::store;
    "GET" "/board/{site}/setup/{part}" "board_setup_part" InSite(Read) => setup::part::read;
    "POST" "/board/{site}/setup/{part}" "replace_setup" InSite(Plan) => setup::part::change;
    "GET" "/board/{site}/calculators" "board_calculators" InSite(Read) => calculators::list;
    "GET" "/board/{site}/calculators/{part}/{name}" "board_calculator" InSite(Read) => calculators::one;
    "GET" "/board/{site}/sheets" "board_sheets" InSite(Read) => sheets::read;
    "GET" "/board/{site}/admin" "board_admin" InSite(Admin) => admin::read;
    "POST" "/board/{site}/admin/keys" "create_key" InSite(Admin) => admin::make_key;
    "POST" "/board/{site}/admin/keys/revoke" "revoke_key" InSite(Admin) => admin::revoke_key;
    "POST" "/board/{site}/admin/people" "add_person" InSite(Admin) => admin::add_person;
    "POST" "/board/{site}/admin/people/remove" "remove_person" InSite(Admin) => admin::remove_person;
    "POST" "/board/{site}/admin/feeds" "create_calendar" InSite(Admin) => admin::make_feed;
    "POST" "/board/{site}/admin/feeds/revoke" "revoke_calendar" InSite(Admin) => admin::revoke_feed;
    "POST" "/board/{site}/admin/webhooks" "create_webhook" InSite(Admin) => admin::hooks::make;
    "POST" "/board/{site}/admin/webhooks/remove" "delete_webhook" InSite(Admin) => admin::hooks::remove;
    "POST" "/board/{site}/admin/webhooks/secret" "renew_webhook_secret" InSite(Admin) => admin::hooks::renew;
    "POST" "/board/{site}/admin/webhooks/resend" "resend_webhook_delivery" InSite(Admin) => admin::hooks::resend;
    "GET" "/board/{site}/plans" "board_plans" InSite(Read) => plans::read;
    "POST" "/board/{site}/plans" "request_plan" InSite(Plan) => plans::request;
    "GET" "/board/{site}/plans/{plan}" "board_plan" InSite(Read) => plans::one::read;
    "POST" "/board/{site}/plans/{plan}/publish" "publish_plan" InSite(Plan) => plans::one::publish;
    "POST" "/board/{site}/plans/{plan}/replan" "replan" InSite(Plan) => plans::one::replan;
    "POST" "/board/{site}/plans/{plan}/cancel" "cancel_plan" InSite(Plan) => plans::one::cancel;
    "GET" "/board/{site}/plans/{plan}/compare" "board_compare" InSite(Read) => plans::compare::read;
    "POST" "/board/{site}/plans/{plan}/what-if" "ask_what_if" InSite(Plan) => plans::what_if::ask;
    "GET" "/board/{site}/plans/{plan}/confidence" "board_confidence" InSite(Read) => plans::confidence::read;
    "GET" "/board/{site}/plans/{plan}/what-if/{question}" "board_what_if" InSite(Read) => plans::what_if::read;
    "GET" "/board/{site}/plans/{plan}/work/{item}" "board_work" InSite(Read) => work::read;
    "POST" "/board/{site}/plans/{plan}/work/{item}/start" "start_work" InSite(Floor) => work::start;
    "POST" "/board/{site}/plans/{plan}/work/{item}/finish" "finish_work" InSite(Floor) => work::finish;
    "POST" "/board/{site}/plans/{plan}/work/{item}/fail" "fail_work" InSite(Floor) => work::fail;
    "POST" "/board/{site}/plans/{plan}/work/{item}/skip" "skip_work" InSite(Floor) => work::skip;
    "POST" "/board/{site}/plans/{plan}/work/{item}/readings" "log_readings" InSite(Floor) => work::log;
];

/// All of them, for the door to look up, and what they load.
pub(crate) fn operations() -> Operations {
    let assets = ("GET", Operation::open_page(assets::PATH));
    let pages = PAGES.iter().map(|page| {
        let (scope, anywhere) = match page.takes {
            Anybody => (None, false),
            InSite(scope) | Everywhere(scope) => (Some(scope), false),
            Anywhere(scope) => (Some(scope), true),
        };
        let operation = Operation {
            id: page.name.to_owned(),
            path: page.path.to_owned(),
            scope,
            anywhere,
            retiring: None,
        };
        (page.method, operation)
    });
    Operations::listed(pages.chain([assets]))
}

/// All of them, for the server.
pub(super) fn configure(board: &mut web::ServiceConfig) {
    for page in PAGES {
        let (path, method) = (page.path.strip_prefix("/board"), page.method.parse());
        if let (Some(path), Ok(method)) = (path, method) {
            board.route(path, (page.handler)().method(method));
        }
    }
}

#[cfg(test)]
mod tests {
    use actix_web::http::Method;

    use super::*;

    #[test]
    fn each_page_can_be_served_and_says_where_it_belongs() {
        for page in PAGES {
            let path = page.path;
            assert!(path == "/board" || path.starts_with("/board/"), "{path}");
            let method: Method = page.method.parse().unwrap();
            assert!(matches!(method, Method::GET | Method::POST), "{path}");
            let in_site = matches!(page.takes, InSite(_));
            assert_eq!(in_site, path.contains("{site}"), "{path}");
        }
    }
}
