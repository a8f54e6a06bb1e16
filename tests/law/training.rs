//! What every training figure must obey, light and dark, on slides and on paper; names, parameters and
//! what is said about wrong ones; the same bytes whatever the number of threads.

use std::collections::BTreeSet;
use std::sync::LazyLock;

use loopcrest::classroom::training::{
    Level, Parameter, TrainingCircuit, TrainingFigure, TrainingLook, TrainingOptions,
    training_files, training_list,
};
use loopcrest::meter::Archetype;
use loopcrest::plot::{
    Canvas, Element, Face, Figure, Ink, Item, Palette, Rect, Rgb, Scene, Weight, text_width_px,
};

pub(crate) static CIRCUIT: LazyLock<TrainingCircuit> =
    LazyLock::new(|| TrainingCircuit::invented().unwrap());

pub(crate) fn drawn(figure: TrainingFigure) -> Figure {
    figure.figure_of(&CIRCUIT, &TrainingOptions::default()).unwrap()
}

static FIGURES: LazyLock<Vec<(TrainingFigure, Figure)>> =
    LazyLock::new(|| TrainingFigure::ALL.map(|figure| (figure, drawn(figure))).to_vec());

/// The same figures with their parameters at both ends.
static VARIED: LazyLock<Vec<(String, Figure)>> = LazyLock::new(|| {
    let ends: [(Parameter, [&str; 2]); 5] = [
        (Parameter::Step, ["1", "5"]),
        (Parameter::Load, ["1 %", "100 %"]),
        (Parameter::LampsOut, ["5 %", "20 %"]),
        (Parameter::Thd, ["2 %", "30 %"]),
        (Parameter::Probability, ["60 %", "99.9 %"]),
    ];
    let mut varied = Vec::new();
    for figure in TrainingFigure::ALL {
        for (parameter, texts) in &ends {
            if !figure.parameters().contains(parameter) {
                continue;
            }
            for text in texts {
                let mut options = TrainingOptions::default();
                options.set(figure, parameter.key(), text).unwrap();
                let name = format!("{} {} = {text}", figure.code(), parameter.key());
                varied.push((name, figure.figure_of(&CIRCUIT, &options).unwrap()));
            }
        }
        if figure.parameters().contains(&Parameter::Meter) {
            for meter in Archetype::ALL {
                let options = TrainingOptions { meter: Some(meter), ..TrainingOptions::default() };
                if figure == TrainingFigure::CrestLimit && meter.sheet().crest.is_none() {
                    let refused = figure.figure_of(&CIRCUIT, &options).unwrap_err();
                    assert!(refused.hint().unwrap().contains("peak"), "those that do are named");
                    continue;
                }
                let name = format!("{} meter = {}", figure.code(), meter.key());
                varied.push((name, figure.figure_of(&CIRCUIT, &options).unwrap()));
            }
        }
    }
    varied
});

const CANVASES: [Canvas; 2] = [Canvas::Slide, Canvas::Paper];

fn everything() -> impl Iterator<Item = (String, &'static Figure)> {
    let usual = FIGURES.iter().map(|(figure, drawn)| (figure.code(), drawn));
    usual.chain(VARIED.iter().map(|(name, figure)| (name.clone(), figure)))
}

