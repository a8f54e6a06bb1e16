//! Every number, figure and frame of a lesson, computed.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use rayon::prelude::*;

use crate::assess::{StepCase, StepResult};
use crate::classroom::training::TrainingCircuit;
use crate::description::misspelt;
use crate::error::{Bounds, Error, Place, Result};
use crate::plot::{Figure, Palette, current_figure, error_figure, harmonics_figure, ladder_figure};
use crate::situation::{Seen, Situation, SituationSolver};

use super::plan::{AnswerPlan, FigureKind, FigurePlan, QuestionPlan};
use super::quantity::with_unit;
use super::text::{Marker, markers};
use super::{
    BuiltLesson, Lesson, LessonFigure, Piece, Quantity, Question, QuestionKind, Words, frames,
    markdown,
};

type Counter<'a> = &'a (dyn Fn() + Sync);

pub(super) fn lesson(lesson: &Lesson, show: &(dyn Fn(u64, u64) + Sync)) -> Result<BuiltLesson> {
    let all = lesson.situations.len() + lesson.figures.len() + lesson.frames();
    let done = AtomicU64::new(0);
    let count = || show(done.fetch_add(1, Ordering::Relaxed) + 1, all as u64);
    let seen = situations(lesson, &count)?;
    let builder = Builder { lesson, seen: &seen };
    let figures = parallel(&lesson.figures, |name, plan| {
        let figure = builder.figure(name, plan);
        count();
        figure
    })?;
    let mut pieces = Vec::new();
    let mut sliders = BTreeMap::new();
    for (name, plan) in &lesson.sliders {
        let slider = frames::slider(&lesson.description, name, plan, &count)
            .map_err(|error| error.at(plan.place.clone()))?;
        sliders.insert(name.clone(), slider);
    }
    let mut questions = BTreeMap::new();
    for (name, plan) in &lesson.questions {
        let question =
            builder.question(name, plan).map_err(|error| error.at(plan.place.clone()))?;
        questions.insert(name.clone(), question);
    }
    let mut placed: Vec<(String, String)> = Vec::new();
    let mut segment = Segment::default();
    for (range, line) in lesson.text.body_lines() {
        let found = markers(line, range.start)
            .map_err(|error| error.at(lesson.text.place(range.start..range.start + 2)))?;
        let Some(marker) = block(line, &found) else {
            segment.push(&builder, &range, line, &found)?;
            continue;
        };
        segment.flush(&mut pieces)?;
        let at = |error: Error| error.at(lesson.text.place(marker.range.clone()));
        let [kind, name] = marker.words.as_slice() else {
            let expected = "{{ figure NAME }}, {{ slider NAME }} or {{ question NAME }}";
            return Err(at(Error::malformed(expected, line.trim())));
        };
        let piece = match kind.as_str() {
            "figure" => known("figure", &figures, name).map(|f| Piece::Figure(Box::new(f.clone()))),
            "slider" => known("slider", &sliders, name).map(|s| Piece::Slider(Box::new(s.clone()))),
            _ => known("question", &questions, name).map(|q| Piece::Question(Box::new(q.clone()))),
        };
        pieces.push(piece.map_err(at)?);
        let place = (kind.clone(), name.clone());
        if placed.contains(&place) {
            return Err(at(Error::inconsistent(format!("{kind} \"{name}\" is placed twice"))
                .with_hint("declare another one under another name")));
        }
        placed.push(place);
    }
    segment.flush(&mut pieces)?;
    let is_placed = |kind: &str, name: &str| placed.iter().any(|(k, n)| k == kind && n == name);
    let places = lesson.figures.iter().map(|(name, plan)| ("figure", name, &plan.place));
    let places = places
        .chain(lesson.sliders.iter().map(|(name, plan)| ("slider", name, &plan.place)))
        .chain(lesson.questions.iter().map(|(name, plan)| ("question", name, &plan.place)));
    for (kind, name, place) in places {
        if !is_placed(kind, name) {
            return Err(Error::inconsistent(format!(
                "{kind} \"{name}\" is declared and stands nowhere in the text"
            ))
            .with_hint(format!("put {{{{ {kind} {name} }}}} on a line of its own"))
            .at(place.clone()));
        }
    }
    Ok(BuiltLesson {
        name: lesson.name.clone(),
        title: lesson.title.clone(),
        audience: lesson.audience.clone(),
        minutes: lesson.minutes,
        goals: lesson.goals.clone(),
        is_invented: lesson.description.is_invented,
        circuit: lesson.description.title.clone(),
        sources: lesson.sources.clone(),
        pieces,
    })
}

