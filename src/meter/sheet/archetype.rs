use std::f64::consts::SQRT_2;

use crate::meter::Detector;
use crate::waveform::Coupling;

use super::{
    Accuracy, AccuracyLine, Bandwidth, Clamp, Converter, CrestBand, CrestCapability, FlexibleCoil,
    FrequencyError, Hall, IronCore, MeasurementCategory, Range, RangeRule, Ranges, Sheet,
    Temperature, TransformerClass, VoltageCategory, Window,
};

/// Kinds of meter, each with a data sheet to begin from.
///
/// # Source
/// Invented: the values are of the kind such meters have, and belong to no product.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Archetype {
    /// A precision true-RMS clamp: Hall sensor, fine digits, wide band.
    PrecisionTrueRmsClamp,
    /// A general true-RMS clamp with an iron core.
    GeneralTrueRmsClamp,
    /// An average-responding clamp with an iron core.
    AverageRespondingClamp,
    /// A clamp that holds the peak.
    PeakHoldClamp,
    /// A flexible coil with integrator on a true-RMS meter.
    FlexibleCoilProbe,
    /// A moving-iron panel meter.
    MovingIronPanel,
    /// A moving-coil panel meter behind a rectifier.
    RectifierPanel,
    /// A clamp made for hundreds of amperes, used at the bottom of its range.
    WideRangeClamp,
}

impl Archetype {
    /// Every kind, in the order of tables.
    pub const ALL: [Self; 8] = [
        Self::PrecisionTrueRmsClamp,
        Self::GeneralTrueRmsClamp,
        Self::AverageRespondingClamp,
        Self::PeakHoldClamp,
        Self::FlexibleCoilProbe,
        Self::MovingIronPanel,
        Self::RectifierPanel,
        Self::WideRangeClamp,
    ];

    /// The name used in files and on the command line.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::PrecisionTrueRmsClamp => "precision-true-rms-clamp",
            Self::GeneralTrueRmsClamp => "general-true-rms-clamp",
            Self::AverageRespondingClamp => "average-responding-clamp",
            Self::PeakHoldClamp => "peak-hold-clamp",
            Self::FlexibleCoilProbe => "flexible-coil-probe",
            Self::MovingIronPanel => "moving-iron-panel",
            Self::RectifierPanel => "rectifier-panel",
            Self::WideRangeClamp => "wide-range-clamp",
        }
    }

    /// The kind with that name.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.key() == key)
    }

    /// Plain words for tables.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::PrecisionTrueRmsClamp => "precision true-RMS clamp",
            Self::GeneralTrueRmsClamp => "general true-RMS clamp",
            Self::AverageRespondingClamp => "average-responding clamp",
            Self::PeakHoldClamp => "peak-hold clamp",
            Self::FlexibleCoilProbe => "flexible-coil probe",
            Self::MovingIronPanel => "moving-iron panel meter",
            Self::RectifierPanel => "rectifier panel meter",
            Self::WideRangeClamp => "wide-range clamp at the bottom of its range",
        }
    }

    /// Its data sheet, invented.
    #[must_use]
    pub fn sheet(self) -> Sheet {
        match self {
            Self::PrecisionTrueRmsClamp => precision(),
            Self::GeneralTrueRmsClamp => general(),
            Self::AverageRespondingClamp => average(),
            Self::PeakHoldClamp => peak(),
            Self::FlexibleCoilProbe => flexible(),
            Self::MovingIronPanel => moving_iron(),
            Self::RectifierPanel => rectifier(),
            Self::WideRangeClamp => wide_range(),
        }
    }
}

/// Full scales with their resolutions, chosen by the meter itself.
fn auto(list: &[(f64, f64)], rule: RangeRule) -> Ranges {
    let range = |(full_scale_a, resolution_a): &(f64, f64)| Range {
        full_scale_a: *full_scale_a,
        resolution_a: *resolution_a,
    };
    Ranges { list: list.iter().map(range).collect(), rule }
}

