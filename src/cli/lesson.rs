use std::fmt::Write;
use std::path::{Path, PathBuf};

use clap::Args;

use crate::classroom::lesson::Lesson;
use crate::error::{Error, Result};
use crate::report::{Document, LessonDocument, to_json};

use super::console::{folded, print, refuse_standard_input};
use super::outcome::Outcome;
use super::paper_arg::PaperArg;
use super::progress::Bar;
use super::starter;

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  loopcrest lesson\n  loopcrest lesson technician --out lesson.html\n  \
                  loopcrest lesson trainee --slides slides.pdf --handout handout.pdf\n  \
                  loopcrest starter --lesson my-lesson.md\n  \
                  loopcrest lesson my-lesson.md --out my-lesson.html\n\n\
                  The page is one file that needs no network: figures, sliders and their numbers are in it."
)]
pub(super) struct LessonArgs {
    /// An included lesson by its name, or a lesson file of your own; all included are listed when left out
    lesson: Option<String>,
    /// Write the page for a browser: its name ends in .html
    #[arg(long, value_name = "FILE", requires = "lesson")]
    out: Option<PathBuf>,
    /// Write slides: a PDF, 16 to 9
    #[arg(long, value_name = "FILE", requires = "lesson")]
    slides: Option<PathBuf>,
    /// Write a handout with the answers at its end: a PDF
    #[arg(long, value_name = "FILE", requires = "lesson")]
    handout: Option<PathBuf>,
    /// Write over files that exist
    #[arg(long)]
    replace: bool,
    /// Size of the handout's paper
    #[arg(long, value_enum, default_value_t)]
    paper: PaperArg,
}

/// Lessons: listed, told about, or built.
pub(super) fn run(args: &LessonArgs, json: bool) -> Result<Outcome> {
    let Some(name) = &args.lesson else { return list(json) };
    let lesson = named(name)?;
    for (file, ending) in [(&args.out, "html"), (&args.slides, "pdf"), (&args.handout, "pdf")] {
        if let Some(file) = file {
            check(file, ending, args.replace)?;
        }
    }
    let mut written: Vec<String> = Vec::new();
    if args.out.is_some() || args.slides.is_some() || args.handout.is_some() {
        let bar = Bar::counting("frames and figures");
        let built = lesson.build(&|done, total| bar.tell(done, total));
        bar.finish();
        let built = built?;
        // Everything is there before the first file is.
        let mut files: Vec<(&Path, Vec<u8>)> = Vec::new();
        if let Some(file) = &args.out {
            files.push((file, built.page().into_bytes()));
        }
        if let Some(file) = &args.slides {
            files.push((file, built.slides()?));
        }
        if let Some(file) = &args.handout {
            files.push((file, built.handout(args.paper.size())?));
        }
        for (file, bytes) in files {
            starter::write_whole(file, &bytes, args.replace)?;
            written.push(file.display().to_string());
        }
    }
    let text = text(&lesson, &written);
    let document = LessonDocument::new(vec![lesson.part()], written);
    print(&if json { to_json(&Document::Lessons(Box::new(document))) } else { text })?;
    Ok(Outcome::Done)
}

/// An included lesson by its name, a file by its path.
fn named(name: &str) -> Result<Lesson> {
    let file = Path::new(name);
    refuse_standard_input(file)?;
    let is_included = Lesson::INCLUDED.iter().any(|(known, _)| *known == name);
    // A word alone that is no file is a misspelt name.
    if is_included || (file.extension().is_none() && !file.exists()) {
        return Lesson::included(name);
    }
    Lesson::read(file)
}

/// Complains before anything is computed.
fn check(file: &Path, ending: &str, replace: bool) -> Result<()> {
    let found = file.extension().and_then(|found| found.to_str()).map(str::to_ascii_lowercase);
    if found.as_deref() != Some(ending) {
        return Err(Error::malformed(
            format!("a file that ends in .{ending}"),
            format!("\"{}\"", file.display()),
        ));
    }
    if file.exists() && !replace {
        return Err(Error::io(file, std::io::ErrorKind::AlreadyExists.into())
            .with_hint("add --replace to write over it"));
    }
    Ok(())
}

fn list(json: bool) -> Result<Outcome> {
    let lessons = Lesson::INCLUDED
        .iter()
        .map(|(name, _)| Lesson::included(name))
        .collect::<Result<Vec<_>>>()?;
    if json {
        let parts = lessons.iter().map(Lesson::part).collect();
        let document = LessonDocument::new(parts, Vec::new());
        print(&to_json(&Document::Lessons(Box::new(document))))?;
        return Ok(Outcome::Done);
    }
    let mut text = String::from("Lessons included (of an invented circuit)\n");
    for lesson in &lessons {
        let _ = writeln!(text, "\n{}", lesson.name);
        text += &folded(&lesson.title, "  ");
        text += &folded(&format!("for {}, {} minutes", lesson.audience, lesson.minutes), "  ");
    }
    text += "\nBuild one: loopcrest lesson trainee --out lesson.html\n\
             Write one: loopcrest starter --lesson my-lesson.md\n";
    print(&text)?;
    Ok(Outcome::Done)
}

fn text(lesson: &Lesson, written: &[String]) -> String {
    if !written.is_empty() {
        return written.iter().map(|file| format!("Wrote {file}\n")).collect();
    }
    let part = lesson.part();
    let mut text = format!("{}\n", lesson.title);
    text += &folded(&format!("For {}, {} minutes", lesson.audience, lesson.minutes), "");
    text += "\nAfterwards you can\n";
    for goal in &lesson.goals {
        text += &folded(goal, "  ");
    }
    text.push('\n');
    text += &folded(&format!("Figures: {}", part.figures.join(", ")), "");
    let sliders = part.sliders.join(", ");
    text += &folded(&format!("Sliders: {sliders} ({} frames)", part.frames), "");
    text += &folded(&format!("Questions: {}", part.questions.join(", ")), "");
    text += "\nSources\n";
    for source in &part.sources {
        text += &folded(source, "  ");
    }
    text += "\nNothing was written: name a file with --out, --slides or --handout\n";
    text
}
