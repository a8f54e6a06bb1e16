//! One situation at the bench: a regulator, a step, a load, lamps out and a meter, and what is then seen.
//!
//! Knows: how a choice is put to a description, and what comes of it (waveform, readings, verdict, light and life).
//! Refuses to know: screens, figures, files.