fn iron_core(rated_a: f64, class: Option<TransformerClass>, low_cutoff_hz: f64) -> Clamp {
    Clamp::IronCore(IronCore {
        rated_a,
        class,
        low_cutoff_hz: Some(low_cutoff_hz),
        saturation_peak_a: None,
    })
}

fn sampling(bits: u32, sample_rate_hz: f64, length_s: f64) -> Converter {
    Converter::Sampling { bits, sample_rate_hz, window: Window::Free { length_s } }
}

fn span(coefficient_per_k: f64) -> Option<Temperature> {
    Some(Temperature { low_degc: 18.0, high_degc: 28.0, coefficient_per_k })
}

fn category(category: MeasurementCategory, working_v: f64) -> Option<VoltageCategory> {
    Some(VoltageCategory { category, working_v })
}

fn precision() -> Sheet {
    Sheet {
        detector: Detector::TrueRms(Coupling::Dc),
        clamp: Clamp::Hall(Hall {
            offset_a: 0.002,
            noise_rms_a: 0.005,
            saturation_peak_a: Some(60.0),
        }),
        position_ratio: Some(0.001),
        ranges: auto(&[(6.0, 1e-4), (30.0, 1e-3)], RangeRule::AutoByReadingAndPeak),
        bandwidth: Bandwidth::Poles(vec![100e3]),
        calibrated_hz: None,
        crest: Some(CrestCapability {
            at_full_scale: 3.0,
            cap: Some(6.0),
            bands: vec![
                CrestBand { up_to: 2.0, added_ratio: 0.0005 },
                CrestBand { up_to: 3.0, added_ratio: 0.0015 },
                CrestBand { up_to: 6.0, added_ratio: 0.004 },
            ],
        }),
        converter: Converter::Sampling {
            bits: 18,
            sample_rate_hz: 200e3,
            window: Window::WholePeriods,
        },
        display_counts: Some(60_000),
        accuracy: Accuracy {
            lines: vec![
                AccuracyLine::new(45.0, 66.0, 0.002, 5.0),
                AccuracyLine::new(10.0, 1000.0, 0.004, 10.0),
            ],
        },
        temperature: span(0.0001),
        certificate: None,
        category: category(MeasurementCategory::Three, 600.0),
    }
}

fn general() -> Sheet {
    Sheet {
        detector: Detector::TrueRms(Coupling::Ac),
        clamp: iron_core(100.0, Some(TransformerClass::One), 5.0),
        position_ratio: Some(0.01),
        ranges: auto(&[(10.0, 0.01), (100.0, 0.1)], RangeRule::AutoByReading),
        bandwidth: Bandwidth::Poles(vec![5e3]),
        calibrated_hz: None,
        crest: Some(CrestCapability {
            at_full_scale: 3.0,
            cap: Some(5.0),
            bands: vec![
                CrestBand { up_to: 2.0, added_ratio: 0.005 },
                CrestBand { up_to: 3.0, added_ratio: 0.015 },
            ],
        }),
        converter: sampling(12, 10e3, 0.2),
        display_counts: Some(4000),
        accuracy: Accuracy {
            lines: vec![
                AccuracyLine::new(45.0, 66.0, 0.015, 5.0),
                AccuracyLine::new(66.0, 400.0, 0.025, 5.0),
            ],
        },
        temperature: span(0.001),
        certificate: None,
        category: category(MeasurementCategory::Three, 600.0),
    }
}

fn average() -> Sheet {
    Sheet {
        detector: Detector::AverageResponding(Coupling::Ac),
        clamp: iron_core(100.0, Some(TransformerClass::Three), 8.0),
        position_ratio: Some(0.015),
        bandwidth: Bandwidth::Poles(vec![1e3]),
        crest: Some(CrestCapability { at_full_scale: SQRT_2, cap: None, bands: Vec::new() }),
        converter: sampling(12, 4e3, 0.4),
        display_counts: Some(2000),
        ranges: auto(&[(20.0, 0.01), (200.0, 0.1)], RangeRule::AutoByReading),
        accuracy: Accuracy { lines: vec![AccuracyLine::new(45.0, 66.0, 0.02, 5.0)] },
        category: category(MeasurementCategory::Two, 300.0),
        ..general()
    }
}

