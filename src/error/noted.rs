/// A finding that is no failure: shown beside the result on every face and in every record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Note {
    /// Stable short name, for programs that read the result.
    pub code: &'static str,
    /// One sentence for a person.
    pub text: String,
}

impl Note {
    /// A finding with its stable name and its sentence.
    #[must_use]
    pub fn new(code: &'static str, text: impl Into<String>) -> Self {
        Self { code, text: text.into() }
    }
}

/// A value together with what was noticed while making it.
#[derive(Clone, Debug, PartialEq)]
pub struct Noted<T> {
    /// The value.
    pub value: T,
    /// The findings, in the order they were made.
    pub notes: Vec<Note>,
}

impl<T> Noted<T> {
    /// A value with nothing to say about it.
    #[must_use]
    pub fn clean(value: T) -> Self {
        Self { value, notes: Vec::new() }
    }

    /// Carries the notes over to a value made from this one.
    #[must_use]
    pub fn map<U>(self, make: impl FnOnce(T) -> U) -> Noted<U> {
        Noted { value: make(self.value), notes: self.notes }
    }
}
