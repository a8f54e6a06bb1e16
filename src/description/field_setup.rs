use crate::error::{Note, Result};
use crate::regulator::{SolveOptions, Step};
use crate::series::{
    Draw, Field, FieldAnswer, FieldLoad, FieldPoint, FieldTable, FixtureGroup, FixtureKind,
    LampTolerance, LampsOut, LampsOutSweep, LoadCalculation, LoadItem, LoadMargin, RegulatorSizes,
    TransformerLoss,
};

use super::RegulatorSetup;

/// The field of a description with what its load calculation needs besides.
#[derive(Clone, Debug)]
pub struct FieldSetup {
    /// The field.
    pub field: Field,
    /// Loss of the transformers as the load calculation counts it, one for each group.
    pub losses: Vec<TransformerLoss>,
    /// Rated current of the loop.
    pub current_rms_a: f64,
    /// Share of the rating that the output tap in use gives.
    pub tap_ratio: f64,
    /// The sizes in which regulators are offered.
    pub sizes: RegulatorSizes,
    /// Whether lamps are counted as printed or with their tolerance.
    pub lamp_tolerance: LampTolerance,
    /// What was noticed while reading.
    pub notes: Vec<Note>,
}

/// A re-check load and a field that differ by more than this share of the rated load are worth a
/// note. Ours.
const OTHER_LOAD_RATIO: f64 = 0.10;

/// Shares of lamps out that are shown beside each other.
const SHOWN_SHARES: [f64; 4] = [0.0, 0.1, 0.2, 0.3];

impl FieldSetup {
    /// The load calculation of the field as designed: lamps out and faults not counted.
    #[must_use]
    pub fn calculation(&self) -> LoadCalculation {
        let groups = self.field.groups.iter().zip(&self.losses);
        LoadCalculation {
            current_rms_a: self.current_rms_a,
            items: groups.map(|(group, loss)| self.item(group, loss)).collect(),
            cable: self.field.cable.clone(),
        }
    }

    fn item(&self, group: &FixtureGroup, loss: &TransformerLoss) -> LoadItem {
        let lamps = f64::from(group.lamps_per_fixture);
        let draw = match &group.kind {
            FixtureKind::Lamp(lamp) => {
                let counted_w = self.lamp_tolerance.counted_w(lamp.rated_power_w);
                Draw::Lamp { power_w: lamps * counted_w.unwrap_or(lamp.rated_power_w) }
            }
            FixtureKind::ConstantPower(fixture) => Draw::Electronic {
                active_w: lamps * fixture.power_w,
                power_factor: fixture.displacement_factor,
            },
            FixtureKind::Apparent(fixture) => {
                Draw::Apparent { apparent_va: lamps * fixture.apparent_va }
            }
            FixtureKind::Rectifier(fixture) => {
                let secondary_a = group.transformer.secondary_rms_a;
                Draw::Electronic {
                    active_w: lamps * fixture.power_w(secondary_a),
                    power_factor: fixture.sine_power_factor(secondary_a),
                }
            }
        };
        LoadItem { name: group.name.clone(), count: group.count, draw, loss: Some(loss.clone()) }
    }

    /// The load against a regulator's rating on the tap in use.
    ///
    /// # Errors
    /// As [`LoadCalculation::sum`] and [`LoadMargin::new`].
    pub fn margin(&self, setup: &RegulatorSetup) -> Result<LoadMargin> {
        let sum = self.calculation().sum()?;
        LoadMargin::new(sum, setup.regulator.values.rated_power_w, self.tap_ratio)
    }

    /// Every step solved on the field, set to its nominal true RMS.
    ///
    /// # Errors
    /// As [`FieldTable::of`].
    pub fn solve(&self, setup: &RegulatorSetup, steps: &[Step]) -> Result<FieldTable> {
        FieldTable::of(&setup.regulator, &self.field, steps, &SolveOptions::default())
    }

    /// Steps as the share of lamps out grows from none to 40 %, each held at its nominal true RMS.
    ///
    /// # Errors
    /// As [`LampsOutSweep::of`].
    pub fn lamps_out(
        &self,
        setup: &RegulatorSetup,
        which: LampsOut,
        shares: usize,
        steps: &[Step],
    ) -> Result<Vec<LampsOutSweep>> {
        let ratios = LampsOutSweep::even_ratios(shares);
        let options = SolveOptions::default();
        LampsOutSweep::of(&setup.regulator, &self.field, which, &ratios, steps, &options)
    }

    /// A step with none, 10, 20 and 30 % of the lamps out, as far as it can be held; each share with
    /// its operating point.
    ///
    /// # Errors
    /// As [`FieldLoad::with_open_ratio`] and [`FieldLoad::hold`].
    pub fn with_lamps_out(
        &self,
        setup: &RegulatorSetup,
        which: LampsOut,
        step: &Step,
    ) -> Result<Vec<(f64, FieldPoint)>> {
        let (regulator, options) = (&setup.regulator, SolveOptions::default());
        let mut points: Vec<(f64, FieldPoint)> = Vec::new();
        for open_ratio in SHOWN_SHARES {
            let load = FieldLoad::with_open_ratio(&self.field, regulator, open_ratio, which)?;
            let start = points.last().map(|(_, point)| point);
            match load.hold(regulator, step.nominal.a(), start, &options)? {
                FieldAnswer::Held(point) => points.push((open_ratio, *point)),
                FieldAnswer::OutOfReach(_) => break,
            }
        }
        Ok(points)
    }

    /// What the field and the regulator say about each other.
    pub(super) fn findings(&self, regulator: Option<&RegulatorSetup>) -> Result<Vec<Note>> {
        let mut notes = Vec::new();
        if self.lamp_tolerance == LampTolerance::Most {
            notes.push(Note::new(
                "lamp-tolerance-calculated",
                "`lamp-tolerance` acts on the load calculation: the solved circuit has every lamp as \
                 printed, and `field.lamp-power` in an estimate spreads it",
            ));
            for group in &self.field.groups {
                if let FixtureKind::Lamp(lamp) = &group.kind
                    && LampTolerance::most_ratio(lamp.rated_power_w).is_none()
                {
                    notes.push(Note::new(
                        "lamp-tolerance-unknown",
                        format!(
                            "{}: no tolerance of a lamp of {} W is known; it is counted as printed",
                            group.name, lamp.rated_power_w
                        ),
                    ));
                }
            }
        }
        let sum = self.calculation().sum()?;
        let Some(setup) = regulator else { return Ok(notes) };
        let margin = self.margin(setup)?;
        if margin.share_of_tap() > 1.0 {
            notes.push(Note::new(
                "field-beyond-rating",
                format!(
                    "the calculated load of {:.2} kVA is {:.0} % of what the regulator is rated for",
                    sum.apparent_va() / 1e3,
                    100.0 * margin.share_of_tap()
                ),
            ));
        }
        if let Some(recheck_ratio) = setup.recheck_load_ratio {
            let share = margin.share_of_rating();
            if (share - recheck_ratio).abs() > OTHER_LOAD_RATIO {
                notes.push(Note::new(
                    "recheck-load-differs",
                    format!(
                        "`recheck-load` is {:.0} % of rated, the field {:.0} %: one of them is not \
                         this circuit",
                        100.0 * recheck_ratio,
                        100.0 * share
                    ),
                ));
            }
        }
        Ok(notes)
    }
}
