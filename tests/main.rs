//! One harness; the folders and the prefixes of the test names say what kind of evidence each is.

#[path = "published/regulator.rs"]
mod published_regulator;
