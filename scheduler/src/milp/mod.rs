//! From a network to a mixed-integer linear program, and to the solver and back.
//!
//! `build` writes down the formulation, `program` is plain data, `handing` takes it to the solver,
//! `engine` has it solved and reads the answer. No solver type leaves this module.

mod apart;
mod build;
mod callback;
mod engine;
mod export;
mod handing;
mod linear;
mod program;
mod shape;
mod slice;

pub use apart::{runs_left_behind, runs_under_way, wait_for_runs};
pub use build::{Formulation, Level, formulate};
pub use callback::{Progress, Watch};
pub use engine::{Basis, Known, NoSolution, Settings, Solved, Stop, solve};
pub use export::{ExportError, export_mps};
pub use program::{Column, Program, Relation, Row};
pub use shape::Shape;
pub use slice::{After, Slice};
