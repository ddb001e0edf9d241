//! A discrete-time resource-task network, as plain data.
//!
//! Time is a row of points 0, 1, 2 … A *resource* has a level at every point. A *task* may start
//! at a point, a whole or fractional number of times and with an optional size, and moves
//! resources at fixed offsets from its start:
//!
//! `level(r, t) = level(r, t-1) + moves of tasks started at t - offset + supply(r, t) - spilled(r, t)`
//!
//! and every level stays within its bounds. The formulation is that of Kondili, Pantelides &
//! Sargent (Computers & Chemical Engineering 17:211, 1993) in the resource form of Pantelides
//! (FOCAPO 1994). Nothing here knows of soda.
//!
//! ```
//! use scheduler::network::{Count, Network, Resource, Task};
//! // One oven, two hours a loaf, six points: at most two loaves are ready by the last point.
//! let mut net = Network::new(6);
//! let oven = net.add_resource(Resource::named("oven").starting(1.0).at_most(1.0));
//! let bread = net.add_resource(Resource::named("bread").worth_at_end(5, 1.0));
//! net.add_task(
//!     Task::named("bake", Count::Whole)
//!         .up_to(1.0, 0..6)
//!         .per_start(oven, 0, -1.0)
//!         .per_start(oven, 2, 1.0)
//!         .per_start(bread, 2, 1.0),
//! );
//! net.check().unwrap();
//! ```

mod resource;
mod series;
mod task;

pub use resource::{Resource, ResourceId};
pub use series::Series;
pub use task::{Count, Move, Size, Task, TaskId};

/// A network: points, resources and tasks.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Network {
    points: usize,
    resources: Vec<Resource>,
    tasks: Vec<Task>,
}

/// Why a network makes no sense.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BadNetwork {
    /// It has no points.
    #[error("a network needs at least one point")]
    NoPoints,
    /// A task names a resource that is not there.
    #[error("task \"{task}\" moves a resource that the network does not have")]
    UnknownResource {
        /// The task.
        task: String,
    },
    /// A task's size moves something, but the task has no size.
    #[error("task \"{task}\" moves something by its size, but has none")]
    NoSize {
        /// The task.
        task: String,
    },
    /// A number is not finite, or a lower bound is above its upper bound.
    #[error("\"{name}\" has a number that is not finite, or bounds that cross")]
    BadNumber {
        /// The resource or task.
        name: String,
    },
}

impl Network {
    /// An empty network with `points` points.
    #[must_use]
    pub fn new(points: usize) -> Self {
        Self {
            points,
            ..Self::default()
        }
    }

    /// Number of points.
    #[must_use]
    pub fn points(&self) -> usize {
        self.points
    }

    /// Adds a resource and returns how tasks name it.
    pub fn add_resource(&mut self, resource: Resource) -> ResourceId {
        self.resources.push(resource);
        ResourceId(self.resources.len() - 1)
    }

    /// Adds a task and returns its name.
    pub fn add_task(&mut self, task: Task) -> TaskId {
        self.tasks.push(task);
        TaskId(self.tasks.len() - 1)
    }

    /// All resources with their names, in the order they were added.
    pub fn resources(&self) -> impl Iterator<Item = (ResourceId, &Resource)> {
        self.resources
            .iter()
            .enumerate()
            .map(|(n, r)| (ResourceId(n), r))
    }

    /// All tasks with their names, in the order they were added.
    pub fn tasks(&self) -> impl Iterator<Item = (TaskId, &Task)> {
        self.tasks.iter().enumerate().map(|(n, k)| (TaskId(n), k))
    }

    /// One resource.
    #[must_use]
    pub fn resource(&self, id: ResourceId) -> &Resource {
        &self.resources[id.0]
    }

    /// One resource, to be changed.
    pub fn resource_mut(&mut self, id: ResourceId) -> &mut Resource {
        &mut self.resources[id.0]
    }

    /// One task.
    #[must_use]
    pub fn task(&self, id: TaskId) -> &Task {
        &self.tasks[id.0]
    }

    /// One task, to be changed.
    pub fn task_mut(&mut self, id: TaskId) -> &mut Task {
        &mut self.tasks[id.0]
    }

    /// Checks that tasks name resources that exist and that all numbers can be computed with.
    ///
    /// # Errors
    /// [`BadNetwork`], naming the first task or resource that makes no sense.
    pub fn check(&self) -> Result<(), BadNetwork> {
        if self.points == 0 {
            return Err(BadNetwork::NoPoints);
        }
        for resource in &self.resources {
            if !resource.makes_sense(self.points) {
                return Err(BadNetwork::BadNumber {
                    name: resource.name.clone(),
                });
            }
        }
        for task in &self.tasks {
            let task_name = || task.name.clone();
            if task
                .moves
                .iter()
                .any(|m| m.resource.0 >= self.resources.len())
            {
                return Err(BadNetwork::UnknownResource { task: task_name() });
            }
            if task.size.is_none() && task.moves_by_size() {
                return Err(BadNetwork::NoSize { task: task_name() });
            }
            if !task.makes_sense(self.points) {
                return Err(BadNetwork::BadNumber { name: task_name() });
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_task_may_not_name_a_missing_resource() {
        let mut other = Network::new(2);
        let missing = other.add_resource(Resource::named("elsewhere"));
        let mut net = Network::new(2);
        net.add_task(Task::named("lost", Count::Whole).per_start(missing, 0, 1.0));
        let task = "lost".to_owned();
        assert_eq!(net.check(), Err(BadNetwork::UnknownResource { task }));
    }

    #[test]
    fn numbers_must_be_finite_and_bounds_must_not_cross() {
        let mut net = Network::new(2);
        net.add_resource(Resource::named("odd").at_least(2.0).at_most(1.0));
        let name = "odd".to_owned();
        assert_eq!(net.check(), Err(BadNetwork::BadNumber { name }));
        let mut net = Network::new(2);
        net.add_resource(Resource::named("odd").starting(f64::NAN));
        assert!(net.check().is_err());
    }

    #[test]
    fn only_a_task_with_a_size_moves_by_size() {
        let mut net = Network::new(2);
        let water = net.add_resource(Resource::named("water"));
        net.add_task(Task::named("pour", Count::Whole).per_size(water, 0, 1.0));
        let task = "pour".to_owned();
        assert_eq!(net.check(), Err(BadNetwork::NoSize { task }));
    }
}
