use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};

use crate::classroom::exercise::{
    AnswerFile, Bank, ExerciseSet, Level, SetOrder, answers_template, exercises_document,
    key_document, key_of_text, key_text, key_writing, marks_document, marks_text, questions_text,
    questions_writing,
};
use crate::error::{Error, Result};
use crate::report::{Document, to_json};

use super::console::print;
use super::outcome::Outcome;
use super::paper_arg::PaperArg;
use super::regulated;

#[derive(Debug, Args)]
#[command(
    args_conflicts_with_subcommands = true,
    after_help = "Examples:\n  loopcrest exercises --level technician --seed 7\n  \
                  loopcrest exercises --level technician --seed 7 --solved\n  \
                  loopcrest exercises --class 30 --seed 7 --level technician --questions 6 --out class-7\n  \
                  loopcrest exercises check class-7/answers.csv --key class-7/key.json\n\n\
                  Every trainee gets another sheet, and no problem comes twice in a set: the same \
                  kind comes again with other numbers. The same seed gives the same sheets. All of \
                  it is invented."
)]
pub(super) struct ExercisesArgs {
    #[command(subcommand)]
    command: Option<ExercisesCommand>,
    /// Trainees: so many different sheets, 1 to 200
    #[arg(long, default_value_t = 1)]
    class: u32,
    /// Questions on a sheet, 1 to 12
    #[arg(long, default_value_t = 6)]
    questions: u32,
    /// Level of the problems
    #[arg(long, value_enum, default_value_t = LevelArg::Trainee)]
    level: LevelArg,
    /// Seed everything is drawn from
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Folder for sheets and key, as PDF, HTML and JSON; without it sheets are printed
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Replace that folder if it exists
    #[arg(long, requires = "out")]
    replace: bool,
    /// Size of paper
    #[arg(long, value_enum, default_value_t, requires = "out")]
    paper: PaperArg,
    /// Print the worked solutions instead of the sheets
    #[arg(long, conflicts_with = "out")]
    solved: bool,
}

#[derive(Debug, Subcommand)]
enum ExercisesCommand {
    /// Check answers from a file against a key; exit code 1 if any is wrong or cannot be read
    #[command(after_help = "Example:\n  \
                            loopcrest exercises check class-7/answers.csv --key class-7/key.json\n\n\
                            Answers are a table with the columns sheet, question and answer (the \
                            answers.csv beside the key is one to fill in), or TOML:\n\n  \
                            code = \"1A2B-3C4D\"\n  [[sheet]]\n  number = 3\n  \
                            answers = { 1 = \"6,82 A\", 2 = \"b\", 3 = \"none\" }\n\n\
                            A decimal comma and units are understood. What is left empty is \"not \
                            answered\", never wrong.")]
    Check(CheckArgs),
}

#[derive(Debug, Args)]
struct CheckArgs {
    /// File of answers; its name ends in .toml, or it is a table
    answers: PathBuf,
    /// The key.json of the set
    #[arg(long, value_name = "FILE")]
    key: PathBuf,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum LevelArg {
    /// Reads meters and bands, adds up a load
    Trainee,
    /// Sets regulators, knows what a meter makes of a distorted current
    Technician,
    /// Judges circuits, protections, uncertainties and histories
    Engineer,
}

impl LevelArg {
    fn level(self) -> Level {
        match self {
            Self::Trainee => Level::Trainee,
            Self::Technician => Level::Technician,
            Self::Engineer => Level::Engineer,
        }
    }
}

/// Exercise sheets with their key, or answers marked.
pub(super) fn run(args: &ExercisesArgs, json: bool) -> Result<Outcome> {
    if let Some(ExercisesCommand::Check(check)) = &args.command {
        return marked(check, json);
    }
    let order = SetOrder {
        class: args.class,
        questions: args.questions,
        seed: args.seed,
        level: args.level.level(),
    };
    order.check()?;
    let set = ExerciseSet::drawn(&Bank::solved()?, order)?;
    let questions = || to_json(&Document::Exercises(Box::new(exercises_document(&set))));
    let key = || to_json(&Document::ExerciseKey(Box::new(key_document(&set))));
    let size = args.paper.size();
    let folder = regulated::write(args.out.as_ref(), args.replace, || {
        let (sheets, solutions) = (questions_writing(&set), key_writing(&set));
        Ok(vec![
            ("questions.pdf".into(), sheets.pdf(size)?),
            ("questions.html".into(), sheets.html(size).into_bytes()),
            ("questions.json".into(), questions().into_bytes()),
            ("key.pdf".into(), solutions.pdf(size)?),
            ("key.html".into(), solutions.html(size).into_bytes()),
            ("key.json".into(), key().into_bytes()),
            ("answers.csv".into(), answers_template(&set).into_bytes()),
        ])
    })?;
    if json {
        print(&if args.solved { key() } else { questions() })?;
        return Ok(Outcome::Done);
    }
    let Some(folder) = folder else {
        print(&if args.solved { key_text(&set) } else { questions_text(&set) })?;
        return Ok(Outcome::Done);
    };
    print(&format!(
        "Set {}, code {}: {} sheet(s) of {} questions in {}\n\
         \n  questions.pdf, .html, .json   for the trainees, each sheet on paper of its own\
         \n  key.pdf, .html, .json         one key for the class, with worked solutions\
         \n  answers.csv                   to fill in; then: loopcrest exercises check\n",
        order.name(),
        set.code(),
        order.class,
        order.questions,
        folder.display()
    ))?;
    Ok(Outcome::Done)
}

fn marked(args: &CheckArgs, json: bool) -> Result<Outcome> {
    let text = std::fs::read_to_string(&args.key).map_err(|source| Error::io(&args.key, source))?;
    let key = key_of_text(&text).map_err(|error| error.in_file(&args.key))?;
    let answers = AnswerFile::read(&args.answers)?;
    let marks = marks_document(&key, &answers).map_err(|error| error.in_file(&args.answers))?;
    let is_all_right = marks.wrong == 0 && marks.unreadable == 0;
    let outcome = if is_all_right { Outcome::Done } else { Outcome::VerdictAgainst };
    if json {
        print(&to_json(&Document::ExerciseMarks(Box::new(marks))))?;
    } else {
        print(&marks_text(&marks))?;
    }
    Ok(outcome)
}
