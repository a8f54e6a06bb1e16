use crate::description::misspelt;
use crate::error::{Error, Result};
use crate::report;
use crate::situation::{MeterSeen, Seen};

/// Something seen in a situation that a text, a slider or a question can name.
///
/// Those of a meter are of the first meter of the situation, unless a slider goes through several.
#[derive(Clone, Copy, Debug)]
pub struct Quantity {
    /// Its name in lesson files.
    pub name: &'static str,
    /// What it is, for the head of a column.
    pub words: &'static str,
    kind: Kind,
}

#[derive(Clone, Copy, Debug)]
enum Kind {
    /// A number of the circuit in the unit shown, with the digits shown unless asked otherwise.
    Circuit(fn(&Seen) -> Option<f64>, &'static str, usize),
    /// A number of a meter; with its sign where the second is true.
    Meter(fn(&MeterSeen) -> Option<f64>, bool, &'static str, usize),
    /// Words of a meter.
    Words(fn(&Seen, &MeterSeen) -> String),
}

impl Quantity {
    /// Most digits after the point that may be asked for.
    pub const MOST_DIGITS: usize = 6;

    /// Every quantity, in the order of lists.
    pub const ALL: [Self; 32] = [
        circuit("true-rms", "true RMS", |seen| Some(seen.true_rms_a()), "A", 3),
        circuit("peak", "peak", |seen| Some(seen.measures.dc.peak_a), "A", 3),
        circuit("average", "rectified average", |seen| Some(seen.measures.dc.arv_a), "A", 3),
        circuit("crest-factor", "crest factor", Seen::crest_factor, "", 3),
        circuit("form-factor", "form factor", |seen| seen.measures.dc.form_factor(), "", 3),
        circuit("thd", "THD", |seen| seen.thd_ratio().map(percent), "%", 2),
        circuit("harmonic-3", "third harmonic", |seen| line(seen, 3), "%", 2),
        circuit("harmonic-5", "fifth harmonic", |seen| line(seen, 5), "%", 2),
        circuit("harmonic-7", "seventh harmonic", |seen| line(seen, 7), "%", 2),
        circuit("delay", "firing delay", |seen| Some(seen.delay_rad.to_degrees()), "°", 1),
        circuit("voltage", "output voltage", |seen| Some(seen.power.voltage_rms_v), "V", 0),
        circuit("voltage-peak", "peak voltage", |seen| Some(seen.power.voltage_peak_v), "V", 0),
        circuit("apparent-power", "apparent power", |seen| Some(seen.power.apparent_va), "VA", 0),
        circuit("active-power", "active power", |seen| Some(seen.power.active_w), "W", 0),
        circuit("power-factor", "power factor", |seen| seen.power.power_factor, "", 3),
        circuit(
            "rating-used",
            "of the rating",
            |s| Some(percent(s.share_of_rating_ratio())),
            "%",
            1,
        ),
        circuit("open-voltage-peak", "open secondary, peak", |s| s.open_secondary_peak_v, "V", 0),
        circuit("nominal", "nominal", |seen| Some(seen.step.nominal.a()), "A", 2),
        circuit("band-low", "band from", |seen| Some(seen.step.band.low_a()), "A", 2),
        circuit("band-high", "band to", |seen| Some(seen.step.band.high_a()), "A", 2),
        circuit("limit", "limit of the regulator", |s| s.reach.map(|reach| reach.limit_a), "A", 3),
        meter("shown", "meter shows", MeterSeen::shown_a, false, "A", 3),
        meter("error-amperes", "error", MeterSeen::error_a, true, "A", 3),
        meter("error", "error", |meter| meter.error_ratio().map(percent), true, "%", 2),
        meter("must-show-low", "must show", |m| m.must_show_a().map(|band| band.0), false, "A", 3),
        meter("must-show-high", "to", |m| m.must_show_a().map(|band| band.1), false, "A", 3),
        meter("trimmed", "true RMS once set by it", trimmed_a, false, "A", 3),
        meter("band-used", "room used", band_used, false, "%", 0),
        words("light", "light then", light),
        words("life", "lamp life then", life),
        words("verdict", "verdict", |_, meter| meter.verdict_words().to_owned()),
        words("reason", "why", |seen, meter| meter.reason(&seen.step)),
    ];

    /// The quantity of that name.
    ///
    /// # Errors
    /// `Malformed` with every name and the nearest.
    pub fn named(name: &str) -> Result<&'static Self> {
        const ALL: &[Quantity] = &Quantity::ALL;
        ALL.iter().find(|quantity| quantity.name == name).ok_or_else(|| {
            let names: Vec<&str> = ALL.iter().map(|quantity| quantity.name).collect();
            misspelt(format!("a quantity: {}", names.join(", ")), name, names.iter().copied())
        })
    }

    /// Whether it is a number.
    #[must_use]
    pub fn is_number(&self) -> bool {
        !matches!(self.kind, Kind::Words(_))
    }

    /// Its unit as shown; empty for a ratio and for words.
    #[must_use]
    pub fn unit(&self) -> &'static str {
        match self.kind {
            Kind::Circuit(_, unit, _) | Kind::Meter(_, _, unit, _) => unit,
            Kind::Words(_) => "",
        }
    }

