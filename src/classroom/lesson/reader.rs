//! From the text of a lesson file to a checked lesson.

use std::collections::BTreeMap;
use std::ops::Range;
use std::path::Path;
use std::sync::Arc;

use toml::{Spanned, Value};

use crate::classroom::training::{TrainingFigure, TrainingOptions};
use crate::description::{Description, from_toml, misspelt};
use crate::error::{Bounds, Error, Result};
use crate::series::FieldLoad;
use crate::situation::{Output, Situation};
use crate::units::{self, Dimension};

use super::plan::{AnswerPlan, FigureKind, FigurePlan, QuestionPlan, SliderPlan, Tolerance};
use super::raw::{RawFigure, RawHead, RawQuestion, RawSlider, RawSource, Settings};
use super::source::SourceKnown;
use super::text::Text;
use super::{Lesson, LessonSource, Quantity, Slider};

const MINUTES: Bounds = Bounds::new("minutes of a lesson", "min", 1.0, 600.0);
const DIGITS: Bounds = Bounds::new("digits after the point", "", 0.0, Quantity::MOST_DIGITS as f64);

pub(super) fn lesson(text: &str, name: &str, folder: &Path) -> Result<Lesson> {
    let text = Text::new(text)?;
    let head = text.head();
    let raw: RawHead = toml::from_str(&head).map_err(|complaint| from_toml(&head, &complaint))?;
    let mut reader =
        Reader { text: &text, description: Description::embedded(), situations: BTreeMap::new() };
    if *raw.format.get_ref() != Lesson::FORMAT {
        let found = raw.format.get_ref().to_string();
        let error = Error::malformed(format!("format = {}", Lesson::FORMAT), found);
        return Err(reader.at(error, raw.format.span()));
    }
    if let Some(file) = &raw.description {
        reader.description = Description::read(&folder.join(file.get_ref()))
            .map_err(|error| error.with_context("description of the lesson"))?;
    }
    let minutes = MINUTES.check(*raw.minutes.get_ref() as f64);
    let minutes = minutes.map_err(|error| reader.at(error, raw.minutes.span()))? as u32;
    for (name, settings) in &raw.situation {
        let situation = reader.situation(settings)?;
        reader.situations.insert(name.clone(), situation);
    }
    let figures = each(&raw.figure, |name, raw| reader.figure(name, raw))?;
    let sliders = each(&raw.slider, |name, raw| reader.slider(name, raw))?;
    let questions = each(&raw.question, |name, raw| reader.question(name, raw))?;
    let sources = raw.source.iter().map(|raw| reader.source(raw)).collect::<Result<_>>()?;
    let (description, situations) = (Arc::new(reader.description.clone()), reader.situations);
    Ok(Lesson {
        name: name.to_owned(),
        title: raw.title,
        audience: raw.audience,
        minutes,
        goals: raw.goals,
        sources,
        description,
        situations,
        figures,
        sliders,
        questions,
        text,
        file: None,
    })
}

fn each<R, T>(
    all: &BTreeMap<String, R>,
    read: impl Fn(&str, &R) -> Result<T>,
) -> Result<BTreeMap<String, T>> {
    all.iter().map(|(name, raw)| Ok((name.clone(), read(name, raw)?))).collect()
}

struct Reader<'a> {
    text: &'a Text,
    description: Description,
    situations: BTreeMap<String, Situation>,
}

