use super::Level;

/// A kind of problem.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ProblemKind {
    /// Crest factor from peak and RMS.
    CrestFactor,
    /// Which steps lie outside their bands.
    StepsOutOfBand,
    /// Light at a current off the nominal of a step.
    Light,
    /// Life at a current off the rated one.
    Life,
    /// The calculated load in percent of the rating.
    LoadShare,
    /// The measured load in percent of the rating.
    MeasuredLoad,
    /// How far a meter may be off by its data sheet.
    MeterLimit,
    /// What went wrong at the bench.
    WhatWentWrong,
    /// Error of an average-responding meter from the form factor.
    AverageError,
    /// The true current behind the number of a meter that assumes a sine.
    TrueCurrent,
    /// Where the current lands once a step is trimmed by such a meter.
    Landing,
    /// The range that holds both reading and peak.
    CrestLimit,
    /// Set with the output shorted, read with the field connected.
    LoadedIndication,
    /// What may be accepted with a guard band.
    AcceptanceLimit,
    /// At which steps two sets of bands differ in their verdict.
    BandSets,
    /// Which steps a meter cannot set.
    StepsNotSettable,
    /// The share of lamps out behind a crest factor.
    LampsOut,
    /// Which stage of a protection acts.
    ProtectionTrip,
    /// A decision with a guard band.
    GuardBand,
    /// When a drifting step leaves its band.
    NextDue,
}

impl ProblemKind {
    /// Every kind, in the order of listings.
    pub const ALL: [Self; 20] = [
        Self::CrestFactor,
        Self::StepsOutOfBand,
        Self::Light,
        Self::Life,
        Self::LoadShare,
        Self::MeasuredLoad,
        Self::MeterLimit,
        Self::WhatWentWrong,
        Self::AverageError,
        Self::TrueCurrent,
        Self::Landing,
        Self::CrestLimit,
        Self::LoadedIndication,
        Self::AcceptanceLimit,
        Self::BandSets,
        Self::StepsNotSettable,
        Self::LampsOut,
        Self::ProtectionTrip,
        Self::GuardBand,
        Self::NextDue,
    ];

    /// The kinds of one level, in the order of listings.
    #[must_use]
    pub fn of_level(level: Level) -> Vec<Self> {
        Self::ALL.into_iter().filter(|kind| kind.levels().contains(&level)).collect()
    }

    /// The levels it is set at.
    #[must_use]
    pub fn levels(self) -> &'static [Level] {
        use Level::{Engineer, Technician, Trainee};
        match self {
            Self::CrestFactor
            | Self::StepsOutOfBand
            | Self::Light
            | Self::MeasuredLoad
            | Self::MeterLimit => &[Trainee],
            Self::WhatWentWrong | Self::LoadShare => &[Trainee, Technician, Engineer],
            Self::Life
            | Self::AverageError
            | Self::CrestLimit
            | Self::AcceptanceLimit
            | Self::BandSets => &[Technician],
            Self::TrueCurrent | Self::Landing | Self::LoadedIndication => &[Technician, Engineer],
            Self::StepsNotSettable
            | Self::LampsOut
            | Self::ProtectionTrip
            | Self::GuardBand
            | Self::NextDue => &[Engineer],
        }
    }

    /// The name used in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::CrestFactor => "crest-factor",
            Self::StepsOutOfBand => "steps-out-of-band",
            Self::Light => "light",
            Self::Life => "life",
            Self::LoadShare => "load-share",
            Self::MeasuredLoad => "measured-load",
            Self::MeterLimit => "meter-limit",
            Self::WhatWentWrong => "what-went-wrong",
            Self::AverageError => "average-error",
            Self::TrueCurrent => "true-current",
            Self::Landing => "landing",
            Self::CrestLimit => "crest-limit",
            Self::LoadedIndication => "loaded-indication",
            Self::AcceptanceLimit => "acceptance-limit",
            Self::BandSets => "band-sets",
            Self::StepsNotSettable => "steps-not-settable",
            Self::LampsOut => "lamps-out",
            Self::ProtectionTrip => "protection-trip",
            Self::GuardBand => "guard-band",
            Self::NextDue => "next-due",
        }
    }

    /// Its title on a sheet.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Self::CrestFactor => "Crest factor",
            Self::StepsOutOfBand => "Steps and bands",
            Self::Light => "Light",
            Self::Life => "Lamp life",
            Self::LoadShare => "Load of a circuit",
            Self::MeasuredLoad => "Measured load",
            Self::MeterLimit => "How far the meter may be off",
            Self::WhatWentWrong => "What went wrong?",
            Self::AverageError => "Error of an average-responding meter",
            Self::TrueCurrent => "The true current",
            Self::Landing => "Trimmed by the wrong meter",
            Self::CrestLimit => "Which range?",
            Self::LoadedIndication => "Set shorted, read loaded",
            Self::AcceptanceLimit => "What may be accepted",
            Self::BandSets => "Two sets of bands",
            Self::StepsNotSettable => "Which steps can this meter not set?",
            Self::LampsOut => "Lamps out",
            Self::ProtectionTrip => "Does the protection act?",
            Self::GuardBand => "A decision with a guard band",
            Self::NextDue => "When does it leave its band?",
        }
    }
}
