//! A network as plain data, its motion in time and its periodic steady states.
//!
//! Knows: nodes, branches and elements; checks before solving; the exact location of every turn-on,
//! turn-off and zero crossing; periodic solutions by Newton on the period map, their multipliers;
//! branches of solutions past folds. Refuses to know: airfields, meters, what a current is for.
//!
//! Conventions: a branch goes `from` → `to`; its voltage is v(from) − v(to) and its current flows
//! from → to through the element, so v·i is the power it takes up (a source that delivers has a
//! negative one). Amplitudes are peak values of sines, x(t) = Σ A sin(h ω t + φ). Flux linkage is
//! the time integral of the branch voltage. Delays and phases are radians of the mains frequency.
//!
//! Method: between switchings the network is ẋ = A x + N f(λ) + S e(t) with constant matrices, one
//! set for each combination of switches. Each step is a Taylor series of high order; events are
//! roots of those series; the derivative of the flow is carried along and corrected at every event,
//! so the period map and its Jacobian are exact to rounding and Newton converges quadratically.

mod check;
mod compiled;
mod element;
mod flow;
mod follow;
mod gate;
mod magnet;
mod network;
mod newton;
mod others;
mod periodic;
mod section;
mod sense;
mod shooting;
mod source;
mod spice;
mod taylor;
mod topology;
mod trajectory;

pub use compiled::Circuit;
pub use element::Element;
pub use flow::Flow;
pub use follow::{BranchPoint, FollowOptions, SolutionBranch, follow};
pub use gate::{Crossing, GateReference, GateRule};
pub use magnet::Magnet;
pub use network::{Branch, BranchId, Network, NodeId};
pub use others::find_others;
pub use periodic::{PeriodicSolution, Stability};
pub use section::{PendingFiring, Section};
pub use sense::{SenseLaw, Target};
pub use shooting::{ShootingOptions, Symmetry, find_periodic};
pub use source::{Source, Tone};
pub use spice::{NetlistOptions, NetlistStart, netlist_text};
pub use taylor::StepPlan;
pub use trajectory::{BranchTrace, Trajectory};
