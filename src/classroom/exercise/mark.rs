use crate::error::{Error, Result};
use crate::report::{
    Document, ExerciseKeyAnswerPart, ExerciseKeyDocument, ExerciseMarkPart, ExerciseMarksDocument,
    ExerciseSheetMarksPart, RightAnswerPart, program,
};

use super::answer::steps_words;
use super::{Answer, AnswerFile, AnswerUnit, ReadNumber};

/// What an answer is worth, and why.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// Right.
    Right(String),
    /// Wrong.
    Wrong(String),
    /// Nothing was answered.
    NotAnswered,
    /// What was written cannot be an answer to this question: a person has to look.
    Unreadable(String),
}

impl Mark {
    /// Marks what was written against what is right; a blank, "-" or "?" is no answer.
    ///
    /// # Errors
    /// `Malformed` for a key with a unit that is none.
    pub fn of(right: &RightAnswerPart, written: &str) -> Result<Self> {
        let written = written.trim();
        if ["", "-", "?"].contains(&written) {
            return Ok(Self::NotAnswered);
        }
        let mark = match right {
            RightAnswerPart::Number { value, unit, tolerance, decimals } => {
                let unit = AnswerUnit::from_symbol(unit).ok_or_else(|| {
                    Error::malformed("a key with a unit known here", format!("\"{unit}\""))
                })?;
                number(*value, unit, *tolerance, *decimals, written)
            }
            RightAnswerPart::Choice { options, right } => choice(options.len(), *right, written),
            RightAnswerPart::Steps { right, known } => steps(right, known, written),
        };
        Ok(mark.unwrap_or_else(|error| Self::Unreadable(error.to_string())))
    }

    /// The name used in files.
    #[must_use]
    pub fn key(&self) -> &'static str {
        match self {
            Self::Right(_) => "right",
            Self::Wrong(_) => "wrong",
            Self::NotAnswered => "not-answered",
            Self::Unreadable(_) => "unreadable",
        }
    }

    /// Why.
    #[must_use]
    pub fn reason(&self) -> &str {
        match self {
            Self::Right(reason) | Self::Wrong(reason) | Self::Unreadable(reason) => reason,
            Self::NotAnswered => "not answered",
        }
    }
}

fn number(
    value: f64,
    unit: AnswerUnit,
    tolerance: f64,
    decimals: usize,
    written: &str,
) -> Result<Mark> {
    let answered = match unit.read(written)? {
        ReadNumber::Value(answered) => answered,
        ReadNumber::OtherUnit(other) => {
            let asked =
                if unit.symbol().is_empty() { "a number without unit" } else { unit.symbol() };
            return Ok(Mark::Wrong(format!(
                "\"{other}\" is no unit for this: asked for is {asked}"
            )));
        }
    };
    let key = unit.words(value, decimals);
    // The rounding of a difference is no reason to fail an answer at the very edge.
    let is_within =
        |answered: f64| (answered - value).abs() <= tolerance + 1e-9 * value.abs().max(1.0);
    if is_within(answered) {
        return Ok(Mark::Right(format!("the key says {key}")));
    }
    let slip = [
        (-1.0, "; the sign is the other way"),
        (10.0, "; ten times too much"),
        (0.1, "; ten times too little"),
        (100.0, "; a hundred times too much"),
        (0.01, "; a hundred times too little: a ratio in place of percent?"),
        (1000.0, "; a thousand times too much: a prefix of the unit?"),
        (0.001, "; a thousand times too little: a prefix of the unit?"),
    ]
    .into_iter()
    .find(|(factor, _)| is_within(answered / factor))
    .map_or("", |(_, words)| words);
    let edges =
        (unit.words(value - tolerance, decimals + 1), unit.words(value + tolerance, decimals + 1));
    Ok(Mark::Wrong(format!("the key says {key}, right is {} to {}{slip}", edges.0, edges.1)))
}

fn choice(count: usize, right: usize, written: &str) -> Result<Mark> {
    let letter = written.trim_end_matches([')', '.']).trim().to_lowercase();
    let place = (0..count).find(|place| letter == Answer::letter(*place).to_string());
    let Some(place) = place else {
        let last = Answer::letter(count.saturating_sub(1));
        return Err(Error::malformed(
            format!("a letter from a to {last}"),
            format!("\"{written}\""),
        ));
    };
    let key = Answer::letter(right);
    Ok(if place == right {
        Mark::Right(format!("the key says {key}"))
    } else {
        Mark::Wrong(format!("the key says {key}"))
    })
}

