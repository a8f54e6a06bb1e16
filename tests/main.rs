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
    mod identify;
    mod judgement;
    mod lamp;
    mod numeric;
    mod plots;
    mod regulator_contrast;
    mod third_harmonic;
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
    mod identify;
    mod layers;
    mod output_folder;
    mod plots;
    mod regulator_description;
    mod regulator_range;
    mod spectrum;
    mod step_tables;
    mod units;
    mod waveform;
}
mod published {
    pub(crate) mod sources;

    mod bands;
    mod least_squares;
}
mod physics {
    mod circuit_nonlinear;
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
    mod regulator_coexisting;
    mod regulator_oracle;
    mod regulator_rows;
}
mod pinned {
    mod bands;
    mod command_line;
    mod fit_command;
    mod plots;
    mod regulator_commands;
    mod regulator_effort;
}
