/// A run of text, as HTML and without any marks.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Words {
    /// As HTML, escaped.
    pub html: String,
    /// As plain text.
    pub plain: String,
}

impl Words {
    /// Plain words.
    #[must_use]
    pub fn of(text: &str) -> Self {
        let mut words = Self::default();
        words.push(text);
        words
    }

    pub(super) fn push(&mut self, text: &str) {
        self.html.push_str(&escaped(text));
        self.plain.push_str(text);
    }

    pub(super) fn mark(&mut self, tag: &str) {
        self.html.push_str(tag);
    }
}

/// Text as it may stand in HTML, in an attribute as well.
pub(super) fn escaped(text: &str) -> String {
    let mut html = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => html.push_str("&amp;"),
            '<' => html.push_str("&lt;"),
            '>' => html.push_str("&gt;"),
            '"' => html.push_str("&quot;"),
            '\'' => html.push_str("&#39;"),
            other => html.push(other),
        }
    }
    html
}
