//! Figures for teaching: a numbered set, each with the lesson it tells and the numbers it is drawn from.
//!
//! Knows: which thirteen figures there are ([`TrainingFigure`]), what may be chosen about each
//! ([`Parameter`], [`TrainingOptions`]), and where their numbers come from: an invented circuit on a
//! generic regulator ([`TrainingCircuit`]). Refuses to know: how a figure is laid out (`plot`), where it
//! is kept. Every number in a figure or its caption is computed when the figure is asked for.

mod circuit;
mod draw;
mod figures;
mod folder;
mod level;
mod options;
mod parameter;
mod setting;
mod teach_data;
mod training_figure;

pub use circuit::TrainingCircuit;
pub use folder::{TrainingLook, training_files, training_list};
pub use level::Level;
pub use options::TrainingOptions;
pub use parameter::Parameter;
pub use teach_data::{FlipBook, GeneratorTable, Sound, TeachData, teach_data_files};
pub use training_figure::TrainingFigure;
