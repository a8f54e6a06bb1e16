use crate::error::{Error, Result};
use crate::meter::Archetype;
use crate::plot::{Figure, SameThdCase};

use super::{Level, Parameter, TrainingCircuit, TrainingOptions, draw, setting};

/// One of the numbered figures for teaching.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TrainingFigure {
    /// T01: the power in a lamp over a cycle, and its mean.
    WhyRms,
    /// T02: three detectors on one current.
    ThreeDetectors,
    /// T03: the same distortion with three errors.
    SameThd,
    /// T04: the current of every step at three loads.
    StepsAndLoads,
    /// T05: the error of an average-responding meter over load.
    SignChange,
    /// T06: lamps out and the spikes they make.
    LampsOut,
    /// T07: crest factors against what a meter takes.
    CrestLimit,
    /// T08: error against bandwidth.
    Bandwidth,
    /// T09: a clamp at the bottom of its range.
    RangeBottom,
    /// T10: light and lamp life after setting by each meter.
    LightAndLife,
    /// T11: a resonant source beside a phase-cut one.
    Sources,
    /// T12: drift and guard bands.
    Drift,
    /// T13: times of the overcurrent protection.
    Protection,
}

impl TrainingFigure {
    /// Every figure, in the order of their numbers.
    pub const ALL: [Self; 13] = [
        Self::WhyRms,
        Self::ThreeDetectors,
        Self::SameThd,
        Self::StepsAndLoads,
        Self::SignChange,
        Self::LampsOut,
        Self::CrestLimit,
        Self::Bandwidth,
        Self::RangeBottom,
        Self::LightAndLife,
        Self::Sources,
        Self::Drift,
        Self::Protection,
    ];

    /// Its number, from 1.
    #[must_use]
    pub fn number(self) -> usize {
        1 + self as usize
    }

    /// Its number as it is written: T01 to T13.
    #[must_use]
    pub fn code(self) -> String {
        format!("T{:02}", self.number())
    }

