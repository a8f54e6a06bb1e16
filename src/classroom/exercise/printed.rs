/// A number as it stands on a sheet: what is printed is all that counts from there on.
#[derive(Clone, Debug, PartialEq)]
pub struct Printed {
    value: f64,
    text: String,
    unit: &'static str,
}

impl Printed {
    /// A number rounded to decimals, with its unit; empty for a number without one.
    ///
    /// # Panics
    /// Never for a finite number: what was printed as a number reads as one.
    #[must_use]
    pub fn new(exact: f64, decimals: usize, unit: &'static str) -> Self {
        let mut text = format!("{exact:.decimals$}");
        let value: f64 = text.parse().expect("a printed finite number is a number");
        // What rounds to nothing has no sign.
        if value == 0.0 {
            text = text.trim_start_matches('-').to_owned();
        }
        Self { value: value + 0.0, text, unit }
    }

    /// The number that is printed, not the one it was made from.
    #[must_use]
    pub fn value(&self) -> f64 {
        self.value
    }

    /// Its digits without the unit, for a column whose head names it.
    #[must_use]
    pub fn bare(&self) -> &str {
        &self.text
    }
}

impl std::fmt::Display for Printed {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.text)?;
        if self.unit.is_empty() { Ok(()) } else { write!(f, " {}", self.unit) }
    }
}
