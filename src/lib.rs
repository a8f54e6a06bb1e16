//! What each kind of meter shows on the distorted current of an airfield-lighting series circuit,
//! and whether that meter may set a brightness step.
//!
//! The modules are declared ground up: a module uses only what is declared above it, and a test
//! (`law_layers_import_only_downwards`) holds that.

pub mod error;
pub mod units;
pub mod cited;
pub mod numeric;
pub mod uncertainty;
pub mod waveform;
pub mod spectrum;
#[cfg(feature = "files")]
pub mod capture;
pub mod meter;
pub mod circuit;
pub mod regulator;
pub mod series;
pub mod lamp;
pub mod identify;
pub mod assess;
#[cfg(feature = "files")]
pub mod description;
#[cfg(feature = "files")]
pub mod situation;
#[cfg(feature = "study")]
pub mod study;
#[cfg(feature = "files")]
pub mod procedure;
#[cfg(feature = "logbook")]
pub mod logbook;
#[cfg(feature = "plot")]
pub mod plot;
#[cfg(feature = "report")]
pub mod report;
#[cfg(feature = "classroom")]
pub mod classroom;
#[cfg(feature = "web")]
pub mod web;
#[cfg(feature = "cli")]
pub mod cli;

#[cfg(doctest)]
#[doc = include_str!("../README.md")]
mod readme {}
