//! What every figure must obey, checked on the laid-out scene: nothing leaves the canvas, no text
//! covers another, every axis says its unit, every character can be drawn.

#![allow(clippy::unwrap_used, reason = "a test may stop at what cannot be made")]

use std::f64::consts::PI;

use loopcrest::assess::{StepCase, Survey};
use loopcrest::error::ErrorKind;
use loopcrest::lamp::LampLaw;
use loopcrest::meter::{Detector, Meter};
use loopcrest::plot::{
    Drawing, Element, Figure, Palette, Rect, current_figure, error_figure, harmonics_figure,
    ladder_figure,
};
use loopcrest::regulator::{BandSet, CircuitClass, StepTable};
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
    laws.iter().map(|law| Meter { name: law.words(), detector: *law }).collect()
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
    figures
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
    let meter = Meter { name: "клещи".into(), detector: Detector::ALL[0] };
    let figure = error_figure(&survey(&cases, &[meter]));
    let error = figure.draw(&Palette::LIGHT).expect_err("Cyrillic is not in the embedded font");
    assert!(matches!(error.kind(), ErrorKind::Malformed { .. }), "{error}");
    assert!(error.to_string().contains("U+043A"), "the first such letter is named: {error}");
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
