//! From a network to a mixed-integer linear program, and to the solver and back.
//!
//! `build` writes down the formulation, `program` is plain data, `model_loader` takes it to the solver,
//! `engine` has it solved and reads the answer. No solver type leaves this module.

mod build;
mod callback;
mod engine;
mod export;
mod linear;
mod model_loader;
mod program;
mod shape;
mod slice;
mod solver_thread;

pub use build::{Formulation, Level, formulate};
pub use callback::{Progress, Watch};
pub use engine::{Basis, NoSolution, Settings, Solved, Stop, WarmStart, solve};
pub use export::{ExportError, export_mps};
pub use program::{Column, Program, Relation, Row};
pub use shape::Shape;
pub use slice::{After, Slice};
pub use solver_thread::{runs_left_behind, runs_under_way, wait_for_runs};
