//! One harness; the folders and the prefixes of the test names say what kind of evidence each is.

mod exact {
    mod circuit_linear;
    mod circuit_switched;
    mod numeric;
    mod regulator_contrast;
}
mod law {
    mod circuit_checks;
    mod circuit_energy;
    mod circuit_motion;
    mod circuit_netlist;
    mod regulator_range;
}
mod physics {
    mod circuit_nonlinear;
    mod regulator_coexistence;
    mod regulator_control;
    mod regulator_waveform;
}
mod cross {
    mod regulator_rows;
}
