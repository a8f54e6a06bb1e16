use crate::error::Note;

/// Where the values of a regulator come from, as far as whoever wrote them says.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ValuesOrigin {
    /// Scaled from the rating; nobody's machine.
    #[default]
    Generic,
    /// Fitted to captures of the output current.
    Fitted,
    /// Measured on the machine, or taken from its papers.
    Measured,
}

impl ValuesOrigin {
    /// One word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Generic => "generic",
            Self::Fitted => "fitted",
            Self::Measured => "measured",
        }
    }

    /// What a figure says of it at its foot.
    #[must_use]
    pub fn short(self) -> &'static str {
        match self {
            Self::Generic => "generic model, nobody's machine",
            Self::Fitted => "values fitted to captures of its current",
            Self::Measured => "values measured on the machine",
        }
    }

    /// What has to be said beside every result, without a full stop.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Generic => {
                "a generic model, fitted to nobody's machine until it is fitted or measured"
            }
            Self::Fitted => {
                "a model fitted to captures, as far as the remarks beside its values say"
            }
            Self::Measured => "a model with values measured on the machine",
        }
    }

    /// The same as a note.
    #[must_use]
    pub fn note(self) -> Note {
        let code = match self {
            Self::Generic => "generic-model",
            Self::Fitted => "fitted-model",
            Self::Measured => "measured-model",
        };
        Note::new(code, self.words())
    }
}
