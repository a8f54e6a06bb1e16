//! One harness; the folders and the prefixes of the test names say what kind of evidence each is:
//! `exact_` equals a closed form, `law_` obeys an identity, `published_` reproduces printed digits,
//! `physics_` behaves as the physics says, `cross_` agrees with another program or with measured
//! files, `pinned_` has not moved.

#![allow(
    clippy::unwrap_used,
    clippy::float_cmp,
    reason = "a test may stop at the first surprise, and may ask for the very same number"
)]

mod support;

mod exact {
    mod band_limit;
    mod capture_periods;
    mod circuit_linear;
    mod circuit_switched;
    mod classic_shapes;
    mod conductors;
    mod consequences;
    mod distribution;
    mod drift;
    mod field;
    mod identify;
    mod instrument;
    mod judgement;
    mod lamp;
    mod load_calculation;
    mod meter_reading;
    mod numeric;
    mod plots;
    mod reading_set_bands;
    pub(crate) mod protection;
    mod regulator_contrast;
    mod sample;
    mod sensitivity;
    mod third_harmonic;
    mod training;
    mod uncertainty;
}
mod law {
    mod bad_input;
    mod capture;
    mod capture_events;
    mod capture_formats;
    mod capture_stream;
    mod capture_text;
    mod capture_told;
    mod circuit_checks;
    mod circuit_energy;
    mod circuit_memory;
    mod circuit_motion;
    mod circuit_netlist;
    mod description;
    mod field;
    mod exercises;
    mod field_description;
    mod field_plots;
    mod fuzz;
    mod identify;
    mod instrument;
    mod layers;
    mod lesson;
    mod load_comparison;
    mod logbook;
    mod logbook_hardship;
    mod meter_description;
    mod meter_reading;
    mod meter_sheet;
    mod output_folder;
    #[cfg(unix)]
    mod page_guard;
    #[cfg(unix)]
    mod page_hardship;
    #[cfg(unix)]
    mod page_routes;
    #[cfg(unix)]
    mod page_visits;
    mod paper;
    mod plots;
    mod procedure;
    mod protection;
    mod reading_decision;
    mod reading_plausibility;
    mod regulator_description;
    mod regulator_range;
    mod sensitivity;
    mod situation;
    mod spectrum;
    mod step_tables;
    mod stream;
    mod study;
    mod sweep;
    pub(crate) mod training;
    mod teach_data;
    mod uncertainty;
    mod units;
    mod visit_record;
    mod waveform;
}
mod published {
    pub(crate) mod sensitivity;
    pub(crate) mod sources;

    mod bands;
    mod clamp_class;
    mod conductors;
    mod decision;
    mod drift;
    mod least_squares;
    mod load_calculation;
    mod uncertainty;
}
mod physics {
    mod circuit_nonlinear;
    mod instrument;
    mod lamps_out;
    mod protection;
    mod recheck;
    mod regulator_coexistence;
    mod regulator_control;
    mod regulator_waveform;
    mod tolerances;
}
mod cross {
    mod capture;
    mod capture_command;
    mod capture_formats;
    mod capture_periods;
    mod circuit_ngspice;
    mod circuit_nonlinear_pair;
    mod circuit_reference;
    mod circuit_transient;
    mod comtrade_reader;
    mod field_ngspice;
    mod field_rows;
    mod lesson_page;
    mod logbook_chain;
    mod meter_front_end;
    #[cfg(unix)]
    mod page_access;
    mod page_bench;
    mod page_desks;
    mod page_documents;
    mod page_worksheet;
    mod page_worksheet_trouble;
    mod protection;
    mod regulator_coexisting;
    mod regulator_oracle;
    mod regulator_rows;
    mod sweep_tables;
    mod uncertainty;
}
mod pinned {
    mod bands;
    mod calibrate_command;
    mod capture_explain;
    mod command_line;
    mod demo_command;
    mod field_commands;
    mod fit_command;
    mod logbook_commands;
    mod logbook_versions;
    mod meter_commands;
    mod plots;
    mod protection_command;
    mod record_commands;
    mod regulator_commands;
    mod regulator_effort;
    mod study_commands;
    mod verdicts;
}