impl Reader<'_> {
    fn at(&self, error: Error, span: Range<usize>) -> Error {
        error.at(self.text.place(span))
    }

    fn situation(&self, settings: &Settings) -> Result<Situation> {
        let mut situation = Situation::default();
        for (key, value) in settings {
            let set = written(key, value.get_ref()).and_then(|text| situation.set(key, &text));
            set.map_err(|error| self.at(error, value.span()))?;
            // Alone, so that the complaint stands at the field it belongs to.
            if key == "step" || key == "meter" {
                let alone =
                    Situation { output: Output::AsSet, lamps_out_ratio: None, ..situation.clone() };
                alone.check(&self.description).map_err(|error| self.at(error, value.span()))?;
            }
        }
        let span = settings.values().next_back().map_or(0..0, Spanned::span);
        situation.check(&self.description).map_err(|error| self.at(error, span))?;
        Ok(situation)
    }

    fn named_situation(&self, name: &Spanned<String>) -> Result<&Situation> {
        self.situations.get(name.get_ref()).ok_or_else(|| {
            let known: Vec<&str> = self.situations.keys().map(String::as_str).collect();
            let expected = format!("a situation of the head: {}", known.join(", "));
            self.at(misspelt(expected, name.get_ref(), known.iter().copied()), name.span())
        })
    }

    fn figure(&self, name: &str, raw: &Spanned<RawFigure>) -> Result<FigurePlan> {
        let place = self.text.place(raw.span()).with_field(format!("figure.{name}"));
        let RawFigure { training, plot, situation, with } = raw.get_ref();
        let kind = match (training, plot) {
            (Some(slug), None) => {
                let figure = TrainingFigure::named(slug.get_ref())
                    .map_err(|error| self.at(error, slug.span()))?;
                let mut options = TrainingOptions::default();
                for (key, value) in with {
                    let set = written(key, value.get_ref())
                        .and_then(|text| options.set(figure, key, &text));
                    set.map_err(|error| self.at(error, value.span()))?;
                }
                if let Some(situation) = situation {
                    let error = Error::inconsistent("a training figure has no situation");
                    let error = error.with_hint("its parameters go into `with`");
                    return Err(self.at(error, situation.span()));
                }
                FigureKind::Training(figure, options)
            }
            (None, Some(plot)) => {
                let of = || match situation {
                    Some(name) => self.named_situation(name).map(|_| name.get_ref().clone()),
                    None => Err(Error::malformed("situation = a situation of the head", "none")
                        .at(place.clone())),
                };
                match plot.get_ref().as_str() {
                    "current" => FigureKind::Current(of()?),
                    "harmonics" => FigureKind::Harmonics(of()?),
                    "errors" => FigureKind::Errors,
                    "ladder" => FigureKind::Ladder,
                    other => {
                        let expected = format!("one of {}", FigureKind::PLOTS.join(", "));
                        let error = misspelt(expected, other, FigureKind::PLOTS);
                        return Err(self.at(error, plot.span()));
                    }
                }
            }
            _ => {
                return Err(Error::malformed(
                    "either training = a figure's slug, or plot = a plot's name",
                    if training.is_some() { "both" } else { "neither" },
                )
                .at(place));
            }
        };
        Ok(FigurePlan { place, kind })
    }

    fn slider(&self, name: &str, raw: &Spanned<RawSlider>) -> Result<SliderPlan> {
        let place = self.text.place(raw.span()).with_field(format!("slider.{name}"));
        let RawSlider { title, situation, steps, loads, lamps_out, meters } = raw.get_ref();
        let mut base = match situation {
            Some(name) => self.named_situation(name)?.clone(),
            None => Situation::default(),
        };
        let ratio_of = |base: &Situation| base.lamps_out_ratio;
        let mut plan = SliderPlan {
            place,
            title: title.clone(),
            steps: vec![base.step],
            loads: vec![(base.output, base.output.words())],
            lamps_out: vec![ratio_of(&base)],
            base: base.clone(),
        };
        let check = |situation: &Situation, span: Range<usize>| {
            situation.check(&self.description).map_err(|error| self.at(error, span))
        };
        if !meters.is_empty() {
            base.meters = meters.iter().map(|meter| meter.get_ref().clone()).collect();
            for meter in meters {
                let alone =
                    Situation { meters: vec![meter.get_ref().clone()], ..Situation::default() };
                check(&alone, meter.span())?;
            }
        }
        let number = |step: &Spanned<i64>| {
            let step_number = u32::try_from(*step.get_ref()).unwrap_or(u32::MAX);
            let alone = Situation { step: Some(step_number), ..Situation::default() };
            check(&alone, step.span()).map(|()| Some(step_number))
        };
        if !steps.is_empty() {
            plan.steps = steps.iter().map(number).collect::<Result<_>>()?;
        }
        let output = |load: &Spanned<String>| {
            let output =
                Output::parse(load.get_ref()).map_err(|error| self.at(error, load.span()))?;
            Ok((output, load.get_ref().clone()))
        };
        if !loads.is_empty() {
            plan.loads = loads.iter().map(output).collect::<Result<_>>()?;
        }
        let share = |lamps: &Spanned<String>| {
            let ratio = units::parse(lamps.get_ref(), Dimension::Ratio)
                .and_then(|ratio| FieldLoad::OPEN_RATIO.check(ratio));
            ratio.map(Some).map_err(|error| self.at(error, lamps.span()))
        };
        if !lamps_out.is_empty() {
            plan.lamps_out = lamps_out.iter().map(share).collect::<Result<_>>()?;
            // Shorted and with lamps out is no setting anyone can make.
            for ((output, _), load) in plan.loads.iter().zip(loads) {
                let lamps_out_ratio = plan.lamps_out[0];
                let alone = Situation { output: *output, lamps_out_ratio, ..Situation::default() };
                check(&alone, load.span())?;
            }
        }
        plan.base = base;
        let frames = plan.frames();
        if frames > Slider::MOST_FRAMES {
            return Err(Error::malformed(
                format!("at most {} frames", Slider::MOST_FRAMES),
                format!("{frames}: steps times loads times lamps out"),
            )
            .at(plan.place)
            .with_hint("leave some settings out"));
        }
        Ok(plan)
    }

    fn question(&self, name: &str, raw: &Spanned<RawQuestion>) -> Result<QuestionPlan> {
        let place = self.text.place(raw.span()).with_field(format!("question.{name}"));
        let raw = raw.get_ref();
        let missing = |what: &str| Error::malformed(what.to_owned(), "none").at(place.clone());
        let tolerance = || {
            let tolerance = raw.tolerance.as_ref();
            let tolerance =
                tolerance.ok_or_else(|| missing("tolerance, such as \"2 %\" or 0.05"))?;
            self.tolerance(tolerance)
        };
        let answer = if !raw.choices.is_empty() {
            AnswerPlan::Choices(self.right(raw, &place)?)
        } else if let Some(number) = &raw.number {
            AnswerPlan::Number {
                number: *number.get_ref(),
                unit: raw.unit.clone().unwrap_or_default(),
                tolerance: tolerance()?,
            }
        } else {
            let (Some(situation), Some(quantity)) = (&raw.situation, &raw.quantity) else {
                return Err(missing("choices, a number, or a situation with a quantity"));
            };
            self.named_situation(situation)?;
            let known = Quantity::named(quantity.get_ref())
                .map_err(|error| self.at(error, quantity.span()))?;
            if !known.is_number() {
                let error = Error::malformed("a quantity that is a number", quantity.get_ref());
                return Err(self.at(error, quantity.span()));
            }
            let digits = raw.digits.as_ref().map(|digits| {
                let checked = DIGITS.check(*digits.get_ref() as f64);
                checked.map_err(|error| self.at(error, digits.span()))
            });
            AnswerPlan::Seen {
                situation: situation.get_ref().clone(),
                quantity: known.name.to_owned(),
                digits: digits.transpose()?.map(|digits| digits as usize),
                tolerance: tolerance()?,
            }
        };
        Ok(QuestionPlan {
            place: self.text.place(raw.ask.span()).with_field(format!("question.{name}")),
            ask: raw.ask.get_ref().clone(),
            choices: raw.choices.iter().map(|choice| choice.get_ref().clone()).collect(),
            why: raw.why.get_ref().clone(),
            answer,
        })
    }

    /// Right choices are counted from 1 in the file.
    fn right(&self, raw: &RawQuestion, place: &crate::error::Place) -> Result<Vec<usize>> {
        let count = raw.choices.len();
        if raw.right.is_empty() {
            let expected = format!("right = [numbers of the right choices, 1 to {count}]");
            return Err(Error::malformed(expected, "none").at(place.clone()));
        }
        let number = |right: &Spanned<i64>| match usize::try_from(*right.get_ref()) {
            Ok(number) if number >= 1 && number <= count => Ok(number - 1),
            _ => {
                let error = Error::malformed(
                    format!("a number from 1 to {count}"),
                    right.get_ref().to_string(),
                );
                Err(self.at(error, right.span()))
            }
        };
        raw.right.iter().map(number).collect()
    }

    fn tolerance(&self, raw: &Spanned<Value>) -> Result<Tolerance> {
        const TOLERANCE: Bounds = Bounds::new("tolerance of an answer", "", 1e-9, 1e9);
        let tolerance = match raw.get_ref() {
            Value::String(text) => units::parse(text, Dimension::Ratio).map(Tolerance::Share),
            Value::Integer(number) => Ok(Tolerance::Absolute(*number as f64)),
            Value::Float(number) => Ok(Tolerance::Absolute(*number)),
            other => Err(Error::malformed("a number, or a share in quotes", other.type_str())),
        };
        let checked = tolerance.and_then(|tolerance| {
            let (Tolerance::Absolute(value) | Tolerance::Share(value)) = tolerance;
            TOLERANCE.check(value).map(|_| tolerance)
        });
        checked.map_err(|error| self.at(error, raw.span()))
    }

    fn source(&self, raw: &RawSource) -> Result<LessonSource> {
        let word = raw.known.get_ref();
        let known = SourceKnown::ALL.into_iter().find(|known| known.key() == word);
        let known = known.ok_or_else(|| {
            let keys = SourceKnown::ALL.map(SourceKnown::key);
            let error = misspelt(format!("one of {}", keys.join(", ")), word, keys);
            self.at(error, raw.known.span())
        })?;
        Ok(LessonSource { text: raw.text.clone(), known })
    }
}

/// A value of the head as it would be typed.
fn written(key: &str, value: &Value) -> Result<String> {
    match value {
        Value::String(text) => Ok(text.clone()),
        Value::Integer(number) => Ok(number.to_string()),
        Value::Float(number) => Ok(number.to_string()),
        other => {
            Err(Error::malformed("a number or a text in quotes", format!("a {}", other.type_str()))
                .with_context(key.to_owned()))
        }
    }
}
