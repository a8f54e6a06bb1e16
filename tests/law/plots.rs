//! What every figure must obey, checked on the laid-out scene: nothing leaves the canvas, no text
//! covers another, every axis says its unit, every character can be drawn.

#![allow(clippy::unwrap_used, reason = "a test may stop at what cannot be made")]

use std::f64::consts::PI;
use std::sync::LazyLock;

use loopcrest::assess::{StepCase, Survey};
use loopcrest::error::ErrorKind;
use loopcrest::lamp::LampLaw;
use loopcrest::meter::{Detector, Meter};
use loopcrest::plot::{
    Drawing, Element, Figure, Item, NamedPoint, Palette, Rect, branches_figure, contrast_figure,
    current_figure, error_figure, harmonics_figure, ladder_figure, load_curves_figure,
    phase_portrait_figure,
};
use loopcrest::regulator::{
    BandSet, CircuitClass, LoadCurve, OperatingPoint, PhaseCutSource, ResistiveLoad,
    ResonantRegulator, SineSource, SolveOptions, StepTable, Supply,
};
use loopcrest::waveform::{Harmonic, Scale, Shape, Synthesis};

const CANVAS: Rect = Rect::new(0.0, 0.0, Figure::WIDTH_PX, Figure::HEIGHT_PX);

/// Shapes from harmless to hopeless, and one that has a mean.
fn shapes() -> Vec<Shape> {
    let third = |ratio, phase_rad| Shape::Harmonics(vec![Harmonic { order: 3, ratio, phase_rad }]);
    vec![
        Shape::Sine,
        third(0.003, PI),
        third(0.02, PI),
        third(0.06, 0.0),
        third(0.2, PI),
        Shape::ClippedSine { level_ratio: 0.8, sharpness: 6.0 },
        Shape::Square,
        Shape::PhaseCut { delay_rad: 2.5 },
        Shape::Pulse { duty: 0.02 },
        Shape::HalfWave,
    ]
}

fn cases(class: CircuitClass, shape: &Shape, origin: &str) -> Vec<StepCase> {
    let table = StepTable::published(class, BandSet::default_for(class)).unwrap();
    let case = |step: &loopcrest::regulator::Step| StepCase {
        step: step.clone(),
        waveform: Synthesis::new(shape.clone(), Scale::RmsA(step.nominal.a())).waveform().unwrap(),
        origin: origin.to_owned(),
    };
    table.steps().iter().map(case).collect()
}

fn meters(laws: &[Detector]) -> Vec<Meter> {
    laws.iter().map(|law| Meter::ideal(law.words(), *law)).collect()
}

fn survey(cases: &[StepCase], meters: &[Meter]) -> Survey {
    Survey::new(cases, meters, &LampLaw::default(), cases[0].step.nominal).unwrap()
}

fn figures() -> Vec<Figure> {
    let long = "a current that somebody described in far more words than a footnote of two lines \
                has room for, which must not push anything off the page, nor be cut in silence, \
                and which goes on for quite a while before it comes to its well-earned end";
    let mut figures = vec![ladder_figure().unwrap()];
    for class in CircuitClass::ALL {
        for shape in shapes() {
            let cases = cases(class, &shape, long);
            for laws in [&Detector::ALL[..3], &Detector::ALL[..], &Detector::ALL[4..5]] {
                figures.push(error_figure(&survey(&cases, &meters(laws))));
            }
            let survey = survey(&cases, &meters(&Detector::ALL[..1]));
            for (case, result) in cases.iter().zip(survey.results()) {
                figures.push(current_figure(case, result));
                figures.push(harmonics_figure(result));
            }
        }
    }
    figures.extend(REGULATOR_FIGURES.iter().cloned());
    figures.extend(super::field_plots::FIGURES.iter().cloned());
    figures
}

/// Loads of the regulator's figures, over the rated one: shorted, light, half, full.
const LOADS: [f64; 4] = [0.0, 0.02, 0.5, 1.0];

fn load(ratio: f64) -> ResistiveLoad {
    ResistiveLoad::new((ratio * 10_000.0 / (6.6 * 6.6)).max(1e-6)).unwrap()
}

fn held(target_a: f64, ratio: f64) -> OperatingPoint {
    let regulator = ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap();
    let answer = regulator.hold(&load(ratio), target_a, None, &SolveOptions::default()).unwrap();
    answer.held().unwrap()
}

/// The five steps, the brightest first, with the names of their loops.
const STEPS: [(&str, f64); 5] =
    [("step 5", 6.6), ("step 4", 5.2), ("step 3", 4.1), ("step 2", 3.4), ("step 1", 2.8)];

