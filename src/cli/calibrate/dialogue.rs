use std::io::{BufRead, Write};

use crate::cli::console::{folded, print};
use crate::error::{Error, Result};

use super::said::Said;

/// Questions and answers, a line at a time: no colour, no screen of its own, 80 columns.
#[derive(Debug)]
pub(super) struct Dialogue {
    /// Whether standard output is wanted for something else.
    beside: bool,
}

impl Dialogue {
    pub(super) fn new(beside: bool) -> Self {
        Self { beside }
    }

    /// Says a paragraph, folded.
    pub(super) fn say(&self, text: &str) -> Result<()> {
        self.write(&folded(text, ""))
    }

    /// Says a paragraph, folded and indented.
    pub(super) fn say_below(&self, text: &str) -> Result<()> {
        self.write(&folded(text, "  "))
    }

    /// Writes lines as they are.
    pub(super) fn write(&self, text: &str) -> Result<()> {
        if self.beside {
            // Whoever reads the numbers may have closed the other.
            let _ = anstream::stderr().write_all(text.as_bytes());
            return Ok(());
        }
        print(text)
    }

    /// Asks for a line; the end of input is a wish to leave.
    pub(super) fn ask(&self, prompt: &str) -> Result<Said> {
        Ok(self.ask_line(prompt)?.map_or(Said::Leave, |line| Said::of(&line)))
    }

    /// Asks for a line as it is typed; `None` at the end of input.
    pub(super) fn ask_line(&self, prompt: &str) -> Result<Option<String>> {
        self.write(&format!("{prompt} > "))?;
        let mut bytes = Vec::new();
        let count = std::io::stdin()
            .lock()
            .read_until(b'\n', &mut bytes)
            .map_err(|error| Error::io("standard input", error))?;
        if count == 0 {
            self.write("\n")?;
            return Ok(None);
        }
        // A byte that is no text is shown as such and refused as a number, not as a failure.
        let line = String::from_utf8_lossy(&bytes);
        Ok(Some(line.chars().filter(|c| !c.is_control()).collect()))
    }
}
