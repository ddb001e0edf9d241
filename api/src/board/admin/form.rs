//! A form of the admin page: who sends it, at which site, and how it is answered.

use actix_web::dev::Payload;
use actix_web::{Error, FromRequest, HttpRequest, HttpResponse, web};
use futures_util::FutureExt;
use futures_util::future::LocalBoxFuture;
use scheduler::scenario::SiteId;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};

use super::super::error_page::{ErrorPage, Told};
use super::super::fields::{Fields, through};
use super::super::go_to;
use super::super::principal::Principal;
use super::show;
use crate::domain::Refusal;
use crate::domain::access::Actor;
use crate::http::{SitePath, TypedPath};
use crate::service::Service;
use crate::storage::Connection;

/// What was sent.
#[derive(Clone)]
pub(super) struct Sent {
    pub(super) visitor: Principal,
    pub(super) site: SiteId,
    pub(super) fields: Fields,
}

impl Sent {
    pub(super) fn actor(&self) -> &Actor {
        &self.visitor.actor
    }

    /// What a field says; nothing where it is not there.
    pub(super) fn text(&self, field: &str) -> &str {
        self.fields.get(field).unwrap_or_default()
    }

    /// What a field names.
    pub(super) fn named<T: DeserializeOwned>(&self, field: &str) -> Result<T, Refusal> {
        through(json!(self.text(field)))
    }

    /// The only site a key or person is for, if it is not for all.
    pub(super) fn only(&self) -> Value {
        match self.fields.get("here") {
            Some(_) => json!([self.site]),
            None => Value::Null,
        }
    }
}

/// A form, before the service.
pub(in crate::board) struct AdminForm {
    pub(super) service: web::Data<Service>,
    pub(super) sent: Sent,
}

impl FromRequest for AdminForm {
    type Error = Error;
    type Future = LocalBoxFuture<'static, Result<Self, Error>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        type Parts = (web::Data<Service>, Principal, TypedPath<SitePath>, Fields);
        let parts = Parts::from_request(request, payload);
        async move {
            let (service, visitor, TypedPath(SitePath { site }), fields) = parts.await?;
            let sent = Sent {
                visitor,
                site,
                fields,
            };
            Ok(Self { service, sent })
        }
        .boxed_local()
    }
}

impl AdminForm {
    /// Makes the change that was asked for.
    pub(super) async fn write<T: Send + 'static>(
        &self,
        change: impl FnOnce(&mut Connection, &Sent) -> Result<T, Refusal> + Send + 'static,
    ) -> Result<T, Refusal> {
        let sent = self.sent.clone();
        self.service
            .store
            .write(move |conn| change(conn, &sent))
            .await
    }

    /// Leads back to a part of the page, or says why nothing was changed.
    pub(super) async fn done<T>(
        self,
        part: &str,
        done: Result<T, Refusal>,
    ) -> Result<HttpResponse, ErrorPage> {
        match done {
            Ok(_) => Ok(go_to(format!("/board/{}/admin{part}", self.sent.site))),
            Err(refusal) => self.refused(refusal).await,
        }
    }

    /// Shows a secret this once, or says why there is none.
    pub(super) async fn show_once(
        self,
        what: &'static str,
        made: Result<String, Refusal>,
    ) -> Result<HttpResponse, ErrorPage> {
        match made {
            Ok(secret) => {
                let Sent { visitor, site, .. } = self.sent;
                let secret = Some((what, secret));
                show(&self.service, visitor, site, Told::nothing(), secret).await
            }
            Err(refusal) => self.refused(refusal).await,
        }
    }

    async fn refused(self, refusal: Refusal) -> Result<HttpResponse, ErrorPage> {
        let Sent { visitor, site, .. } = self.sent;
        show(&self.service, visitor, site, Told::of(refusal), None).await
    }
}