/// Results in the order of their names, computed side by side; of several failures the first in order.
fn parallel<P: Sync, T: Send>(
    all: &BTreeMap<String, P>,
    make: impl Fn(&str, &P) -> Result<T> + Sync,
) -> Result<BTreeMap<String, T>> {
    let made: Vec<_> =
        all.par_iter().map(|(name, plan)| (name.clone(), make(name, plan))).collect();
    made.into_iter().map(|(name, result)| Ok((name, result?))).collect()
}

fn situations(lesson: &Lesson, count: Counter<'_>) -> Result<BTreeMap<String, Seen>> {
    parallel(&lesson.situations, |name, situation: &Situation| {
        let seen = SituationSolver::new(Arc::clone(&lesson.description)).seen(situation);
        count();
        seen.map_err(|error| error.with_context(format!("situation \"{name}\"")))
    })
}

/// A line that is nothing but one marker of a figure, a slider or a question.
fn block<'m>(line: &str, found: &'m [Marker]) -> Option<&'m Marker> {
    let [marker] = found else { return None };
    let alone = line.trim().len() == marker.range.len();
    let is_block = marker
        .words
        .first()
        .is_some_and(|kind| matches!(kind.as_str(), "figure" | "slider" | "question"));
    (alone && is_block).then_some(marker)
}

fn known<'t, T>(kind: &str, all: &'t BTreeMap<String, T>, name: &str) -> Result<&'t T> {
    all.get(name).ok_or_else(|| {
        let names: Vec<&str> = all.keys().map(String::as_str).collect();
        let expected = format!("a {kind} of the head: {}", names.join(", "));
        misspelt(expected, name, names.iter().copied())
    })
}

/// Text between two figures, its values put in.
#[derive(Default)]
struct Segment {
    text: String,
    first_line: usize,
}

impl Segment {
    fn push(
        &mut self,
        builder: &Builder<'_>,
        range: &Range<usize>,
        line: &str,
        found: &[Marker],
    ) -> Result<()> {
        if self.text.is_empty() {
            self.first_line = builder.lesson.text.line_of(range.start);
        }
        let place = |at: Range<usize>| builder.lesson.text.place(at);
        self.text += &builder.resolve(line, range.start, found, &place, markdown_safe)?;
        Ok(())
    }

    fn flush(&mut self, pieces: &mut Vec<Piece>) -> Result<()> {
        pieces.extend(markdown::pieces(&self.text, self.first_line)?);
        self.text.clear();
        Ok(())
    }
}

/// Characters that would be marks are said to be none.
fn markdown_safe(value: &str) -> String {
    let mut safe = String::with_capacity(value.len());
    for character in value.chars() {
        if matches!(character, '*' | '_' | '`' | '[' | ']' | '<' | '>' | '|' | '\\' | '&' | '~') {
            safe.push('\\');
        }
        safe.push(character);
    }
    safe
}

struct Builder<'a> {
    lesson: &'a Lesson,
    seen: &'a BTreeMap<String, Seen>,
}