/// Solved once for all laws: every step on every load.
static REGULATOR_FIGURES: LazyLock<Vec<Figure>> = LazyLock::new(|| {
    let mut figures = Vec::new();
    for ratio in LOADS {
        let points = STEPS.map(|(name, target_a)| (name, held(target_a, ratio)));
        let named = points.each_ref().map(|(name, point)| NamedPoint { name, point });
        for one in &named {
            figures.push(branches_figure(one, "a generic regulator").unwrap());
        }
        for count in [1, 2, 3, 5] {
            let figure = phase_portrait_figure(&named[..count], "one load", "generic ones");
            figures.push(figure.unwrap());
        }
        figures.push(contrast_figure(&named, "five steps", "generic ones"));
    }
    figures.push(contrast_of_sources(2.8, 0.25));
    for load_ratios in [&[0.0, 0.25, 0.5, 0.75, 1.0][..], &[0.5, 1.0, 2.0, 4.0], &[0.5]] {
        figures.push(load_curves_figure(&load_curves(load_ratios), "a generic regulator"));
    }
    figures
});

fn load_curves(load_ratios: &[f64]) -> Vec<LoadCurve> {
    let class = CircuitClass::FiveStep6A6;
    let table = StepTable::published(class, BandSet::default_for(class)).unwrap();
    let regulator = ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap();
    LoadCurve::of(&regulator, table.steps(), load_ratios, &SolveOptions::default()).unwrap()
}

fn contrast_of_sources(target_a: f64, ratio: f64) -> Figure {
    let options = SolveOptions::default();
    let cut = PhaseCutSource {
        rated_power_w: 10_000.0,
        rated_current_rms_a: 6.6,
        rated_frequency_hz: 60.0,
        supply: Supply::nominal(),
    };
    let cut = cut.hold(&load(ratio), target_a, &options).unwrap().held().unwrap();
    let sine = SineSource { frequency_hz: 60.0 }.drive(&load(ratio), target_a, &options).unwrap();
    let resonant = held(target_a, ratio);
    let named = [("resonant", &resonant), ("phase-cut", &cut), ("sine", &sine)]
        .map(|(name, point)| NamedPoint { name, point });
    contrast_figure(&named, "one step", "generic sources")
}

/// The points of every curve of a panel, in the order drawn.
fn curves(figure: &Figure, panel: usize) -> Vec<Vec<(f64, f64)>> {
    let items = figure.panels[panel].items.iter();
    items
        .filter_map(|item| match item {
            Item::Curve { points, .. } => Some(points.clone()),
            _ => None,
        })
        .collect()
}

/// What is drawn obeys Kirchhoff: input = capacitor + fired reactor + iron + output at every point.
#[test]
fn law_drawn_branch_currents_add_up() {
    let point = held(4.1, 0.5);
    let named = NamedPoint { name: "step 3", point: &point };
    let figure = branches_figure(&named, "a generic regulator").unwrap();
    let drawn = curves(&figure, 0);
    let [input, capacitor, reactor, iron, output] = &drawn[..] else { panic!("five currents") };
    assert!(input.len() > 500, "a whole period is drawn");
    for k in 0..input.len() {
        let rest_a = capacitor[k].1 + reactor[k].1 + iron[k].1 + output[k].1;
        // Currents of up to 10 A, the voltage's derivative among them: rounding only.
        assert!((input[k].1 - rest_a).abs() < 1e-8, "at {} ms", input[k].0);
    }
}

/// dλ = v dt, so the loop's area is ∫ v² dt = V_rms² T: flux and voltage belong together.
#[test]
fn law_area_of_the_drawn_loop_is_the_square_of_the_voltage() {
    let point = held(2.8, 0.5);
    let named = NamedPoint { name: "step 1", point: &point };
    let figure = phase_portrait_figure(&[named], "half load", "a generic regulator").unwrap();
    let drawn = curves(&figure, 0);
    let ring = drawn.iter().max_by_key(|points| points.len()).unwrap();
    let area = |pair: &[(f64, f64)]| 0.5 * (pair[1].0 - pair[0].0) * (pair[0].1 + pair[1].1);
    let area_v2_s: f64 = ring.windows(2).map(area).sum();
    let traces = point.traces(1440).unwrap();
    let voltage_v = &traces.iter().find(|trace| trace.name == "capacitor").unwrap().voltage_v;
    let square_v2 = voltage_v.iter().map(|v| v * v).sum::<f64>() / 1440.0;
    // A polygon of 720 corners: (2πh/720)²/6 of what harmonic h contributes, below 1e-4 in all.
    let off = area_v2_s * 60.0 / square_v2 - 1.0;
    assert!(off.abs() < 1e-4, "off by {off:e}: clockwise, so the area is positive");
}

