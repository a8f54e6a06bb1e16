use crate::cited::{Cited, Source};
use crate::error::{Bounds, Error, Result};

use super::conductor_table::{CONDUCTORS, COPPER_AT_20_PER_K};
use super::{CableRun, ConductorSize};

/// A conductor of series-circuit cable with its resistance per length and the law of temperature.
///
/// Two conductors of like thickness are not the same conductor: 6 mm² has 47 % more resistance than
/// 8 AWG (8.37 mm²), and a tinned or coated one more than a plain one.
///
/// # Formula
/// r(T) = r_ref (1 + α_ref (T − T_ref)), α_ref at the table's own reference temperature
///
/// # Example
/// ```
/// use loopcrest::series::Conductor;
/// let coated = Conductor::named("8awg-stranded-coated").unwrap();
/// let ohm_per_kft = 304.8 * coated.resistance_ohm_per_m(25.0).unwrap();
/// assert!((ohm_per_kft - 0.6783).abs() < 1e-4);
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Conductor {
    /// The name used in files and on the command line.
    pub key: &'static str,
    /// The conductor in the trade's words.
    pub name: &'static str,
    /// Its size as the trade names it: what must not be confused.
    pub size: ConductorSize,
    /// Resistance per length at the reference temperature.
    pub reference_ohm_per_m: Cited<f64>,
    /// Temperature to which the table refers.
    pub reference_degc: f64,
    /// Relative change per kelvin at the reference temperature.
    pub coefficient_per_k: Cited<f64>,
}

impl Conductor {
    /// Temperature of a conductor.
    pub const TEMPERATURE_DEGC: Bounds = Bounds::new("conductor temperature", "degC", -60.0, 150.0);

    /// Every conductor known, in the order of listings.
    #[must_use]
    pub fn all() -> &'static [Self] {
        &CONDUCTORS
    }

    /// The conductor with that key.
    ///
    /// # Errors
    /// `Malformed` for an unknown key; it lists those of the size that was meant, and says why
    /// another size is no substitute.
    pub fn named(key: &str) -> Result<&'static Self> {
        if let Some(found) = Self::all().iter().find(|conductor| conductor.key == key.trim()) {
            return Ok(found);
        }
        let size = ConductorSize::in_text(key);
        let meant = |conductor: &&Self| size.is_none_or(|size| conductor.size == size);
        let keys: Vec<&str> =
            Self::all().iter().filter(meant).map(|conductor| conductor.key).collect();
        let error = Error::malformed(format!("one of {}", keys.join(", ")), format!("\"{key}\""));
        Err(match size {
            Some(ConductorSize::Mm6 | ConductorSize::Awg8) => error.with_hint(format!(
                "6 mm2 is not 8 AWG ({:.2} mm2): it has {:.0} % more resistance; name the one that \
                 is laid, its class or stranding and whether it is tinned or coated",
                1e6 * ConductorSize::Awg8.area_m2(),
                100.0 * (Self::six_over_eight() - 1.0)
            )),
            Some(_) => {
                error.with_hint("name its class or stranding and whether it is tinned or coated")
            }
            None => error.with_hint(
                "or give `resistance = \"0.68 ohm/kft\"` with its own reference temperature",
            ),
        })
    }

    /// Resistance per length at a temperature.
    ///
    /// # Errors
    /// `OutOfRange` outside [`Self::TEMPERATURE_DEGC`].
    pub fn resistance_ohm_per_m(&self, temperature_degc: f64) -> Result<f64> {
        Self::TEMPERATURE_DEGC.check(temperature_degc)?;
        let rise_k = temperature_degc - self.reference_degc;
        Ok(self.reference_ohm_per_m.value * (1.0 + self.coefficient_per_k.value * rise_k))
    }

    /// A length of this conductor in the loop.
    #[must_use]
    pub fn run(&self, name: String, length_m: f64, temperature_degc: f64) -> CableRun {
        CableRun {
            name,
            resistance_ohm_per_m: self.reference_ohm_per_m.value,
            reference_degc: self.reference_degc,
            temperature_coefficient_per_k: self.coefficient_per_k.value,
            length_m,
            temperature_degc,
            inductance_h_per_m: None,
        }
    }

    /// The coefficient of copper seen from a temperature.
    ///
    /// # Formula
    /// α(T) = α₂₀ / (1 + α₂₀ (T − 20 °C)), α₂₀ = 0.00393 / K
    #[must_use]
    pub fn copper_per_k(reference_degc: f64) -> f64 {
        COPPER_AT_20_PER_K / (1.0 + COPPER_AT_20_PER_K * (reference_degc - 20.0))
    }

    /// The sources of its numbers.
    #[must_use]
    pub fn sources(&self) -> [&Source; 2] {
        [&self.reference_ohm_per_m.source, &self.coefficient_per_k.source]
    }

    /// Resistance of plain 6 mm² class 2 over that of uncoated 7-strand 8 AWG, both at 20 °C.
    fn six_over_eight() -> f64 {
        let at_20 = |key: &str| {
            let found = Self::all().iter().find(|conductor| conductor.key == key);
            let conductor = found.expect("the table has both conductors");
            conductor.reference_ohm_per_m.value
                * (1.0 + conductor.coefficient_per_k.value * (20.0 - conductor.reference_degc))
        };
        at_20("6mm2-class2") / at_20("8awg-stranded")
    }
}
