//! One harness; the folders and the prefixes of the test names say what kind of evidence each is.

mod exact {
    mod plots;
}
mod law {
    mod plots;
}
mod pinned {
    mod plots;
}
