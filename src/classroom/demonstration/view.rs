use crate::regulator::Placement;
use crate::report::{
    amperes, degrees, life, light, percent, plain_percent, ratio_as_exact_percent, signed_amperes,
    volts,
};
use crate::situation::{MeterSeen, Output, Seen, Situation};
use crate::waveform::TrueRms;

use super::Scale;

/// What a demonstration shows of one situation, in words, with the points of its curve.
#[derive(Clone, Debug, PartialEq)]
pub struct View {
    /// Title of the description, and that it is invented where it is.
    pub title: String,
    /// Regulator and what is connected.
    pub words: String,
    /// The choices as they stand: name and position.
    pub choices: [(&'static str, String); 4],
    /// Two periods of the current: time over the period, and amperes.
    pub curve: Vec<(f64, f64)>,
    /// How far the axis of currents reaches, either way.
    pub reach_a: f64,
    /// The ends of that axis in words.
    pub reach: String,
    /// Dots along the level of the true RMS.
    pub true_dots: Vec<(f64, f64)>,
    /// Dashes along the level of the number on the meter, each from a place to a place; none on
    /// overload.
    pub shown_dashes: Vec<[(f64, f64); 2]>,
    /// What stands along the levels.
    pub levels: String,
    /// Length of two periods in words.
    pub span: String,
    /// The current: names and values.
    pub current: Vec<(&'static str, String)>,
    /// The meter: names and values.
    pub meter: Vec<(&'static str, String)>,
    /// The verdict on the meter at this step, in capitals, with the reason.
    pub verdict: (String, String),
    /// Scale around the nominal with T for the true current, M for the number shown, L for where the
    /// current lands when the step is set by this meter.
    pub scale: Scale,
    /// What has to be said beside it.
    pub notes: Vec<String>,
}

/// Intervals of one period on a screen.
const INTERVALS: usize = 120;
/// Characters of the scale.
const SCALE_WIDTH: usize = 58;

impl View {
    /// Puts a situation in words.
    #[must_use]
    pub fn of(title: &str, seen: &Seen, lamps_wait: bool) -> Self {
        let meter = seen.meters.first();
        let shown_a = meter.and_then(MeterSeen::shown_a);
        let true_a = seen.true_rms_a();
        let landed_a = meter
            .and_then(|meter| meter.judgement.as_ref()?.trimmed)
            .map(|trimmed| trimmed.true_rms.a());
        let mut marks = vec![('T', true_a)];
        marks.extend(shown_a.map(|a| ('M', a)));
        marks.extend(landed_a.map(|a| ('L', a)));
        let reach_a = (1.1 * seen.measures.dc.peak_a).max(shown_a.unwrap_or(0.0)).max(0.1);
        let invented = if seen.is_invented { "   (invented example)" } else { "" };
        Self {
            title: format!("{title}{invented}"),
            words: seen.words.clone(),
            choices: choices(seen, meter, lamps_wait),
            curve: curve(seen),
            reach_a,
            reach: format!("from -{reach_a:.1} A to +{reach_a:.1} A"),
            true_dots: dots(true_a),
            shown_dashes: shown_a.map(dashes).unwrap_or_default(),
            levels: levels(true_a, meter),
            span: format!("2 periods, {:.1} ms", 2e3 / seen.output.frequency_hz()),
            current: current_words(seen),
            meter: meter.map(|meter| meter_words(seen, meter)).unwrap_or_default(),
            verdict: meter.map_or_else(Default::default, |meter| {
                (meter.verdict_words().to_uppercase(), meter.reason(&seen.step))
            }),
            scale: Scale::new(&seen.step, &marks, SCALE_WIDTH),
            notes: seen
                .notes
                .iter()
                .filter(|note| note.code != "generic-model")
                .map(|note| note.text.clone())
                .collect(),
        }
    }
}

fn choices(
    seen: &Seen,
    meter: Option<&MeterSeen>,
    lamps_wait: bool,
) -> [(&'static str, String); 4] {
    let Situation { output, lamps_out_ratio, .. } = &seen.situation;
    let load = match output {
        Output::Load(ratio) if *ratio <= Output::SHORTED_RATIO => {
            format!("shorted ({})", ratio_as_exact_percent(*ratio))
        }
        Output::Load(ratio) => format!("{} of rated", ratio_as_exact_percent(*ratio)),
        Output::AsSet | Output::Field => output.words(),
    };
    let lamps = match lamps_out_ratio {
        Some(ratio) => ratio_as_exact_percent(*ratio),
        None if lamps_wait => "(unlit)".into(),
        None => "none".into(),
    };
    [
        ("step", format!("{} ({:.2} A)", seen.step.number, seen.step.nominal.a())),
        ("load", load),
        ("lamps out", lamps),
        ("meter", meter.map_or_else(String::new, |meter| meter.meter.name.clone())),
    ]
}

fn curve(seen: &Seen) -> Vec<(f64, f64)> {
    let points = seen.screen_points_a(INTERVALS);
    let at = |period: usize| {
        let points = &points;
        (0..INTERVALS).map(move |k| {
            (period as f64 + k as f64 / INTERVALS as f64, points.get(k).copied().unwrap_or(0.0))
        })
    };
    let end = (2.0, points.last().copied().unwrap_or(0.0));
    at(0).chain(at(1)).chain([end]).collect()
}

/// Periods drawn.
const PERIODS: f64 = 2.0;

fn dots(level_a: f64) -> Vec<(f64, f64)> {
    const COUNT: usize = 70;
    (0..=COUNT).map(|k| (PERIODS * k as f64 / COUNT as f64, level_a)).collect()
}

fn dashes(level_a: f64) -> Vec<[(f64, f64); 2]> {
    const COUNT: usize = 14;
    let at = |k: f64| (PERIODS * k / COUNT as f64, level_a);
    (0..COUNT).map(|k| [at(k as f64), at(k as f64 + 0.6)]).collect()
}

fn levels(true_a: f64, meter: Option<&MeterSeen>) -> String {
    let truth = format!("current   ..... true RMS {}", amperes(true_a));
    match meter {
        None => truth,
        Some(meter) => {
            let shown = meter.shown_a().map_or_else(|| "overload".to_owned(), amperes);
            format!("{truth}   -- -- {} {shown}", meter.meter.name)
        }
    }
}

fn current_words(seen: &Seen) -> Vec<(&'static str, String)> {
    let band = &seen.step.band;
    let placement = match band.place(TrueRms::stated_a(seen.true_rms_a())) {
        // The control holds the nominal to the solver's rounding.
        Placement::Inside => "in band",
        Placement::Low => "TOO LOW",
        Placement::High => "TOO HIGH",
    };
    let unknown = || "undefined".to_owned();
    vec![
        ("true RMS", format!("{} {placement}", amperes(seen.true_rms_a()))),
        ("band", format!("{:.2} to {:.2} A", band.low_a(), band.high_a())),
        ("crest factor", seen.crest_factor().map_or_else(unknown, |crest| format!("{crest:.3}"))),
        ("THD", seen.thd_ratio().map_or_else(unknown, plain_percent)),
        ("firing delay", degrees(seen.delay_rad)),
        (
            "output",
            format!(
                "{}, {:.0} % of rating",
                volts(seen.power.voltage_rms_v),
                100.0 * seen.share_of_rating_ratio()
            ),
        ),
    ]
}

fn meter_words(seen: &Seen, meter: &MeterSeen) -> Vec<(&'static str, String)> {
    let shown = meter.shown_a().map_or_else(|| "overload".to_owned(), amperes);
    let error = match (meter.error_a(), meter.error_ratio()) {
        (Some(a), Some(ratio)) => format!("{} A, {}", signed_amperes(a), percent(ratio)),
        _ => "none: overload".into(),
    };
    let mut words = vec![("shows", shown), ("error", error)];
    let must = match meter.must_show_a() {
        Some((low_a, high_a)) => format!("{} to {}", bare(low_a), amperes(high_a)),
        None => "nothing proves it".into(),
    };
    words.push(("must show", must));
    match meter.judgement.as_ref().and_then(|judgement| judgement.trimmed) {
        Some(trimmed) => {
            let place = match trimmed.placement {
                Placement::Inside => "",
                Placement::Low => " TOO LOW",
                Placement::High => " TOO HIGH",
            };
            words.push(("set by it", format!("{} true{place}", amperes(trimmed.true_rms.a()))));
            let effect = trimmed.effect;
            words.push(("light then", light(effect.light_ratio, effect.light_credible)));
            words.push(("life then", life_words(&life(effect.life), seen)));
        }
        None if seen.is_held() => words.push(("set by it", "it shows nothing".into())),
        None => words.push(("set by it", "the step is not held".into())),
    }
    words
}

fn bare(value_a: f64) -> String {
    crate::report::bare_amperes(value_a)
}

/// The life law governs near the rated current only.
fn life_words(words: &str, seen: &Seen) -> String {
    if words == "-" {
        format!("long at step {} anyway", seen.step.number)
    } else {
        words.to_owned()
    }
}
