//! One harness; the folders and the prefixes of the test names say what kind of evidence each is:
//! `exact_` equals a closed form, `law_` obeys an identity, `published_` reproduces printed digits,
//! `cross_` agrees with another program or with measured files, `pinned_` has not moved.

#![allow(
    clippy::unwrap_used,
    clippy::float_cmp,
    reason = "a test may stop at the first surprise, and may ask for the very same number"
)]

mod support;

mod exact {
    mod classic_shapes;
    mod lamp;
    mod plots;
    mod third_harmonic;
}
mod law {
    mod bad_input;
    mod capture;
    mod description;
    mod layers;
    mod output_folder;
    mod plots;
    mod spectrum;
    mod units;
    mod waveform;
}
mod published {
    pub(crate) mod sources;

    mod bands;
}
mod cross {
    mod capture;
}
mod pinned {
    mod command_line;
    mod plots;
}
