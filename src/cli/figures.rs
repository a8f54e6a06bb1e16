use crate::assess::instrument::{Comparison, Instrument, StepCurrents, Terms};
use crate::assess::{StepCase, Survey};
use crate::description::{Description, ProtectionStudy, RegulatorSetup};
use crate::error::{Note, Result};
use crate::identify::FittedCapture;
use crate::meter::{Meter, SimulatedReading};
use crate::plot::{
    Drawing, Figure, NamedPoint, Palette, ProtectionTimes, branches_figure, comparison_figure,
    contrast_figure, convergence_figure, current_figure, drawable, drift_figure, error_figure,
    fit_figure, harmonics_figure, intervals_figure, ladder_figure, load_curves_figure,
    phase_portrait_figure, protection_times_figure, reading_distribution_figure,
    sensitivity_figure, waterfall_figure,
};
use crate::procedure::history::StepHistory;
use crate::regulator::{LoadCurve, OperatingPoint, SolveOptions, ValuesOrigin};
use crate::report::{amperes, ratio_as_percent};
use crate::study::CircuitEstimate;

/// Cases and survey with names and origins in characters the figures' fonts have; `None` when they
/// are already, else with the finding that says what the figures show instead.
pub(super) fn in_known_characters(
    description: &Description,
    cases: &[StepCase],
) -> Result<Option<(Vec<StepCase>, Survey, Note)>> {
    let mut shown = description.clone();
    let mut replaced: Vec<String> = Vec::new();
    let mut cleaned = |text: &mut String| {
        let clean = drawable(text);
        if clean != *text {
            replaced.push(format!("\"{clean}\" for \"{text}\""));
            *text = clean;
        }
    };
    shown.meters.iter_mut().for_each(|meter| cleaned(&mut meter.name));
    let mut cases = cases.to_vec();
    cases.iter_mut().for_each(|case| cleaned(&mut case.origin));
    if replaced.is_empty() {
        return Ok(None);
    }
    let survey = shown.survey(&cases)?;
    let note = Note::new(
        "figure-characters",
        format!("the figures' font lacks some characters; they show {}", replaced.join(", ")),
    );
    Ok(Some((cases, survey, note)))
}

/// Every figure of the main job, as SVG and PNG: file names and their bytes.
pub(super) fn draw(cases: &[StepCase], survey: &Survey) -> Result<Vec<(String, Vec<u8>)>> {
    let mut names = vec!["errors".to_owned(), "ladder-of-shapes".to_owned()];
    let mut figures = vec![error_figure(survey), ladder_figure()?];
    for (case, result) in cases.iter().zip(survey.results()) {
        names.push(format!("step-{}-current", case.step.number));
        figures.push(current_figure(case, result));
        names.push(format!("step-{}-harmonics", case.step.number));
        figures.push(harmonics_figure(result));
    }
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    files(&names, &figures)
}

/// The figures of one operating point.
pub(super) fn operating(
    point: &OperatingPoint,
    setup: &RegulatorSetup,
) -> Result<Vec<(String, Vec<u8>)>> {
    let name =
        format!("{} at {} load", amperes(point.output_rms_a()), ratio_as_percent(setup.load_ratio));
    let named = NamedPoint { name: &name, point };
    let origin = origin(setup);
    files(
        &["branches", "phase-portrait"],
        &[branches_figure(&named, &origin)?, phase_portrait_figure(&[named], &name, &origin)?],
    )
}

/// The figure over loads.
pub(super) fn loads(
    description: &Description,
    setup: &RegulatorSetup,
) -> Result<Vec<(String, Vec<u8>)>> {
    let ratios: Vec<f64> = LoadCurve::even_ratios(LOADS_DRAWN);
    let steps = description.steps.steps();
    let curves = LoadCurve::of(&setup.regulator, steps, &ratios, &SolveOptions::default())?;
    files(&["load-curves"], &[load_curves_figure(&curves, &origin(setup))])
}

/// The figures of an estimate: intervals, what is behind them, how they settled.
pub(super) fn estimate(
    estimate: &CircuitEstimate,
    circuit: &str,
) -> Result<Vec<(String, Vec<u8>)>> {
    files(
        &["intervals", "sensitivity", "convergence"],
        &[
            intervals_figure(estimate, circuit),
            sensitivity_figure(estimate, circuit),
            convergence_figure(estimate, circuit),
        ],
    )
}

