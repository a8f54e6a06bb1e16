//! One harness; the folders and the prefixes of the test names say what kind of evidence each is.

mod cross {
    mod capture;
}
mod law {
    mod capture;
}
