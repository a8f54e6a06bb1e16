use crate::circuit::SenseLaw;
use crate::description::{Description, RegulatorSetup, misspelt};
use crate::error::{Error, Result};
use crate::meter::Meter;
use crate::regulator::{Step, Supply};
use crate::series::FieldLoad;
use crate::units::{self, Dimension};

use super::{Output, named_meter};

/// What is chosen at the bench; whatever is not chosen is as the description says.
///
/// # Example
/// ```
/// use loopcrest::description::Description;
/// use loopcrest::situation::{Situation, SituationSolver};
/// let mut situation = Situation::default();
/// situation.set("step", "1")?;
/// situation.set("load", "shorted")?;
/// situation.set("meter", "average")?;
/// let seen = SituationSolver::new(Description::embedded()).seen(&situation)?;
/// assert!(seen.meters[0].error_ratio().unwrap() < -0.02);
/// # Ok::<(), loopcrest::error::Error>(())
/// ```
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Situation {
    /// Number of the brightness step; the brightest when `None`.
    pub step: Option<u32>,
    /// What is connected.
    pub output: Output,
    /// Share of the fixtures of every group whose lamps are out; as the field counts them when `None`. On a
    /// load that is no field, a field of equal fixtures stands in for it: see [`Self::EQUAL_FIXTURES`].
    pub lamps_out_ratio: Option<f64>,
    /// Names of the meters (see [`named_meter`]); every meter of the description when empty, none at all for
    /// [`Self::NO_METER`] alone.
    pub meters: Vec<String>,
    /// What the control senses.
    pub sense: Option<SenseLaw>,
    /// Supply voltage over rated voltage.
    pub supply_voltage_ratio: Option<f64>,
    /// Supply frequency over rated frequency.
    pub supply_frequency_ratio: Option<f64>,
}

impl Situation {
    /// The names [`Self::set`] knows.
    pub const KEYS: [&'static str; 7] =
        ["step", "load", "lamps-out", "meter", "sense", "supply-voltage", "supply-frequency"];
    /// What stands in the place of the meters' names when none is wanted.
    pub const NO_METER: &'static str = "none";
    /// Fixtures of the field that stands in for a load when lamps out are asked for without a field. Ours.
    ///
    /// Equal filament lamps that together take the load's share of the rating at the rated current, each on a
    /// generic isolating transformer of a quarter more; no cable. The lamps' resistance follows the current, so
    /// on lower steps it is a smaller load than the resistance of the same share.
    pub const EQUAL_FIXTURES: u32 = 40;
    /// Smallest share of the rating for which that field can stand in: less is no lamps.
    pub const LEAST_LAMP_LOAD_RATIO: f64 = 0.1;

    /// What a key of [`Self::KEYS`] takes, in words.
    #[must_use]
    pub fn allowed(key: &str) -> String {
        match key {
            "step" => "the number of a step, or brightest".into(),
            "load" => Output::ALLOWED.into(),
            "lamps-out" => format!("a share, {}, or as-counted", FieldLoad::OPEN_RATIO),
            "meter" => {
                "meters of the description, kinds of meter or detector laws, separated by commas, or none"
                    .into()
            }
            "sense" => "true-rms or average".into(),
            "supply-voltage" => format!("share of the rated voltage, {}", Supply::VOLTAGE_RATIO),
            "supply-frequency" => {
                format!("share of the rated frequency, {}", Supply::FREQUENCY_RATIO)
            }
            _ => String::new(),
        }
    }

    /// How a key of [`Self::KEYS`] may be written.
    #[must_use]
    pub fn example(key: &str) -> &'static str {
        match key {
            "step" => "3",
            "load" => "60 %",
            "lamps-out" => "10 %",
            "meter" => "average,true-rms",
            "sense" => "true-rms",
            "supply-voltage" => "95 %",
            "supply-frequency" => "101 %",
            _ => "",
        }
    }

    /// Sets one choice as it is written; several meters are separated by commas.
    ///
    /// What is allowed: `step` a number (only [`Self::check`] knows which there are) or `brightest`; `load` as [`Output::parse`]; `lamps-out` a share or `as-counted`;
    /// `sense` `true-rms` or `average`; the supply's as shares of what is rated.
    ///
    /// # Errors
    /// `Malformed` for an unknown key or text, `OutOfRange` for a value out of bounds; the key is named.
    pub fn set(&mut self, key: &str, text: &str) -> Result<()> {
        let named = |error: Error| error.with_context(key.to_owned());
        let ratio = |text: &str| units::parse(text, Dimension::Ratio);
        match key {
            "step" => self.step = step(text).map_err(named)?,
            "load" => self.output = Output::parse(text).map_err(named)?,
            "lamps-out" => {
                self.lamps_out_ratio = if text.trim() == "as-counted" {
                    None
                } else {
                    let checked = ratio(text).and_then(|ratio| FieldLoad::OPEN_RATIO.check(ratio));
                    Some(checked.map_err(named)?)
                };
            }
            "meter" => {
                let names = text.split(',').map(str::trim).filter(|name| !name.is_empty());
                self.meters = names.map(str::to_owned).collect();
            }
            "sense" => self.sense = Some(sense(text).map_err(named)?),
            "supply-voltage" => {
                let checked = ratio(text).and_then(|ratio| Supply::VOLTAGE_RATIO.check(ratio));
                self.supply_voltage_ratio = Some(checked.map_err(named)?);
            }
            "supply-frequency" => {
                let checked = ratio(text).and_then(|ratio| Supply::FREQUENCY_RATIO.check(ratio));
                self.supply_frequency_ratio = Some(checked.map_err(named)?);
            }
            other => {
                return Err(misspelt(
                    format!("one of {}", Self::KEYS.join(", ")),
                    other,
                    Self::KEYS,
                ));
            }
        }
        Ok(())
    }