fn steps(right: &[u32], known: &[u32], written: &str) -> Result<Mark> {
    let words = written.to_lowercase();
    let mut named: Vec<u32> = Vec::new();
    for word in words.split([',', ';', ' ', '+', '&', '/']).filter(|word| !word.is_empty()) {
        let word = word.trim_matches(['[', ']', '(', ')', '.', '#']);
        if ["", "step", "steps", "and", "none"].contains(&word) {
            continue;
        }
        match word.parse().ok().filter(|step| known.contains(step)) {
            Some(step) => named.push(step),
            None => {
                let list: Vec<String> = known.iter().map(u32::to_string).collect();
                return Err(Error::malformed(
                    format!("step numbers out of {}, or \"none\"", list.join(", ")),
                    format!("\"{written}\""),
                ));
            }
        }
    }
    let says_none =
        words.split_whitespace().any(|word| word.trim_matches(['[', ']', '.']) == "none");
    if named.is_empty() != says_none {
        return Err(Error::malformed("step numbers or \"none\"", format!("\"{written}\"")));
    }
    named.sort_unstable();
    named.dedup();
    let key = format!("the key says {}", steps_words(right));
    if named == right {
        return Ok(Mark::Right(key));
    }
    let missing: Vec<u32> = right.iter().copied().filter(|step| !named.contains(step)).collect();
    let extra: Vec<u32> = named.iter().copied().filter(|step| !right.contains(step)).collect();
    let mut reason = key;
    if !missing.is_empty() {
        reason += &format!("; missing: {}", steps_words(&missing));
    }
    if !extra.is_empty() {
        reason += &format!("; too many: {}", steps_words(&extra));
    }
    Ok(Mark::Wrong(reason))
}

/// Marks every answer of a file; the sheets it names are marked whole, a question it leaves out is
/// not answered.
///
/// # Errors
/// `Inconsistent` when the file names another set than the key; `Malformed` for a sheet or a question
/// the key does not have, each with its line.
pub fn marks_document(
    key: &ExerciseKeyDocument,
    answers: &AnswerFile,
) -> Result<ExerciseMarksDocument> {
    answers.check_set(key)?;
    for answer in &answers.answers {
        let known: Vec<u32> = key.sheets.iter().map(|sheet| sheet.sheet).collect();
        let sheet =
            key.sheets.iter().find(|sheet| sheet.sheet == answer.sheet).ok_or_else(|| {
                let expected = format!("a sheet of this set, {}", range_words(&known));
                Error::malformed(expected, format!("sheet {}", answer.sheet))
                    .at(answer.place.clone())
            })?;
        let known: Vec<u32> = sheet.answers.iter().map(|it| it.question).collect();
        if !known.contains(&answer.question) {
            let expected = format!("a question of this sheet, {}", range_words(&known));
            let found = format!("question {}", answer.question);
            return Err(Error::malformed(expected, found).at(answer.place.clone()));
        }
    }
    let mut sheets = Vec::new();
    for sheet in &key.sheets {
        if !answers.answers.iter().any(|answer| answer.sheet == sheet.sheet) {
            continue;
        }
        let marks = sheet
            .answers
            .iter()
            .map(|right| mark_of(right, sheet.sheet, answers))
            .collect::<Result<Vec<_>>>()?;
        let count = |key: &str| marks.iter().filter(|mark| mark.mark == key).count();
        sheets.push(ExerciseSheetMarksPart {
            sheet: sheet.sheet,
            right: count("right"),
            wrong: count("wrong"),
            not_answered: count("not-answered"),
            unreadable: count("unreadable"),
            marks,
        });
    }
    let sum = |of: fn(&ExerciseSheetMarksPart) -> usize| sheets.iter().map(of).sum();
    Ok(ExerciseMarksDocument {
        format: Document::FORMAT,
        program: program(),
        set: key.set.clone(),
        code: key.code.clone(),
        right: sum(|sheet| sheet.right),
        wrong: sum(|sheet| sheet.wrong),
        not_answered: sum(|sheet| sheet.not_answered),
        unreadable: sum(|sheet| sheet.unreadable),
        sheets,
    })
}

fn mark_of(
    right: &ExerciseKeyAnswerPart,
    sheet: u32,
    answers: &AnswerFile,
) -> Result<ExerciseMarkPart> {
    let filed = answers
        .answers
        .iter()
        .find(|answer| answer.sheet == sheet && answer.question == right.question);
    let mark = match filed {
        None => Mark::NotAnswered,
        Some(filed) => Mark::of(&right.right, &filed.written).map_err(|error| {
            let which = format!("sheet {sheet}, question {}", right.question);
            error.with_context(which).at(filed.place.clone())
        })?,
    };
    Ok(ExerciseMarkPart {
        question: right.question,
        title: right.title.clone(),
        mark: mark.key(),
        given: filed.map(|filed| filed.written.trim().to_owned()).filter(|it| !it.is_empty()),
        reason: mark.reason().to_owned(),
    })
}

/// "1 to 30".
fn range_words(known: &[u32]) -> String {
    match (known.first(), known.last()) {
        (Some(first), Some(last)) if first < last => format!("{first} to {last}"),
        (Some(only), _) => only.to_string(),
        _ => "of which there is none".into(),
    }
}
