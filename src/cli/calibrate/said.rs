/// One line of a person, understood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Said {
    /// Yes, with words behind it.
    Yes(Option<String>),
    /// No, with words behind it.
    No(Option<String>),
    /// Anything else: a number, words.
    Words(String),
    /// An empty line.
    Nothing,
    /// The number is the same as before.
    Same,
    /// What can be said.
    Help,
    /// Why is it asked?
    Why,
    /// Something worth writing down.
    Note(String),
    /// The last answer was a slip.
    Back,
    /// Another number for an entry.
    Correct { number: u64, typed: String },
    /// What is entered so far.
    List,
    /// Leave this one as it is.
    Skip(Option<String>),
    /// Leave now, go on later.
    Leave,
    /// Close the visit before its end.
    End(String),
    /// A command that lacks something; what it lacks.
    Incomplete(&'static str),
}

impl Said {
    /// Understands a line. Commands are whole words at its beginning; what is no command is words.
    pub(super) fn of(line: &str) -> Self {
        let line = line.trim();
        let (first, rest) = line.split_once(char::is_whitespace).unwrap_or((line, ""));
        let rest = rest.trim();
        let words = (!rest.is_empty()).then(|| rest.to_owned());
        match (first.to_lowercase().as_str(), rest) {
            ("", _) => Self::Nothing,
            ("y" | "yes", _) => Self::Yes(words),
            ("n" | "no", _) => Self::No(words),
            ("s" | "same" | "=", "") => Self::Same,
            ("?" | "h" | "help", "") => Self::Help,
            ("why", "") => Self::Why,
            ("note", "") => Self::Incomplete("note TEXT: what is to be written down?"),
            ("note", text) => Self::Note(text.to_owned()),
            ("back", "") => Self::Back,
            ("list", "") => Self::List,
            ("correct", rest) => Self::correct(rest),
            ("skip", _) => Self::Skip(words),
            ("leave" | "quit" | "exit", "") => Self::Leave,
            ("end", "") => Self::Incomplete(
                "end REASON closes the visit before its end: give the reason. `leave` keeps it open.",
            ),
            ("end", reason) => Self::End(reason.to_owned()),
            _ => Self::Words(line.to_owned()),
        }
    }

    fn correct(rest: &str) -> Self {
        let (number, typed) = rest.split_once(char::is_whitespace).unwrap_or((rest, ""));
        match (number.parse(), typed.trim()) {
            (Ok(number), typed) if !typed.is_empty() => {
                Self::Correct { number, typed: typed.to_owned() }
            }
            _ => Self::Incomplete(
                "correct ENTRY NUMBER: which entry (`list` shows them), and what did the meter show?",
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_command_is_a_whole_word_and_everything_else_is_words() {
        assert_eq!(Said::of("  Yes \n"), Said::Yes(None));
        assert_eq!(Said::of("no lock missing"), Said::No(Some("lock missing".into())));
        assert_eq!(Said::of("6,58"), Said::Words("6,58".into()));
        assert_eq!(Said::of("notebook is wet"), Said::Words("notebook is wet".into()));
        assert_eq!(Said::of("note it is raining"), Said::Note("it is raining".into()));
        assert!(matches!(Said::of("note"), Said::Incomplete(_)));
        let corrected = Said::Correct { number: 12, typed: "4,08 A".into() };
        assert_eq!(Said::of("correct 12 4,08 A"), corrected);
        assert!(matches!(Said::of("correct 12"), Said::Incomplete(_)));
        assert_eq!(Said::of(""), Said::Nothing);
        assert_eq!(Said::of("why"), Said::Why);
        assert_eq!(Said::of("why not the tower"), Said::Words("why not the tower".into()));
    }
}