    /// Its name in files.
    #[must_use]
    pub fn slug(self) -> &'static str {
        match self {
            Self::WhyRms => "why-rms",
            Self::ThreeDetectors => "three-detectors",
            Self::SameThd => "same-thd",
            Self::StepsAndLoads => "steps-and-loads",
            Self::SignChange => "sign-change",
            Self::LampsOut => "lamps-out",
            Self::CrestLimit => "crest-limit",
            Self::Bandwidth => "bandwidth",
            Self::RangeBottom => "range-bottom",
            Self::LightAndLife => "light-and-life",
            Self::Sources => "sources",
            Self::Drift => "drift",
            Self::Protection => "protection-times",
        }
    }

    /// What it is about, without a number in it.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Self::WhyRms => "Why RMS: the power in a lamp",
            Self::ThreeDetectors => "Three detectors on one current",
            Self::SameThd => "The same distortion, three errors",
            Self::StepsAndLoads => "The current at every step and load",
            Self::SignChange => "The error changes its sign with the load",
            Self::LampsOut => "Lamps out and the spikes they make",
            Self::CrestLimit => "Crest factors a meter can take",
            Self::Bandwidth => "How much bandwidth is enough",
            Self::RangeBottom => "A clamp at the bottom of its range",
            Self::LightAndLife => "What a wrong meter does to light and lamps",
            Self::Sources => "A resonant source beside a phase-cut one",
            Self::Drift => "Drift, and room kept for doubt",
            Self::Protection => "How soon the protection must act",
        }
    }

    /// Its lesson in one sentence, without numbers: those stand in the figure's caption.
    #[must_use]
    pub fn lesson(self) -> &'static str {
        match self {
            Self::WhyRms => {
                "A lamp turns the mean of the squared current into heat: RMS, not average or peak."
            }
            Self::ThreeDetectors => {
                "On a distorted current true-RMS, average- and peak-responding meters disagree."
            }
            Self::SameThd => {
                "Distortion alone does not tell the error: the phases of the harmonics decide its size and sign."
            }
            Self::StepsAndLoads => {
                "The shape of the current differs at every step and at every load."
            }
            Self::SignChange => {
                "A meter that reads low while the output is shorted may read high in service."
            }
            Self::LampsOut => "An open lamp's transformer saturates and puts spikes on the loop.",
            Self::CrestLimit => {
                "A meter takes less crest factor the nearer it reads to full scale."
            }
            Self::Bandwidth => "A true-RMS meter reads low by what lies above its bandwidth.",
            Self::RangeBottom => {
                "Counts and range make a clamp useless for small currents, whatever its percentage says."
            }
            Self::LightAndLife => {
                "A meter's error goes into the current, six times over into the light, more into lamp life."
            }
            Self::Sources => "The same RMS from another kind of source gives another error.",
            Self::Drift => {
                "A reading inside the band may leave it before the next visit, or lie too near its edge to be proven."
            }
            Self::Protection => {
                "Protection acts by the multiple of current and by time: both are to be proven."
            }
        }
    }

    /// For whom it is meant.
    #[must_use]
    pub fn level(self) -> Level {
        match self {
            Self::WhyRms | Self::ThreeDetectors | Self::LightAndLife => Level::First,
            Self::StepsAndLoads | Self::SignChange | Self::LampsOut | Self::RangeBottom => {
                Level::Working
            }
            Self::Sources | Self::Protection => Level::Working,
            Self::SameThd | Self::CrestLimit | Self::Bandwidth | Self::Drift => Level::Further,
        }
    }

    /// What may be chosen about it.
    #[must_use]
    pub fn parameters(self) -> Vec<Parameter> {
        let own = self.defaults();
        Parameter::ALL.into_iter().filter(|parameter| own.has(*parameter)).collect()
    }

    /// What is taken where nothing is chosen: a value for each of its parameters and for no other.
    #[must_use]
    pub fn defaults(self) -> TrainingOptions {
        let none = TrainingOptions::default();
        let (step, load_ratio) = (Some, Some);
        match self {
            Self::WhyRms => TrainingOptions { step: step(5), load_ratio: load_ratio(0.5), ..none },
            Self::ThreeDetectors => {
                TrainingOptions { step: step(1), load_ratio: load_ratio(0.02), ..none }
            }
            Self::SameThd => TrainingOptions { thd_ratio: Some(0.2), ..none },
            Self::StepsAndLoads | Self::SignChange => none,
            Self::LampsOut => TrainingOptions { step: step(3), lamps_out_ratio: Some(0.2), ..none },
            Self::CrestLimit => TrainingOptions {
                lamps_out_ratio: Some(0.2),
                meter: Some(Archetype::AverageRespondingClamp),
                ..none
            },
            Self::Bandwidth => {
                TrainingOptions { step: step(3), load_ratio: load_ratio(0.5), ..none }
            }
            Self::RangeBottom => TrainingOptions { meter: Some(Archetype::WideRangeClamp), ..none },
            Self::LightAndLife => TrainingOptions { load_ratio: load_ratio(0.02), ..none },
            Self::Sources => TrainingOptions { step: step(3), load_ratio: load_ratio(0.5), ..none },
            Self::Drift => TrainingOptions { probability: Some(0.95), ..none },
            Self::Protection => TrainingOptions { load_ratio: load_ratio(0.6), ..none },
        }
    }

    /// The figure named by its slug or its number ("same-thd", "T03", "t3").
    ///
    /// # Errors
    /// `Malformed` for another name, with the nearest.
    pub fn named(name: &str) -> Result<Self> {
        let wanted = name.trim().to_lowercase();
        let number = wanted.strip_prefix('t').and_then(|digits| digits.parse::<usize>().ok());
        let found = Self::ALL
            .into_iter()
            .find(|figure| figure.slug() == wanted || number == Some(figure.number()));
        found.ok_or_else(|| {
            let slugs = Self::ALL.map(Self::slug);
            let hint = match setting::nearest(&wanted, &slugs) {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => format!("T01 to T13, or: {}", slugs.join(", ")),
            };
            Error::malformed("a training figure", format!("\"{}\"", name.trim())).with_hint(hint)
        })
    }

    /// The three currents of T03: one distortion, with the lowest, no and the highest error of an
    /// average-responding meter.
    ///
    /// # Errors
    /// As [`crate::waveform::Synthesis::waveform`].
    pub fn same_thd_cases(
        thd_ratio: f64,
        rms_a: f64,
        frequency_hz: f64,
    ) -> Result<Vec<SameThdCase>> {
        super::figures::same_thd::cases(thd_ratio, rms_a, frequency_hz)
    }

    /// The figure, its numbers computed now on the invented training circuit.
    ///
    /// # Errors
    /// As [`TrainingOptions::from_table`] for the options; `Inconsistent` when a step cannot be held
    /// as asked for; otherwise as the solver.
    pub fn figure(self, options: &TrainingOptions) -> Result<Figure> {
        self.figure_of(&TrainingCircuit::invented()?, options)
    }

    /// The same of a circuit already at hand: cheaper where many figures are drawn.
    ///
    /// # Errors
    /// As [`Self::figure`].
    pub fn figure_of(self, circuit: &TrainingCircuit, options: &TrainingOptions) -> Result<Figure> {
        let chosen = options.completed(self)?;
        draw::figure(self, circuit, &chosen).map_err(|error| {
            error.with_context(format!("figure {} ({})", self.code(), self.slug()))
        })
    }
}
