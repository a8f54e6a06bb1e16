/// Where in a text file something was found: line and column count from 1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1; absent when only the line is known.
    pub column: Option<usize>,
    /// The field, in the file's own spelling, when the trouble concerns one.
    pub field: Option<String>,
    /// Byte range in the text, for a marked excerpt.
    pub span: Option<std::ops::Range<usize>>,
}

impl Place {
    /// A whole line.
    #[must_use]
    pub fn line(line: usize) -> Self {
        Self { line, column: None, field: None, span: None }
    }

    /// The place of a byte range in `text`.
    #[must_use]
    pub fn in_text(text: &str, span: std::ops::Range<usize>) -> Self {
        let start = (0..=span.start.min(text.len()))
            .rev()
            .find(|&at| text.is_char_boundary(at))
            .unwrap_or(0);
        let before = &text[..start];
        let line = before.matches('\n').count() + 1;
        let column = before.rsplit('\n').next().map_or(1, |tail| tail.chars().count() + 1);
        Self { line, column: Some(column), field: None, span: Some(span) }
    }

    /// The same place with the field named.
    #[must_use]
    pub fn with_field(mut self, field: impl Into<String>) -> Self {
        self.field = Some(field.into());
        self
    }
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.line)?;
        if let Some(column) = self.column {
            write!(f, ":{column}")?;
        }
        if let Some(field) = &self.field {
            write!(f, " ({field})")?;
        }
        Ok(())
    }
}
