use serde::Deserialize;

use crate::error::{Error, Place, Result};
use crate::report::{
    CAUTIONS, Document, ExerciseKeyAnswerPart, ExerciseKeyDocument, ExerciseKeySheetPart,
    ExerciseQuestionPart, ExerciseSheetPart, ExercisesDocument, GivenPart, GivenTablePart,
    RightAnswerPart, program,
};

use super::{Answer, ExerciseSet, Problem, SetOrder};

/// The sheets of a set as a document, without answers.
#[must_use]
pub fn exercises_document(set: &ExerciseSet) -> ExercisesDocument {
    let order = set.order();
    let sheets = set.sheets().iter().map(|sheet| ExerciseSheetPart {
        sheet: sheet.number,
        questions: (1..).zip(&sheet.problems).map(question).collect(),
    });
    ExercisesDocument {
        format: Document::FORMAT,
        program: program(),
        invented: true,
        set: order.name(),
        code: set.code(),
        seed: order.seed,
        level: order.level.key().into(),
        without_repeats: SetOrder::WITHOUT_REPEATS.into(),
        sheets: sheets.collect(),
        cautions: CAUTIONS.map(str::to_owned).to_vec(),
    }
}

fn question((number, problem): (u32, &Problem)) -> ExerciseQuestionPart {
    let (options, answer_unit) = match &problem.answer {
        Answer::Choice { options, .. } => (options.clone(), None),
        Answer::Number { unit, .. } => (Vec::new(), Some(unit.symbol().to_owned())),
        Answer::Steps { .. } => (Vec::new(), None),
    };
    ExerciseQuestionPart {
        question: number,
        problem: problem.kind.key().into(),
        title: problem.kind.title().into(),
        fingerprint: problem.fingerprint(),
        site: problem.site.clone(),
        story: problem.story.clone(),
        givens: problem
            .givens
            .iter()
            .map(|given| GivenPart { name: given.name.clone(), value: given.value.clone() })
            .collect(),
        table: problem.table.as_ref().map(|table| GivenTablePart {
            caption: table.caption.clone(),
            columns: table.columns.clone(),
            rows: table.rows.clone(),
        }),
        ask: problem.question.clone(),
        options,
        answer_unit,
    }
}

/// The key of a set as a document: it is also what answers are checked against.
#[must_use]
pub fn key_document(set: &ExerciseSet) -> ExerciseKeyDocument {
    let sheets = set.sheets().iter().map(|sheet| ExerciseKeySheetPart {
        sheet: sheet.number,
        answers: (1..)
            .zip(&sheet.problems)
            .map(|(number, problem)| ExerciseKeyAnswerPart {
                question: number,
                problem: problem.kind.key().into(),
                title: problem.kind.title().into(),
                fingerprint: problem.fingerprint(),
                right: right_part(&problem.answer),
                words: problem.answer.words(),
                rule: problem.answer.rule(),
                solution: problem.solution.clone(),
            })
            .collect(),
    });
    ExerciseKeyDocument {
        format: Document::FORMAT,
        program: program(),
        invented: true,
        set: set.order().name(),
        code: set.code(),
        sheets: sheets.collect(),
    }
}

fn right_part(answer: &Answer) -> RightAnswerPart {
    match answer.clone() {
        Answer::Number { value, unit, tolerance, decimals } => {
            RightAnswerPart::Number { value, unit: unit.symbol().into(), tolerance, decimals }
        }
        Answer::Choice { options, right } => RightAnswerPart::Choice { options, right },
        Answer::Steps { right, known } => RightAnswerPart::Steps { right, known },
    }
}

/// Reads a key from the text of a JSON document.
///
/// # Errors
/// `Malformed` for what is no key, with the line where it is no JSON at all.
pub fn key_of_text(text: &str) -> Result<ExerciseKeyDocument> {
    #[derive(Deserialize)]
    struct Head {
        kind: String,
        format: u32,
    }
    const EXPECTED: &str = "a key.json as `loopcrest exercises --out` writes it";
    let told = |error: &serde_json::Error| {
        let malformed = Error::malformed(EXPECTED, error.to_string());
        if error.line() == 0 { malformed } else { malformed.at(Place::line(error.line())) }
    };
    let head: Head = serde_json::from_str(text).map_err(|error| told(&error))?;
    if head.kind != "exercise-key" {
        let error = Error::malformed(EXPECTED, format!("a document of the kind \"{}\"", head.kind));
        return Err(error.with_hint("the questions are in questions.json, the answers in key.json"));
    }
    if head.format != Document::FORMAT {
        let expected = format!("a key of format {}", Document::FORMAT);
        return Err(Error::malformed(expected, format!("format {}", head.format)));
    }
    serde_json::from_str(text).map_err(|error| told(&error))
}