#[test]
fn law_training_texts_stay_on_the_canvas_and_apart() {
    let mut wrong = Vec::new();
    for (name, figure) in everything() {
        for canvas in CANVASES {
            let (width_px, height_px) = canvas.size_px();
            let sheet = Rect::new(0.0, 0.0, width_px, height_px);
            let scene = figure.scene_on(canvas).unwrap();
            let runs: Vec<_> = scene.texts().collect();
            for (index, run) in runs.iter().enumerate() {
                let bounds = run.bounds_px();
                if !sheet.contains(&bounds) {
                    wrong.push(format!("{name} {canvas:?}: \"{}\" leaves the canvas", run.text));
                }
                if run.text.contains('…') {
                    wrong.push(format!("{name} {canvas:?}: \"{}\" is cut", run.text));
                }
                for other in &runs[index + 1..] {
                    if bounds.overlaps(&other.bounds_px()) {
                        wrong.push(format!(
                            "{name} {canvas:?}: \"{}\" covers \"{}\"",
                            run.text, other.text
                        ));
                    }
                }
            }
            for element in &scene.elements {
                let points: Vec<(f64, f64)> = match element {
                    Element::Fill { points_px, .. } | Element::Line { points_px, .. } => {
                        points_px.clone()
                    }
                    Element::Mark { at_px, .. } => vec![*at_px],
                    Element::Text(_) => Vec::new(),
                };
                let inside = |at: &(f64, f64)| sheet.contains(&Rect::new(at.0, at.1, at.0, at.1));
                assert!(points.iter().all(inside), "{name} {canvas:?}: a line leaves the canvas");
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Whether a polygon holds a point: an odd number of its edges lie to the right.
fn holds(polygon: &[(f64, f64)], (x, y): (f64, f64)) -> bool {
    let mut inside = false;
    for (index, (x1, y1)) in polygon.iter().enumerate() {
        let (x2, y2) = polygon[(index + 1) % polygon.len()];
        if (*y1 > y) != (y2 > y) && x < x1 + (y - y1) * (x2 - x1) / (y2 - y1) {
            inside = !inside;
        }
    }
    inside
}

/// The colours under a point, from what was filled before.
fn ground(scene: &Scene, before: usize, at: (f64, f64), palette: &Palette) -> Rgb {
    let fills = scene.elements[..before].iter().rev().filter_map(|element| match element {
        Element::Fill { points_px, ink } => Some((points_px, *ink)),
        _ => None,
    });
    let mut fills = fills.filter(|(points, _)| holds(points, at));
    palette.colour(fills.next().map_or(Ink::Background, |(_, ink)| ink))
}

/// Text at least 4.5 : 1, large text (24 px, or bold from 18.67 px) and lines or marks that carry
/// meaning at least 3 : 1.
///
/// Source: WCAG 2.2, 1.4.3 and 1.4.11 (from memory). Grid lines, and shades whose edge is drawn as a
/// line or which a text names, may be fainter: nothing is read from them alone.
#[test]
fn law_training_inks_stand_out_as_wcag_asks() {
    let mut wrong = BTreeSet::new();
    for (name, figure) in everything() {
        for canvas in CANVASES {
            let scene = figure.scene_on(canvas).unwrap();
            for (kind, palette) in [("light", Palette::LIGHT), ("dark", Palette::DARK)] {
                for (index, element) in scene.elements.iter().enumerate() {
                    let (ink, places, least): (Ink, Vec<(f64, f64)>, f64) = match element {
                        Element::Text(run) => {
                            let bounds = run.bounds_px();
                            let bold = run.look.weight == Weight::Bold;
                            let large =
                                run.look.size_px >= 24.0 || (bold && run.look.size_px >= 18.67);
                            let middle = 0.5 * (bounds.top_px + bounds.bottom_px);
                            let across = [0.02, 0.25, 0.5, 0.75, 0.98];
                            let at =
                                across.map(|p| (bounds.left_px + p * bounds.width_px(), middle));
                            (run.look.ink, at.to_vec(), if large { 3.0 } else { 4.5 })
                        }
                        Element::Line { points_px, stroke } => {
                            (stroke.ink, points_px.iter().copied().step_by(7).collect(), 3.0)
                        }
                        // An outline stands on its own white or dark face.
                        Element::Mark { face: Face::Open | Face::Half, ink, .. } => {
                            let far = vec![(f64::MIN, f64::MIN)];
                            (*ink, far, 3.0)
                        }
                        Element::Mark { at_px, ink, .. } => (*ink, vec![*at_px], 3.0),
                        Element::Fill { .. } => continue,
                    };
                    if matches!(ink, Ink::Grid | Ink::Background) {
                        continue;
                    }
                    for at in places {
                        let under = ground(&scene, index, at, &palette);
                        let ratio = palette.colour(ink).contrast_ratio(under);
                        if ratio < least {
                            wrong.insert(format!(
                                "{name} {kind}: {ink:?} has {ratio:.2} on {under:?}, wanted {least}"
                            ));
                        }
                    }
                }
            }
        }
    }
    let wrong: Vec<String> = wrong.into_iter().collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Closed form: black on white is (1 + 0.05) / 0.05 = 21, a colour on itself 1.
#[test]
fn law_contrast_of_the_ends() {
    let (black, white) = (Rgb(0, 0, 0), Rgb(255, 255, 255));
    assert!((black.contrast_ratio(white) - 21.0).abs() < 1e-9, "sums of exact numbers");
    assert!((white.contrast_ratio(white) - 1.0).abs() < 1e-12);
}

#[test]
fn law_training_axes_speak_and_captions_are_there() {
    for (name, figure) in everything() {
        assert!(figure.caption.len() > 40, "{name}: {}", figure.caption);
        assert!(figure.caption.chars().any(|c| c.is_ascii_digit()), "{name}: no number");
        assert!(!figure.title.is_empty() && !figure.footnote.is_empty(), "{name}");
        for panel in &figure.panels {
            assert!(panel.x.speaks() && panel.y.speaks(), "{name}: an axis without unit");
        }
    }
}

/// A figure's table has a row for every point it draws.
#[test]
fn law_training_tables_hold_every_point() {
    for (name, figure) in everything() {
        let table = figure.csv();
        let head = table.lines().next().unwrap();
        assert!(head.starts_with("panel,item,kind,name,text,"), "{name}: {head}");
        for panel in &figure.panels {
            for title in [panel.x.title(), panel.y.title()] {
                let quoted = title.replace('"', "\"\"");
                assert!(title.is_empty() || head.contains(&quoted), "{name}: no column {title}");
            }
        }
        let points: usize = figure
            .panels
            .iter()
            .flat_map(|panel| &panel.items)
            .map(|item| match item {
                Item::Curve { points, .. } => points.len(),
                Item::Area { .. } => 2,
                Item::Level { .. } | Item::Mark { .. } | Item::Label { .. } => 1,
                Item::Callouts { entries, .. } => entries.len(),
                Item::Sketch { .. } => 0,
            })
            .sum();
        let mut reader = csv_rows(&table);
        let columns = reader.remove(0).len();
        assert_eq!(reader.len(), points, "{name}");
        assert!(reader.iter().all(|row| row.len() == columns), "{name}: ragged");
    }
}

/// Rows of quoted, comma-separated text: a reader of our own, for the test alone.
pub(crate) fn csv_rows(text: &str) -> Vec<Vec<String>> {
    let (mut rows, mut row, mut cell, mut quoted) = (Vec::new(), Vec::new(), String::new(), false);
    let mut characters = text.chars().peekable();
    while let Some(character) = characters.next() {
        match character {
            '"' if quoted && characters.peek() == Some(&'"') => {
                cell.push('"');
                characters.next();
            }
            '"' => quoted = !quoted,
            ',' if !quoted => row.push(std::mem::take(&mut cell)),
            '\n' if !quoted => {
                row.push(std::mem::take(&mut cell));
                rows.push(std::mem::take(&mut row));
            }
            other => cell.push(other),
        }
    }
    rows
}

#[test]
fn law_training_names_are_found_and_wrong_ones_are_told() {
    let mut slugs = BTreeSet::new();
    for (place, figure) in TrainingFigure::ALL.into_iter().enumerate() {
        assert_eq!(figure.number(), place + 1);
        assert!(slugs.insert(figure.slug()));
        for name in [figure.slug().to_owned(), figure.code(), format!("t{}", figure.number())] {
            assert_eq!(TrainingFigure::named(&name).unwrap(), figure);
        }
        // The defaults are values the parameters allow.
        for parameter in figure.parameters() {
            let text = figure.defaults().written(parameter).unwrap();
            TrainingOptions::default().set(figure, parameter.key(), &text).unwrap();
        }
    }
    let near = TrainingFigure::named("same-tdh").unwrap_err();
    assert!(near.hint().unwrap().contains("same-thd"), "{near}");
    let far = TrainingFigure::named("T14").unwrap_err();
    assert!(far.to_string().contains("T14"), "{far}");
    assert!(training_list().figures.iter().any(|part| part.level == Level::Further.key()));
}

#[test]
fn law_training_parameters_are_checked() {
    let table = |text: &str| text.parse::<toml::Table>().unwrap();
    let figure = TrainingFigure::WhyRms;
    let good = TrainingOptions::from_table(figure, &table("step = 3\nload = \"75 %\"")).unwrap();
    assert_eq!((good.step, good.load_ratio), (Some(3), Some(0.75)));
    let plain = TrainingOptions::from_table(figure, &table("load = 0.75")).unwrap();
    assert_eq!(plain.load_ratio, Some(0.75));
    for (text, names, allowed) in [
        ("lode = 0.5", "lode", "load"),
        ("meter = \"x\"", "meter", "step, load"),
        ("step = 6", "step", "1 to 5"),
        ("step = 2.5", "step", "1 to 5"),
        ("load = 2", "load", "1 % to 100 %"),
        ("load = \"much\"", "load", "1 % to 100 %"),
        ("load = [1]", "load", ""),
    ] {
        let error = TrainingOptions::from_table(figure, &table(text)).unwrap_err();
        assert!(error.to_string().contains(names), "{text}: {error}");
        assert!(error.hint().unwrap_or("").contains(allowed), "{text}: {:?}", error.hint());
    }
    // A field set by hand is held to the same bounds.
    let beyond = TrainingOptions { step: Some(9), ..TrainingOptions::default() };
    assert!(figure.figure_of(&CIRCUIT, &beyond).unwrap_err().to_string().contains("step"));
    let foreign = TrainingOptions { thd_ratio: Some(0.1), ..TrainingOptions::default() };
    assert!(figure.figure_of(&CIRCUIT, &foreign).unwrap_err().to_string().contains("thd"));
}

#[test]
fn law_training_bytes_do_not_depend_on_threads() {
    let chosen: Vec<_> =
        TrainingFigure::ALL.map(|figure| (figure, TrainingOptions::default())).to_vec();
    let look = TrainingLook { png_width_px: 300, ..TrainingLook::default() };
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| training_files(&chosen, &look).unwrap())
    };
    let one = with(1);
    assert_eq!(one.len(), 3 * 13 + 2);
    assert!(one == with(2), "one thread and two draw the same bytes");
}

/// The paper has the sides of the A sizes to a pixel, and everything on it keeps its margin.
#[test]
fn law_paper_keeps_its_margins() {
    let (width_px, height_px) = Canvas::Paper.size_px();
    assert!((width_px / height_px - 2.0_f64.sqrt()).abs() < 0.002, "1 : √2 to a pixel");
    let inside = Rect::new(60.0, 60.0, width_px - 60.0, height_px - 60.0);
    for (figure, drawn) in FIGURES.iter() {
        for run in drawn.scene_on(Canvas::Paper).unwrap().texts() {
            assert!(inside.contains(&run.bounds_px()), "{}: \"{}\"", figure.code(), run.text);
            assert!(text_width_px(&run.text, run.look.size_px, run.look.weight) > 0.0);
        }
    }
}