    /// Its number in the unit shown; `None` for words and where there is none.
    #[must_use]
    pub fn number(&self, seen: &Seen, meter: usize) -> Option<f64> {
        match self.kind {
            Kind::Circuit(of, ..) => of(seen),
            Kind::Meter(of, ..) => seen.meters.get(meter).and_then(of),
            Kind::Words(_) => None,
        }
    }

    /// As it is shown, with so many digits after the point or its own.
    ///
    /// # Errors
    /// `Inconsistent` when the situation has no such number: an overload, a current out of reach, no meter.
    pub fn shown(&self, seen: &Seen, meter: usize, digits: Option<usize>) -> Result<String> {
        self.try_shown(seen, meter, digits).ok_or_else(|| {
            Error::inconsistent(format!("there is no {} in this situation", self.words)).with_hint(
                if seen.meters.len() <= meter {
                    "give the situation a meter"
                } else if seen.is_held() {
                    "nothing is shown on overload, and nothing open has no voltage"
                } else {
                    "the step's nominal is out of reach there: choose another load"
                },
            )
        })
    }

    /// The same; `None` when there is no such number.
    #[must_use]
    pub fn try_shown(&self, seen: &Seen, meter: usize, digits: Option<usize>) -> Option<String> {
        let (signed, unit, own) = match self.kind {
            Kind::Circuit(_, unit, digits) => (false, unit, digits),
            Kind::Meter(_, signed, unit, digits) => (signed, unit, digits),
            Kind::Words(of) => return seen.meters.get(meter).map(|meter| of(seen, meter)),
        };
        let number = self.number(seen, meter)?;
        // A display shows the digits it has.
        let display = match self.name {
            "shown" => seen.meters.get(meter).and_then(MeterSeen::display_digits),
            _ => None,
        };
        Some(with_unit(number, digits.or(display).unwrap_or(own), signed, unit))
    }
}

/// A number with its unit, the same in texts, tables and answers. What rounds to nothing has no sign.
pub(super) fn with_unit(number: f64, digits: usize, signed: bool, unit: &str) -> String {
    let rounded = format!("{number:.digits$}");
    let is_zero = rounded.chars().all(|c| matches!(c, '0' | '.' | '-'));
    let number = match (is_zero, signed) {
        (true, _) => rounded.trim_start_matches('-').to_owned(),
        (false, true) => format!("{number:+.digits$}"),
        (false, false) => rounded,
    };
    match unit {
        "" => number,
        "°" => format!("{number}°"),
        unit => format!("{number} {unit}"),
    }
}

const fn circuit(
    name: &'static str,
    words: &'static str,
    of: fn(&Seen) -> Option<f64>,
    unit: &'static str,
    digits: usize,
) -> Quantity {
    Quantity { name, words, kind: Kind::Circuit(of, unit, digits) }
}

const fn meter(
    name: &'static str,
    words: &'static str,
    of: fn(&MeterSeen) -> Option<f64>,
    signed: bool,
    unit: &'static str,
    digits: usize,
) -> Quantity {
    Quantity { name, words, kind: Kind::Meter(of, signed, unit, digits) }
}

const fn words(
    name: &'static str,
    words: &'static str,
    of: fn(&Seen, &MeterSeen) -> String,
) -> Quantity {
    Quantity { name, words, kind: Kind::Words(of) }
}

fn percent(ratio: f64) -> f64 {
    100.0 * ratio
}

fn line(seen: &Seen, order: usize) -> Option<f64> {
    let line = seen.spectrum.line(order)?;
    Some(percent(line.rms_a / seen.spectrum.fundamental_rms_a()))
}

fn trimmed_a(meter: &MeterSeen) -> Option<f64> {
    meter.judgement.as_ref()?.trimmed.map(|trimmed| trimmed.true_rms.a())
}

fn band_used(meter: &MeterSeen) -> Option<f64> {
    meter.judgement.as_ref()?.trimmed?.band_share_ratio.map(percent)
}

fn light(_: &Seen, meter: &MeterSeen) -> String {
    let trimmed = meter.judgement.as_ref().and_then(|judgement| judgement.trimmed);
    trimmed.map_or_else(
        || "-".into(),
        |trimmed| report::light(trimmed.effect.light_ratio, trimmed.effect.light_credible),
    )
}

fn life(_: &Seen, meter: &MeterSeen) -> String {
    let trimmed = meter.judgement.as_ref().and_then(|judgement| judgement.trimmed);
    trimmed.map_or_else(|| "-".into(), |trimmed| report::life(trimmed.effect.life))
}
