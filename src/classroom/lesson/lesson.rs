use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::description::{Description, misspelt};
use crate::error::{Error, Result};
use crate::report::LessonPart;
use crate::situation::Situation;

use super::plan::{FigurePlan, QuestionPlan, SliderPlan};
use super::text::Text;
use super::{BuiltLesson, LessonSource, build, reader};

/// A lesson as it is written: a head that declares, a text with places for what is declared.
///
/// # Example
/// ```
/// use loopcrest::classroom::lesson::Lesson;
/// let built = Lesson::included("trainee")?.build(&|_, _| {})?;
/// assert!(built.page().starts_with("<!DOCTYPE html>"));
/// # Ok::<(), loopcrest::error::Error>(())
/// ```
#[derive(Clone, Debug)]
pub struct Lesson {
    /// Its short name: that of the file without its ending.
    pub name: String,
    /// Its title.
    pub title: String,
    /// For whom it is.
    pub audience: String,
    /// How long it takes.
    pub minutes: u32,
    /// What is known or can be done afterwards.
    pub goals: Vec<String>,
    /// Where its numbers and rules come from.
    pub sources: Vec<LessonSource>,
    pub(super) description: Arc<Description>,
    pub(super) situations: BTreeMap<String, Situation>,
    pub(super) figures: BTreeMap<String, FigurePlan>,
    pub(super) sliders: BTreeMap<String, SliderPlan>,
    pub(super) questions: BTreeMap<String, QuestionPlan>,
    pub(super) text: Text,
    /// The file it was read from.
    pub(super) file: Option<PathBuf>,
}

impl Lesson {
    /// The one format number this program reads.
    pub const FORMAT: i64 = 1;
    /// Largest lesson file that is read.
    const MAX_BYTES: u64 = 1 << 20;
    /// A commented lesson to begin from.
    pub const STARTER_TEXT: &'static str = include_str!("included/starter.md");
    /// The lessons included, with their texts.
    pub const INCLUDED: [(&'static str, &'static str); 3] = [
        ("trainee", include_str!("included/trainee.md")),
        ("technician", include_str!("included/technician.md")),
        ("engineer", include_str!("included/engineer.md")),
    ];

    /// An included lesson.
    ///
    /// # Errors
    /// `Malformed` for another name, with those there are.
    pub fn included(name: &str) -> Result<Self> {
        match Self::INCLUDED.into_iter().find(|(known, _)| *known == name) {
            Some((name, text)) => Self::parse(text, name, Path::new("")),
            None => {
                let names = Self::INCLUDED.map(|(name, _)| name);
                let expected = format!("a lesson file, or one of {}", names.join(", "));
                Err(misspelt(expected, name, names))
            }
        }
    }

    /// Reads a lesson file; the description it names is looked for beside it.
    ///
    /// # Errors
    /// `Io` when it cannot be read, otherwise as [`Self::parse`].
    pub fn read(file: &Path) -> Result<Self> {
        let failed = |source| Error::io(file, source);
        let length = std::fs::metadata(file).map_err(failed)?.len();
        if length > Self::MAX_BYTES {
            return Err(Error::malformed(
                format!("a lesson of at most {} bytes", Self::MAX_BYTES),
                format!("{length} bytes"),
            )
            .in_file(file));
        }
        let text = String::from_utf8(std::fs::read(file).map_err(failed)?).map_err(|error| {
            let at = error.utf8_error().valid_up_to();
            Error::malformed("text in UTF-8", format!("other bytes at position {at}"))
                .in_file(file)
                .with_hint("save it as UTF-8, as every editor can")
        })?;
        let name = file.file_stem().map_or_else(String::new, |s| s.to_string_lossy().into_owned());
        let mut lesson = Self::parse(&text, &name, file.parent().unwrap_or(Path::new("")))
            .map_err(|error| error.in_file(file))?;
        lesson.file = Some(file.to_owned());
        Ok(lesson)
    }

    /// Reads the text of a lesson; nothing is computed yet.
    ///
    /// # Errors
    /// `Malformed`, `OutOfRange` or `Inconsistent`, with line, column and field.
    pub fn parse(text: &str, name: &str, folder: &Path) -> Result<Self> {
        // Some editors begin a text in UTF-8 with a mark.
        reader::lesson(text.strip_prefix('\u{feff}').unwrap_or(text), name, folder)
    }

    /// Computes every number, figure and frame; `show` is told how much is done, of how much.
    ///
    /// # Errors
    /// When a value, a figure or a frame cannot be had, with its place in the file.
    pub fn build(&self, show: &(dyn Fn(u64, u64) + Sync)) -> Result<BuiltLesson> {
        build::lesson(self, show).map_err(|error| match &self.file {
            Some(file) => error.in_file(file),
            None => error.with_context(format!("lesson {}", self.name)),
        })
    }

    /// What a document says of it.
    #[must_use]
    pub fn part(&self) -> LessonPart {
        let source = |source: &LessonSource| format!("{} ({})", source.text, source.known.words());
        LessonPart {
            name: self.name.clone(),
            title: self.title.clone(),
            audience: self.audience.clone(),
            minutes: self.minutes,
            goals: self.goals.clone(),
            figures: self.figures.keys().cloned().collect(),
            sliders: self.sliders.keys().cloned().collect(),
            frames: self.frames(),
            questions: self.questions.keys().cloned().collect(),
            sources: self.sources.iter().map(source).collect(),
        }
    }

    /// Frames of all its sliders.
    #[must_use]
    pub fn frames(&self) -> usize {
        self.sliders.values().map(SliderPlan::frames).sum()
    }
}