impl Builder<'_> {
    /// The text with every value in place of its marker.
    fn resolve(
        &self,
        text: &str,
        at: usize,
        found: &[Marker],
        place: &dyn Fn(Range<usize>) -> Place,
        safe: fn(&str) -> String,
    ) -> Result<String> {
        let mut resolved = String::with_capacity(text.len());
        let mut from = 0;
        for marker in found {
            let value = self
                .value(&marker.words)
                .map_err(|error| error.at(place(marker.range.clone()).with_field("value")))?;
            resolved += &text[from..marker.range.start - at];
            resolved += &safe(&value);
            from = marker.range.end - at;
        }
        resolved += &text[from..];
        Ok(resolved)
    }

    fn value(&self, words: &[String]) -> Result<String> {
        const DIGITS: Bounds =
            Bounds::new("digits after the point", "", 0.0, Quantity::MOST_DIGITS as f64);
        let expected = "{{ value SITUATION QUANTITY }} or {{ value SITUATION QUANTITY DIGITS }}";
        let (situation, quantity, digits) = match words {
            [kind, situation, quantity] if kind == "value" => (situation, quantity, None),
            [kind, situation, quantity, digits] if kind == "value" => {
                let number = digits.parse::<u8>();
                let number = number
                    .map_err(|_| Error::malformed("a number of digits", format!("\"{digits}\"")))?;
                DIGITS.check(f64::from(number))?;
                (situation, quantity, Some(usize::from(number)))
            }
            [kind, ..] if matches!(kind.as_str(), "figure" | "slider" | "question") => {
                return Err(Error::malformed(
                    format!("a {kind} on a line of its own, as {{{{ {kind} NAME }}}}"),
                    format!("{{{{ {} }}}}", words.join(" ")),
                ));
            }
            _ => {
                return Err(Error::malformed(expected, format!("{{{{ {} }}}}", words.join(" "))));
            }
        };
        let seen = known("situation", self.seen, situation)?;
        let quantity = Quantity::named(quantity)?;
        let shown = quantity
            .shown(seen, 0, digits)
            .map_err(|error| error.with_context(format!("situation \"{situation}\"")))?;
        // A number and its unit stay on one line.
        Ok(if quantity.is_number() { shown.replace(' ', "\u{a0}") } else { shown })
    }

    fn figure(&self, name: &str, plan: &FigurePlan) -> Result<LessonFigure> {
        let drawn = self.drawn(&plan.kind).and_then(|figure| {
            let drawing = figure.draw(&Palette::LIGHT)?;
            let dark = figure.draw(&Palette::DARK)?;
            let (title, caption) = (figure.title, figure.caption);
            Ok(LessonFigure { name: name.to_owned(), title, caption, drawing, dark })
        });
        drawn.map_err(|error| {
            error.with_context(format!("figure \"{name}\"")).at(plan.place.clone())
        })
    }

    fn drawn(&self, kind: &FigureKind) -> Result<Figure> {
        let description = &self.lesson.description;
        match kind {
            FigureKind::Training(figure, options) => {
                figure.figure_of(&TrainingCircuit::of(description.as_ref().clone())?, options)
            }
            FigureKind::Current(situation) => {
                let (case, result) = self.case(situation)?;
                Ok(current_figure(&case, &result))
            }
            FigureKind::Harmonics(situation) => Ok(harmonics_figure(&self.case(situation)?.1)),
            FigureKind::Errors => {
                let cases = description.cases()?.value;
                Ok(error_figure(&description.survey(&cases)?))
            }
            FigureKind::Ladder => ladder_figure(),
        }
    }

    fn case(&self, situation: &str) -> Result<(StepCase, StepResult)> {
        let seen = known("situation", self.seen, situation)?;
        let invented = if seen.is_invented { "invented, " } else { "" };
        let case = StepCase {
            step: seen.step.clone(),
            waveform: seen.output.clone(),
            origin: format!("{invented}{}", seen.words),
        };
        let meters: Vec<_> = seen.meters.iter().map(|meter| meter.meter.clone()).collect();
        let description = &self.lesson.description;
        let result = StepResult::new(&case, &meters, &description.lamp, description.rated())?;
        Ok((case, result))
    }

    fn question(&self, name: &str, plan: &QuestionPlan) -> Result<Question> {
        let whole = |_: Range<usize>| plan.place.clone();
        let words = |text: &str| {
            let found = markers(text, 0)?;
            self.resolve(text, 0, &found, &whole, str::to_owned).map(|text| Words::of(&text))
        };
        let kind = match &plan.answer {
            AnswerPlan::Choices(right) => {
                let choices =
                    plan.choices.iter().map(|choice| words(choice)).collect::<Result<Vec<_>>>()?;
                match right.as_slice() {
                    [right] => QuestionKind::Single { choices, right: *right },
                    several => QuestionKind::Several { choices, right: several.to_vec() },
                }
            }
            AnswerPlan::Seen { situation, quantity, digits, tolerance } => {
                let seen = known("situation", self.seen, situation)?;
                let quantity = Quantity::named(quantity)?;
                let shown = quantity.shown(seen, 0, *digits)?;
                let answer = quantity.number(seen, 0).unwrap_or(f64::NAN);
                let unit = quantity.unit().to_owned();
                QuestionKind::Number { answer, shown, unit, tolerance: tolerance.about(answer) }
            }
            AnswerPlan::Number { number, unit, tolerance } => QuestionKind::Number {
                answer: *number,
                shown: with_unit(*number, decimals(*number), false, unit),
                unit: unit.clone(),
                tolerance: tolerance.about(*number),
            },
        };
        Ok(Question { name: name.to_owned(), ask: words(&plan.ask)?, kind, why: words(&plan.why)? })
    }
}

/// Digits after the point of a number as it was written.
fn decimals(number: f64) -> usize {
    let text = number.to_string();
    text.split_once('.').map_or(0, |(_, behind)| behind.len().min(Quantity::MOST_DIGITS))
}
