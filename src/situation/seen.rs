use crate::assess::instrument::Connection;
use crate::circuit::{SenseLaw, Stability};
use crate::description::{Description, RegulatorSetup};
use crate::error::{Note, Result};
use crate::regulator::{OutputPower, ReachSide, Step};
use crate::spectrum::Spectrum;
use crate::waveform::{Coupling, Measures, Waveform};

use super::kept::Point;
use super::{MeterSeen, Output, Situation};

/// What is seen in a situation.
#[derive(Clone, Debug)]
pub struct Seen {
    /// The situation.
    pub situation: Situation,
    /// Its step.
    pub step: Step,
    /// Regulator and load in words.
    pub words: String,
    /// Load as a share of the rated load resistance; `None` on the field.
    pub load_ratio: Option<f64>,
    /// Whether place, equipment and numbers of the description are made up.
    pub is_invented: bool,
    /// What the control senses.
    pub sense: SenseLaw,
    /// Why the step's nominal is not held; `None` when it is. Otherwise all below is that of the nearest
    /// current that is, and no meter is judged.
    pub reach: Option<OutOfReach>,
    /// Output current, whole periods from a rising zero.
    pub output: Waveform,
    /// Its measures.
    pub measures: Measures,
    /// Its harmonics.
    pub spectrum: Spectrum,
    /// Firing delay after the zero crossing of the capacitor voltage.
    pub delay_rad: f64,
    /// Voltage and power at the output.
    pub power: OutputPower,
    /// Rated power of the regulator.
    pub rated_power_w: f64,
    /// Whether the periodic state stays at a held firing delay.
    pub stability: Stability,
    /// Highest voltage across an open secondary; `None` when none is open.
    pub open_secondary_peak_v: Option<f64>,
    /// The meters, in the order asked for.
    pub meters: Vec<MeterSeen>,
    /// What has to be said beside it.
    pub notes: Vec<Note>,
}

/// The end of what a regulator can hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutOfReach {
    /// The current at that end, as the control senses it.
    pub limit_a: f64,
    /// Which end it is.
    pub side: ReachSide,
}

impl Seen {
    /// Load below which the output counts as shorted, as a share of the rated one. Ours: between leads and
    /// the smallest field anybody runs.
    const SHORTED_BELOW_RATIO: f64 = 0.1;
    /// Highest order in the total harmonic distortion, as in every document.
    const THD_ORDER: usize = 50;

    pub(super) fn new(
        description: &Description,
        situation: &Situation,
        step: &Step,
        setup: &RegulatorSetup,
        point: &Point,
        reach: Option<OutOfReach>,
        notes: Vec<Note>,
    ) -> Result<Self> {
        let (operating, power, open_secondary_peak_v) = match point {
            Point::Load(point) => (point.as_ref(), point.output_power()?, None),
            Point::Field(point) => {
                let power = OutputPower {
                    voltage_rms_v: point.power.voltage_rms_v,
                    voltage_peak_v: point.power.voltage_peak_v,
                    apparent_va: point.power.apparent_va,
                    active_w: point.power.active_w,
                    power_factor: point.power.power_factor,
                };
                (&point.operating, power, point.open_secondary_peak_v())
            }
        };
        let output = operating.output.clone().from_rising_zero();
        let measures = output.measures();
        let load_ratio = (situation.output != Output::Field).then(|| situation.load_ratio(setup));
        // A shape scaled to a nominal it has already would only gain rounding.
        let judged = match (&reach, setup.sense) {
            (None, SenseLaw::TrueRms) => Some(output.clone()),
            (None, SenseLaw::RectifiedMean) => {
                Some(output.scaled_to_rms(step.nominal.a(), Coupling::Dc)?)
            }
            (Some(_), _) => None,
        };
        let connection = match load_ratio {
            Some(ratio) if ratio < Self::SHORTED_BELOW_RATIO => Connection::Shorted,
            _ => Connection::Loaded,
        };
        let mut seen = Self {
            situation: situation.clone(),
            step: step.clone(),
            words: words(situation, setup, load_ratio),
            load_ratio,
            is_invented: description.is_invented,
            sense: setup.sense,
            reach,
            spectrum: Spectrum::of(&output),
            output,
            measures,
            delay_rad: operating.delay_rad(),
            power,
            rated_power_w: setup.regulator.values.rated_power_w,
            stability: operating.solution.stability(),
            open_secondary_peak_v,
            meters: Vec::new(),
            notes,
        };
        for meter in situation.meters_of(description)? {
            let meter = MeterSeen::new(&seen, meter, judged.as_ref(), connection, description)
                .map_err(|error| error.with_context(format!("step {}", step.number)))?;
            seen.meters.push(meter);
        }
        Ok(seen)
    }

    /// Whether the step's nominal is held, as the control senses it.
    #[must_use]
    pub fn is_held(&self) -> bool {
        self.reach.is_none()
    }

    /// True RMS of the output current.
    #[must_use]
    pub fn true_rms_a(&self) -> f64 {
        self.measures.dc.rms_a
    }

    /// Peak over RMS of the output current; `None` for no current.
    #[must_use]
    pub fn crest_factor(&self) -> Option<f64> {
        self.measures.dc.crest_factor()
    }

    /// Total harmonic distortion of the output current; `None` without a fundamental.
    #[must_use]
    pub fn thd_ratio(&self) -> Option<f64> {
        self.spectrum.thd_ratio(Self::THD_ORDER)
    }

    /// The strongest harmonics, the strongest first: order and RMS over that of the fundamental. Lines below a
    /// thousandth of the fundamental are left out.
    #[must_use]
    pub fn leading_harmonics(&self, count: usize) -> Vec<(usize, f64)> {
        const LEAST_RATIO: f64 = 1e-3;
        let fundamental_a = self.spectrum.fundamental_rms_a();
        let lines = self.spectrum.lines(2..=Self::THD_ORDER);
        let mut lines: Vec<(usize, f64)> = lines
            .map(|line| (line.order, line.rms_a / fundamental_a))
            .filter(|(_, ratio)| *ratio >= LEAST_RATIO)
            .collect();
        lines.sort_by(|one, other| other.1.total_cmp(&one.1));
        lines.truncate(count);
        lines
    }

    /// Output over the regulator's rating, in volt-amperes over watts.
    #[must_use]
    pub fn share_of_rating_ratio(&self) -> f64 {
        self.power.apparent_va / self.rated_power_w
    }

    /// The current at this many equal distances over the whole solution, one mains period as a rule, for a
    /// screen: both ends are drawn, so the last is the first again.
    #[must_use]
    pub fn screen_points_a(&self, intervals: usize) -> Vec<f64> {
        let samples_a = self.output.samples_a();
        let (count, intervals) = (samples_a.len(), intervals.max(1));
        (0..=intervals).map(|at| samples_a[(at * count / intervals) % count]).collect()
    }
}

fn words(situation: &Situation, setup: &RegulatorSetup, load_ratio: Option<f64>) -> String {
    let lamps = situation.lamps_out_ratio.map_or_else(String::new, |ratio| {
        format!(", {} % of the lamps out", (1e4 * ratio).round() / 1e2)
    });
    match load_ratio {
        Some(ratio) => format!("{}{lamps}", setup.words(ratio)),
        None => format!("{} on the described field{lamps}", setup.rating_words()),
    }
}