/// The figure of three kinds of source.
pub(super) fn contrast(
    points: &[(&'static str, OperatingPoint)],
    setup: &RegulatorSetup,
) -> Result<Vec<(String, Vec<u8>)>> {
    let named: Vec<NamedPoint<'_>> =
        points.iter().map(|(name, point)| NamedPoint { name, point }).collect();
    let setting = format!("{} load", ratio_as_percent(setup.load_ratio));
    files(&["contrast"], &[contrast_figure(&named, &setting, &origin(setup))])
}

/// The figure of one reading, cause by cause.
pub(super) fn reading(
    reading: &SimulatedReading,
    meter: &Meter,
    case: &StepCase,
) -> Result<Vec<(String, Vec<u8>)>> {
    let (name, origin) = (drawable(&meter.name), drawable(&case.origin));
    let figure = waterfall_figure(reading, &name, meter.detector, Some(&case.step), &origin);
    files(&["causes"], &[figure])
}

/// One figure for each capture beside the fitted regulator; those held out are marked.
pub(super) fn fit(
    captures: &[(&FittedCapture, bool)],
    setup: &RegulatorSetup,
) -> Result<Vec<(String, Vec<u8>)>> {
    let names: Vec<String> = (1..=captures.len()).map(|number| format!("fit-{number}")).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let mut fitted = setup.clone();
    fitted.regulator.values.origin = ValuesOrigin::Fitted;
    let origin = format!("a {}", fitted.rating_words());
    let draw =
        |(capture, held_out): &(&FittedCapture, bool)| fit_figure(capture, *held_out, &origin);
    files(&names, &captures.iter().map(draw).collect::<Vec<_>>())
}

/// The figures of real meters at the steps: what a reading means against the band.
pub(super) fn fitness(
    instruments: &[Instrument],
    places: &[&StepCurrents],
    terms: &Terms,
) -> Result<Vec<(String, Vec<u8>)>> {
    let mut names = Vec::new();
    let mut figures = Vec::new();
    for (number, instrument) in (1_usize..).zip(instruments) {
        for place in places {
            if let Some(figure) = reading_distribution_figure(instrument, place, terms)? {
                let (step, connection) = (place.step().number, place.connection().key());
                names.push(format!("meter-{number}-step-{step}-{connection}"));
                figures.push(figure);
            }
        }
    }
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    files(&names, &figures)
}

/// Times to trip against the multiple of rated current.
pub(super) fn protection(
    setup: &RegulatorSetup,
    study: &ProtectionStudy,
    target_a: f64,
) -> Result<Vec<(String, Vec<u8>)>> {
    if study.curves.is_empty() {
        return Ok(Vec::new());
    }
    let bench = setup.bench(setup.load_ratio, target_a)?;
    let times = ProtectionTimes::of(&bench, &study.curves);
    files(&["protection-times"], &[protection_times_figure(&times, &origin(setup))])
}

/// The figure of many meters at many steps.
pub(super) fn comparison(comparison: &Comparison) -> Result<Vec<(String, Vec<u8>)>> {
    files(&["comparison"], &[comparison_figure(comparison)])
}

/// Loads at which the curves are computed.
const LOADS_DRAWN: usize = 41;

/// Where the values come from, for the foot of a figure.
pub(super) fn origin(setup: &RegulatorSetup) -> String {
    format!("a {}: {}", setup.rating_words(), setup.regulator.values.origin.short())
}

/// Figures as SVG and PNG under these names.
pub(super) fn files(names: &[&str], figures: &[Figure]) -> Result<Vec<(String, Vec<u8>)>> {
    let drawings = Drawing::all(figures, &Palette::LIGHT, Drawing::DEFAULT_PNG_WIDTH_PX)?;
    let mut files = Vec::with_capacity(names.len());
    for (name, (drawing, png)) in names.iter().zip(drawings) {
        files.push((format!("{name}.svg"), drawing.svg().as_bytes().to_vec()));
        files.push((format!("{name}.png"), png));
    }
    Ok(files)
}

/// How one step drifts.
pub(super) fn drift(
    history: &StepHistory,
    regulator: &str,
    conformance_probability: f64,
) -> Result<Vec<(String, Vec<u8>)>> {
    let figure = drift_figure(history, &drawable(regulator), conformance_probability)?;
    let name = format!("step-{}-{}", history.step, history.output.key());
    files(&[&name], &[figure])
}
