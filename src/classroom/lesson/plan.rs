use crate::classroom::training::{TrainingFigure, TrainingOptions};
use crate::error::Place;
use crate::situation::{Output, Situation};

/// A figure as the head declares it.
#[derive(Clone, Debug)]
pub(super) struct FigurePlan {
    pub place: Place,
    pub kind: FigureKind,
}

#[derive(Clone, Debug)]
pub(super) enum FigureKind {
    /// One of the numbered figures, with what is chosen about it.
    Training(TrainingFigure, TrainingOptions),
    /// The current of a situation and what its meters make of it.
    Current(String),
    /// The harmonics of a situation's current.
    Harmonics(String),
    /// The errors of the description's meters at every step.
    Errors,
    /// One distortion drawn in several ways.
    Ladder,
}

impl FigureKind {
    /// The plots that can be named.
    pub(super) const PLOTS: [&'static str; 4] = ["current", "harmonics", "errors", "ladder"];
}

/// A slider as the head declares it.
#[derive(Clone, Debug)]
pub(super) struct SliderPlan {
    pub place: Place,
    pub title: String,
    pub base: Situation,
    pub steps: Vec<Option<u32>>,
    pub loads: Vec<(Output, String)>,
    pub lamps_out: Vec<Option<f64>>,
}

impl SliderPlan {
    pub(super) fn frames(&self) -> usize {
        self.steps.len() * self.loads.len() * self.lamps_out.len()
    }
}

/// A question as the head declares it; its texts may hold values.
#[derive(Clone, Debug)]
pub(super) struct QuestionPlan {
    pub place: Place,
    pub ask: String,
    pub choices: Vec<String>,
    pub why: String,
    pub answer: AnswerPlan,
}

#[derive(Clone, Debug)]
pub(super) enum AnswerPlan {
    Choices(Vec<usize>),
    /// A quantity of a situation.
    Seen {
        situation: String,
        quantity: String,
        digits: Option<usize>,
        tolerance: Tolerance,
    },
    Number {
        number: f64,
        unit: String,
        tolerance: Tolerance,
    },
}

/// How far off an answer may be: in the unit shown, or as a share of the answer.
#[derive(Clone, Copy, Debug)]
pub(super) enum Tolerance {
    Absolute(f64),
    Share(f64),
}

impl Tolerance {
    pub(super) fn about(self, answer: f64) -> f64 {
        match self {
            Self::Absolute(tolerance) => tolerance,
            Self::Share(ratio) => (ratio * answer).abs(),
        }
    }
}
