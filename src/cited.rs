//! A published number with its source.
//!
//! Knows: where a number was printed, and how well we know it. Refuses to know: what it is used for.
//! Convention: a number whose source nobody here has read says "from memory" wherever it is shown.

use std::borrow::Cow;

/// How well a number from the world is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Evidence {
    /// Read in the published source itself.
    Printed,
    /// Read in a page that quotes the source.
    Quoted,
    /// Derived from other numbers; the derivation is a test or a doc comment.
    Derived,
    /// From memory, not verified: an editable default, never "the standard says".
    Memory,
    /// What the trade does; nobody here knows a publication that says so.
    CommonPractice,
    /// Entered by the user in a description file.
    Entered,
}

impl Evidence {
    /// The words shown behind a source line.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Printed => "as printed",
            Self::Quoted => "as quoted elsewhere",
            Self::Derived => "derived",
            Self::Memory => "from memory, not verified",
            Self::CommonPractice => "common practice, no source",
            Self::Entered => "entered by the user",
        }
    }
}

/// A publication (or the lack of one), with the place in it and how well it is known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// Title, number and date of the publication, or what stands in its place.
    pub title: Cow<'static, str>,
    /// Table, page or clause; empty when there is none.
    pub place: Cow<'static, str>,
    /// How well the number is known.
    pub evidence: Evidence,
}

impl Source {
    /// A source known when the program was built.
    #[must_use]
    pub const fn known(title: &'static str, place: &'static str, evidence: Evidence) -> Self {
        Self { title: Cow::Borrowed(title), place: Cow::Borrowed(place), evidence }
    }

    /// What the user typed as the source of numbers entered in a description file.
    #[must_use]
    pub fn entered(title: impl Into<String>) -> Self {
        Self {
            title: Cow::Owned(title.into()),
            place: Cow::Borrowed(""),
            evidence: Evidence::Entered,
        }
    }
}

impl std::fmt::Display for Source {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.title)?;
        if !self.place.is_empty() {
            write!(f, ", {}", self.place)?;
        }
        write!(f, " ({})", self.evidence.words())
    }
}

/// A value from the world together with its source.
#[derive(Clone, Debug, PartialEq)]
pub struct Cited<T> {
    /// The value.
    pub value: T,
    /// Where it comes from.
    pub source: Source,
}