/// A step that cannot be held has no point, and the footnote says where.
#[test]
fn law_steps_out_of_reach_end_and_are_named() {
    let curves_of = load_curves(&[0.5, 1.0, 2.0, 4.0]);
    let top = &curves_of[0];
    assert_eq!(top.step, 5);
    assert!(top.points[0].crest_factor.is_some(), "held at half load");
    assert!(top.points[3].crest_factor.is_none(), "6.6 A through four times the rated load");
    assert!(top.points[3].average_error_ratio.is_none(), "unknown, not nil");
    let figure = load_curves_figure(&curves_of, "a generic regulator");
    assert!(figure.footnote.contains("Out of reach: step 5"), "{}", figure.footnote);
    let whole = load_curves_figure(&load_curves(&[0.0, 1.0]), "a generic regulator");
    assert!(!whole.footnote.contains("Out of reach"), "{}", whole.footnote);
}

/// A curve's point is the operating point of that step and load, found on another way.
#[test]
fn law_load_curves_hold_the_operating_points() {
    // The independent row's load of 0.02 · 230 ohm, over the rated resistance.
    let ratio = 0.02 * 230.0 * 6.6 * 6.6 / 10_000.0;
    let curve = &load_curves(&[0.0, ratio, 1.0])[2];
    let point = held(4.1, ratio);
    let error = curve.points[1].average_error_ratio.unwrap();
    let off = error - point.average_responding_error_ratio();
    // Both are converged to a period defect of 1e-9; the errors follow within a few times that.
    assert!(off.abs() < 1e-7, "off by {off:e}");
    let crest = curve.points[1].crest_factor.unwrap();
    let off = crest - point.output.measures().dc.crest_factor().unwrap();
    assert!(off.abs() < 1e-7, "off by {off:e}");
    // The independent shooting's row, to one unit of its last digit: −2.337 % and 1.5068.
    assert!((100.0 * error + 2.337).abs() < 1e-3, "{error}");
    assert!((crest - 1.5068).abs() < 1e-4, "{crest}");
}

/// A source without a capacitor has no inside to show: an error that says what is missing.
#[test]
fn law_another_kind_of_source_is_an_error() {
    let sine = SineSource { frequency_hz: 60.0 };
    let point = sine.drive(&load(0.5), 4.1, &SolveOptions::default()).unwrap();
    let named = NamedPoint { name: "sine", point: &point };
    let error = branches_figure(&named, "an ideal source").expect_err("no capacitor");
    assert!(matches!(error.kind(), ErrorKind::Inconsistent { .. }), "{error}");
    assert!(error.to_string().contains("capacitor"), "{error}");
}

#[test]
fn law_no_text_covers_another_or_leaves_the_canvas() {
    for figure in figures() {
        let scene = figure.scene().unwrap();
        let texts: Vec<_> = scene.texts().map(|run| (run.text.as_str(), run.bounds_px())).collect();
        assert!(texts.len() > 5, "{}: a figure without words proves nothing", figure.title);
        for (index, (text, bounds)) in texts.iter().enumerate() {
            assert!(CANVAS.contains(bounds), "{}: \"{text}\" leaves the canvas", figure.title);
            for (other, other_bounds) in &texts[..index] {
                assert!(
                    !bounds.overlaps(other_bounds),
                    "{}: \"{text}\" at {bounds:?} covers \"{other}\" at {other_bounds:?}",
                    figure.title
                );
            }
        }
    }
}

#[test]
fn law_everything_drawn_stays_on_the_canvas() {
    let inside = |(x_px, y_px): &(f64, f64)| {
        (0.0..=Figure::WIDTH_PX).contains(x_px) && (0.0..=Figure::HEIGHT_PX).contains(y_px)
    };
    for figure in figures() {
        for element in &figure.scene().unwrap().elements {
            let good = match element {
                Element::Fill { points_px, .. } | Element::Line { points_px, .. } => {
                    points_px.iter().all(inside)
                }
                Element::Mark { at_px, .. } => inside(at_px),
                Element::Text(run) => inside(&run.at_px),
            };
            assert!(good, "{}: {element:?} leaves the canvas", figure.title);
        }
    }
}

#[test]
fn law_no_number_is_covered_by_a_mark() {
    for figure in figures() {
        let scene = figure.scene().unwrap();
        for element in &scene.elements {
            let Element::Mark { at_px: (x_px, y_px), radius_px, .. } = element else { continue };
            // The inner half of the mark: a corner may touch a letter, the body may not.
            let half_px = 0.5 * radius_px;
            let body = Rect::new(x_px - half_px, y_px - half_px, x_px + half_px, y_px + half_px);
            for run in scene.texts() {
                let free = !run.bounds_px().overlaps(&body);
                assert!(free, "{}: a mark covers \"{}\"", figure.title, run.text);
            }
        }
    }
}