fn peak() -> Sheet {
    Sheet {
        detector: Detector::PeakResponding(Coupling::Ac),
        clamp: iron_core(60.0, Some(TransformerClass::One), 5.0),
        bandwidth: Bandwidth::Poles(vec![10e3]),
        crest: Some(CrestCapability { at_full_scale: 3.0, cap: None, bands: Vec::new() }),
        converter: Converter::Analogue,
        ranges: auto(&[(40.0, 0.01)], RangeRule::AutoByReading),
        accuracy: Accuracy { lines: vec![AccuracyLine::new(45.0, 400.0, 0.03, 10.0)] },
        ..general()
    }
}

fn flexible() -> Sheet {
    Sheet {
        detector: Detector::TrueRms(Coupling::Ac),
        clamp: Clamp::FlexibleCoil(FlexibleCoil { droop_hz: 1.0, noise_rms_a: 0.05 }),
        position_ratio: Some(0.02),
        ranges: auto(&[(30.0, 0.01), (300.0, 0.1)], RangeRule::AutoByReading),
        bandwidth: Bandwidth::Table(vec![
            FrequencyError { frequency_hz: 50.0, error_ratio: 0.0 },
            FrequencyError { frequency_hz: 400.0, error_ratio: -0.005 },
            FrequencyError { frequency_hz: 3e3, error_ratio: -0.03 },
            FrequencyError { frequency_hz: 20e3, error_ratio: -0.3 },
        ]),
        accuracy: Accuracy {
            lines: vec![AccuracyLine {
                from_share_ratio: 0.05,
                ..AccuracyLine::new(45.0, 400.0, 0.01, 10.0)
            }],
        },
        category: category(MeasurementCategory::Four, 600.0),
        ..general()
    }
}

fn moving_iron() -> Sheet {
    Sheet {
        detector: Detector::MovingIron,
        clamp: Clamp::Direct,
        position_ratio: None,
        ranges: auto(&[(10.0, 0.05)], RangeRule::Manual(0)),
        bandwidth: Bandwidth::Poles(vec![400.0]),
        calibrated_hz: None,
        crest: None,
        converter: Converter::Analogue,
        display_counts: None,
        accuracy: Accuracy {
            lines: vec![AccuracyLine {
                full_scale_ratio: 0.015,
                from_share_ratio: 0.2,
                ..AccuracyLine::new(45.0, 65.0, 0.0, 0.0)
            }],
        },
        temperature: Some(Temperature {
            low_degc: 13.0,
            high_degc: 33.0,
            coefficient_per_k: 0.001,
        }),
        certificate: None,
        category: None,
    }
}

fn rectifier() -> Sheet {
    Sheet {
        detector: Detector::RectifierMovingCoil,
        bandwidth: Bandwidth::Poles(vec![5e3]),
        accuracy: Accuracy {
            lines: vec![AccuracyLine {
                full_scale_ratio: 0.025,
                from_share_ratio: 0.1,
                ..AccuracyLine::new(45.0, 65.0, 0.0, 0.0)
            }],
        },
        ..moving_iron()
    }
}

fn wide_range() -> Sheet {
    Sheet {
        clamp: iron_core(1000.0, Some(TransformerClass::One), 5.0),
        ranges: auto(&[(60.0, 0.1), (600.0, 1.0)], RangeRule::AutoByReading),
        display_counts: Some(600),
        accuracy: Accuracy {
            lines: vec![AccuracyLine {
                from_share_ratio: 0.1,
                ..AccuracyLine::new(45.0, 66.0, 0.02, 3.0)
            }],
        },
        ..general()
    }
}
