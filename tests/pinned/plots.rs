//! The committed pictures are what the examples draw today.

#![allow(clippy::unwrap_used, reason = "a test may stop at what cannot be made")]

#[path = "../../examples/invented/mod.rs"]
mod invented;

#[path = "../../examples/generic/mod.rs"]
mod generic;

#[path = "../../examples/field/mod.rs"]
mod field;

#[path = "../../examples/estimated/mod.rs"]
mod estimated;

#[path = "../../examples/recorded/mod.rs"]
mod recorded;

use std::path::Path;

use loopcrest::classroom::training::{TrainingCircuit, TrainingFigure, TrainingOptions};
use loopcrest::plot::{
    Figure, Palette, current_figure, error_figure, harmonics_figure, ladder_figure,
};

use crate::support::invented_visits as visits;

/// The examples that draw the training figures, in their order.
const TRAINING: [&str; 13] = [
    "20_why_rms",
    "21_three_detectors",
    "22_same_thd",
    "23_steps_and_loads",
    "24_sign_change",
    "25_lamps_out",
    "26_crest_limit",
    "27_bandwidth",
    "28_range_bottom",
    "29_light_and_life",
    "30_sources",
    "31_drift_guarded",
    "32_protection_training",
];

/// The figures of the numbered examples, with their names.
fn figures() -> Vec<(&'static str, Figure)> {
    let (cases, survey) = invented::cases_and_survey().unwrap();
    let result = &survey.results()[invented::CHOSEN];
    let [intervals, sensitivity, convergence] = estimated::figures().unwrap();
    let mut figures = vec![
        ("01_current", current_figure(&cases[invented::CHOSEN], result)),
        ("02_errors", error_figure(&survey)),
        ("03_harmonics", harmonics_figure(result)),
        ("04_ladder", ladder_figure().unwrap()),
        ("05_branches", generic::branches().unwrap()),
        ("06_load_curves", generic::load_curves().unwrap()),
        ("07_phase_portrait", generic::phase_portrait().unwrap()),
        ("08_contrast", generic::contrast().unwrap()),
        ("09_load_bar", field::load_bar().unwrap()),
        ("10_lamps_out_voltage", field::voltage().unwrap()),
        ("11_crest_map", field::crest_map().unwrap()),
        ("12_reading_causes", generic::reading_causes().unwrap()),
        ("13_reading_distribution", invented::reading_distribution().unwrap()),
        ("14_comparison", invented::comparison().unwrap()),
        ("15_intervals", intervals),
        ("16_sensitivity", sensitivity),
        ("17_convergence", convergence),
        ("18_protection_times", generic::protection_times().unwrap()),
        ("19_drift", visits::drift().unwrap().unwrap()),
        ("33_visit_readings", recorded::readings().unwrap()),
        ("34_output_waveforms", recorded::waveforms().unwrap()),
    ];
    let circuit = TrainingCircuit::invented().unwrap();
    let none = TrainingOptions::default();
    let drawn = TrainingFigure::ALL.map(|figure| figure.figure_of(&circuit, &none).unwrap());
    figures.extend(TRAINING.into_iter().zip(drawn));
    figures
}

/// Redraw with `cargo run --release --example NAME` after looking at what changed. Coordinates are
/// whole eighths of a pixel, so that the last bit of a sine does not matter.
#[test]
fn pinned_committed_svgs_are_what_is_drawn() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("plots");
    for (name, figure) in figures() {
        let path = folder.join(format!("{name}.svg"));
        let committed = std::fs::read_to_string(&path).unwrap();
        let drawn = figure.draw(&Palette::LIGHT).unwrap();
        assert!(drawn.svg() == committed, "{name}.svg has moved");
    }
}

#[test]
fn pinned_committed_pngs_are_small_and_there() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("plots");
    for (name, _) in figures() {
        let png = std::fs::read(folder.join(format!("{name}.png"))).unwrap();
        assert!(png.starts_with(b"\x89PNG"), "{name}.png is no PNG");
        // Fifteen panels take more than one.
        let most = if name == "23_steps_and_loads" { 200_000 } else { 155_000 };
        assert!(png.len() < most, "{name}.png takes {} bytes in the repository", png.len());
    }
}