#[test]
fn law_every_axis_of_numbers_names_quantity_and_unit() {
    for figure in figures() {
        for panel in &figure.panels {
            for axis in [&panel.x, &panel.y] {
                assert!(axis.speaks(), "{}: an axis without a unit: {axis:?}", figure.title);
                if !axis.named {
                    let title = axis.title();
                    assert!(
                        figure.scene().unwrap().texts().any(|run| run.text == title),
                        "{}: \"{title}\" is not written",
                        figure.title
                    );
                }
            }
        }
    }
}

/// A projector in a lit room: nothing smaller than 15 px on a canvas of 1200.
#[test]
fn law_no_text_is_small() {
    for figure in figures() {
        for run in figure.scene().unwrap().texts() {
            assert!(run.look.size_px >= 15.0, "{}: \"{}\" is small", figure.title, run.text);
        }
    }
}

#[test]
fn law_a_character_the_font_lacks_is_an_error_that_shows_it() {
    let cases = cases(CircuitClass::FiveStep6A6, &Shape::Sine, "invented");
    let meter = Meter::ideal("電流計", Detector::ALL[0]);
    let figure = error_figure(&survey(&cases, &[meter]));
    let error = figure.draw(&Palette::LIGHT).expect_err("Chinese is not in the embedded font");
    assert!(matches!(error.kind(), ErrorKind::Malformed { .. }), "{error}");
    assert!(error.to_string().contains("U+96FB"), "the first such letter is named: {error}");
}

/// Names of people and places in Latin, Greek and Cyrillic letters.
#[test]
fn law_names_of_many_tongues_are_drawn() {
    let cases = cases(CircuitClass::FiveStep6A6, &Shape::Sine, "invented");
    for name in ["Łódź Šimůnek", "Ærøskøbing", "Señor Ñandú", "Ştefan Țepeș", "Αθήνα", "клещи Ґ"]
    {
        let figure = error_figure(&survey(&cases, &[Meter::ideal(name, Detector::ALL[0])]));
        figure.draw(&Palette::LIGHT).unwrap();
    }
}

#[test]
fn law_a_number_that_is_not_finite_is_an_error() {
    let mut figure = ladder_figure().unwrap();
    figure.panels[0].x.to = f64::NAN;
    let error = figure.draw(&Palette::LIGHT).expect_err("an axis without an end");
    assert!(matches!(error.kind(), ErrorKind::Inconsistent { .. }), "{error}");
}

#[test]
fn law_same_figure_same_bytes_on_any_number_of_threads() {
    let cases = cases(CircuitClass::FiveStep6A6, &Shape::PhaseCut { delay_rad: 1.0 }, "invented");
    let survey = survey(&cases, &meters(&Detector::ALL));
    let figures =
        [error_figure(&survey), ladder_figure().unwrap(), harmonics_figure(&survey.results()[0])];
    let draw = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| Drawing::all(&figures, &Palette::LIGHT, 400).unwrap())
    };
    let one = draw(1);
    assert_eq!(one, draw(3));
    assert!(one.iter().all(|(_, png)| png.starts_with(b"\x89PNG")), "PNG signature");
}

#[test]
fn law_png_width_is_bounded() {
    let drawing = ladder_figure().unwrap().draw(&Palette::LIGHT).unwrap();
    for width_px in [0, 99, 8001, u32::MAX] {
        let error = drawing.png(width_px).expect_err("out of bounds");
        assert!(matches!(error.kind(), ErrorKind::OutOfRange { .. }), "{error}");
    }
}

/// 20 samples a period hold orders up to 9; what lies above is unknown, and the figure says so.
#[test]
fn law_orders_a_coarse_record_cannot_hold_are_not_shown_as_nil() {
    let mut cases = cases(CircuitClass::FiveStep6A6, &Shape::Square, "invented");
    for case in &mut cases {
        let scale = Scale::RmsA(case.step.nominal.a());
        let coarse = Synthesis { samples_per_period: 20, ..Synthesis::new(Shape::Square, scale) };
        case.waveform = coarse.waveform().unwrap();
    }
    let survey = survey(&cases, &meters(&Detector::ALL[..1]));
    let figure = harmonics_figure(&survey.results()[0]);
    assert!(figure.footnote.contains("orders above 9"), "{}", figure.footnote);
    let scene = figure.scene().unwrap();
    assert!(scene.texts().any(|run| run.text.contains("(orders 2 to 9)")), "THD names its orders");
}