    /// Whether a description can answer it.
    ///
    /// # Errors
    /// `Inconsistent` without a regulator, or without the field that is asked for; `Malformed` for a step or a
    /// meter it does not have; `OutOfRange` for a number out of bounds.
    pub fn check(&self, description: &Description) -> Result<()> {
        let setup = self.setup(description)?;
        self.step_of(description)?;
        self.meters_of(description)?;
        match self.output {
            Output::Field if description.field.is_none() => {
                return Err(Error::inconsistent("the description has no field")
                    .with_hint("choose a load, or add [field] to the description"));
            }
            Output::Field => {}
            Output::Load(_) | Output::AsSet => {
                let load_ratio = self.load_ratio(&setup);
                RegulatorSetup::LOAD_RATIO.check(load_ratio)?;
                if self.lamps_out_ratio.is_some() && load_ratio < Self::LEAST_LAMP_LOAD_RATIO {
                    return Err(Error::inconsistent(format!(
                        "lamps out on a load of {} % of rated: with the output shorted no lamp is lit",
                        (1e4 * load_ratio).round() / 1e2
                    ))
                    .with_hint(format!(
                        "choose `field`, or a load from {} % up",
                        100.0 * Self::LEAST_LAMP_LOAD_RATIO
                    )));
                }
            }
        }
        if let Some(ratio) = self.lamps_out_ratio {
            FieldLoad::OPEN_RATIO.check(ratio)?;
        }
        Ok(())
    }

    /// The step it is about.
    ///
    /// # Errors
    /// `Malformed` for a step the description does not have.
    pub fn step_of<'d>(&self, description: &'d Description) -> Result<&'d Step> {
        let Some(number) = self.step else { return Ok(description.steps.top()) };
        description.steps.step(number).ok_or_else(|| {
            let steps = description.steps.steps();
            let known: Vec<_> = steps.iter().map(|step| step.number.to_string()).collect();
            Error::malformed(
                format!("a step of the description: {}", known.join(", ")),
                format!("step {number}"),
            )
        })
    }

    /// The meters it is about.
    ///
    /// # Errors
    /// As [`named_meter`].
    pub fn meters_of(&self, description: &Description) -> Result<Vec<Meter>> {
        if self.meters.is_empty() {
            return Ok(description.meters.clone());
        }
        if self.meters == [Self::NO_METER] {
            return Ok(Vec::new());
        }
        self.meters.iter().map(|name| named_meter(description, name)).collect()
    }

    /// The description's regulator with what is chosen.
    ///
    /// # Errors
    /// `Inconsistent` without a regulator; `OutOfRange` for a supply out of bounds.
    pub fn setup(&self, description: &Description) -> Result<RegulatorSetup> {
        let mut setup = description.regulator.clone().ok_or_else(|| {
            Error::inconsistent("the description has no [regulator] to solve")
                .with_hint("`loopcrest starter` shows how one is described")
        })?;
        if let Some(sense) = self.sense {
            setup.sense = sense;
        }
        let mut supply = setup.regulator.supply.clone();
        if let Some(ratio) = self.supply_voltage_ratio {
            supply = supply.with_voltage_ratio(ratio)?;
        }
        if let Some(ratio) = self.supply_frequency_ratio {
            supply = supply.with_frequency_ratio(ratio)?;
        }
        setup.regulator = setup.regulator.with_supply(supply);
        Ok(setup)
    }

    /// The load as a share of the rated one; of no meaning on the field.
    pub(super) fn load_ratio(&self, setup: &RegulatorSetup) -> f64 {
        match self.output {
            Output::Load(ratio) => ratio,
            Output::AsSet | Output::Field => setup.load_ratio,
        }
    }
}

fn step(text: &str) -> Result<Option<u32>> {
    match text.trim() {
        "brightest" => Ok(None),
        other => match other.parse() {
            Ok(number) if number > 0 => Ok(Some(number)),
            _ => {
                Err(Error::malformed("the number of a step, or brightest", format!("\"{other}\"")))
            }
        },
    }
}

fn sense(text: &str) -> Result<SenseLaw> {
    match text.trim() {
        "true-rms" => Ok(SenseLaw::TrueRms),
        "average" => Ok(SenseLaw::RectifiedMean),
        other => Err(misspelt("true-rms or average", other, ["true-rms", "average"])),
    }
}
