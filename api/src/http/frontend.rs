//! Pages for people beside the interface for programs: they have a door and refusals of their own.

use actix_web::dev::ServiceRequest;
use actix_web::{HttpResponse, web};

use super::route::path_of;
use crate::problem::Problem;

/// A part of the service that answers people, as the server is told of it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Frontend {
    /// Whether a path is one of its own, and so goes through its door.
    pub(crate) owns: fn(&str) -> bool,
    /// The page for a request that is refused before it reaches the door.
    pub(crate) refused: fn(Problem) -> HttpResponse,
}

impl Frontend {
    /// The part that a request is for; none where it is for the interface.
    pub(super) fn of(request: &ServiceRequest) -> Option<Self> {
        let frontend = request.app_data::<web::Data<Self>>()?;
        (frontend.owns)(path_of(request)).then_some(***frontend)
    }
}
