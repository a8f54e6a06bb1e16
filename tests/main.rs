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
    mod circuit_linear;
    mod circuit_switched;
    mod classic_shapes;
    mod distribution;
    mod instrument;
    mod judgement;
    mod lamp;
    mod meter_reading;
    mod numeric;
    mod plots;
    mod regulator_contrast;
    mod third_harmonic;
    mod uncertainty;
}
mod law {
    mod bad_input;
    mod capture;
    mod circuit_checks;
    mod circuit_energy;
    mod circuit_memory;
    mod circuit_motion;
    mod circuit_netlist;
    mod description;
    mod instrument;
    mod layers;
    mod meter_description;
    mod meter_reading;
    mod meter_sheet;
    mod output_folder;
    mod plots;
    mod regulator_description;
    mod regulator_range;
    mod spectrum;
    mod step_tables;
    mod stream;
    mod uncertainty;
    mod units;
    mod waveform;
}
mod published {
    pub(crate) mod sources;

    mod bands;
    mod clamp_class;
    mod decision;
    mod uncertainty;
}
mod physics {
    mod circuit_nonlinear;
    mod instrument;
    mod recheck;
    mod regulator_coexistence;
    mod regulator_control;
    mod regulator_waveform;
}
mod cross {
    mod capture;
    mod capture_command;
    mod circuit_ngspice;
    mod circuit_nonlinear_pair;
    mod circuit_reference;
    mod circuit_transient;
    mod meter_front_end;
    mod regulator_coexisting;
    mod regulator_oracle;
    mod regulator_rows;
    mod uncertainty;
}
mod pinned {
    mod bands;
    mod command_line;
    mod plots;
    mod meter_commands;
    mod regulator_commands;
    mod regulator_effort;
    mod verdicts;
}
