//! The figures of a field: solved once for the laws every figure obeys, and what they must say.

use std::sync::LazyLock;

use loopcrest::description::{Description, FieldSetup, RegulatorSetup};
use loopcrest::plot::{
    Figure, Ink, Item, Palette, crest_map_figure, lamps_out_voltage_figure, load_bar_figure,
};
use loopcrest::series::{FieldTableRow, LampsOut, LoadComparison};

fn embedded() -> (Description, RegulatorSetup, FieldSetup) {
    let description = Description::embedded();
    let regulator = description.regulator.clone().unwrap();
    let field = description.field.clone().unwrap();
    (description, regulator, field)
}

/// Every kind of bar, map and course, small and crowded.
pub(crate) static FIGURES: LazyLock<Vec<Figure>> = LazyLock::new(|| {
    let (description, regulator, mut field) = embedded();
    let steps = description.steps.steps();
    let mut figures = Vec::new();
    let table = field.solve(&regulator, steps).unwrap();
    let top = table.rows.first().and_then(FieldTableRow::point).unwrap();
    for tap_ratio in [1.0, 0.75, 0.5] {
        field.tap_ratio = tap_ratio;
        let margin = field.margin(&regulator).unwrap();
        let comparison = LoadComparison::of(margin.load, top);
        figures.push(load_bar_figure(&margin, Some(&comparison), "a generic regulator"));
        figures.push(load_bar_figure(&margin, None, "a generic regulator"));
    }
    for shares in [3, 9, 17] {
        for count in [1, 5] {
            let sweeps =
                field.lamps_out(&regulator, LampsOut::EveryGroup, shares, &steps[..count]).unwrap();
            figures.push(crest_map_figure(&sweeps, "a generic regulator"));
        }
    }
    for step in [&steps[0], &steps[4]] {
        let points = field.with_lamps_out(&regulator, LampsOut::EveryGroup, step).unwrap();
        for count in [1, points.len()] {
            let figure = lamps_out_voltage_figure(step, &points[..count], "a generic regulator");
            figures.push(figure.unwrap());
        }
    }
    figures
});

/// The map's shades rise with its numbers, and in grey as well.
#[test]
fn law_shades_darken_with_the_crest_factor() {
    // Luminance by the weights of ITU-R BT.709 (from memory) on the stored values: only its order
    // is used.
    let grey = |degree: u8| {
        let colour = Palette::LIGHT.colour(Ink::Shade(degree));
        0.2126 * f64::from(colour.0) + 0.7152 * f64::from(colour.1) + 0.0722 * f64::from(colour.2)
    };
    for degree in 1..8 {
        assert!(grey(degree - 1) - grey(degree) > 12.0, "degree {degree} is hardly darker");
    }
    let (description, regulator, field) = embedded();
    let steps = description.steps.steps();
    let sweeps = field.lamps_out(&regulator, LampsOut::EveryGroup, 9, steps).unwrap();
    let figure = crest_map_figure(&sweeps, "a generic regulator");
    let items = &figure.panels[0].items;
    let mut cells = Vec::new();
    for pair in items.windows(2) {
        if let [Item::Area { ink: Ink::Shade(degree), .. }, Item::Label { text, .. }] = pair {
            cells.push((text.parse::<f64>().unwrap(), *degree));
        }
    }
    assert!(cells.len() > 40, "{} cells of 45 carry a number", cells.len());
    cells.sort_by(|a, b| a.0.total_cmp(&b.0));
    // A number of two decimals may lie on either side of an edge: equal numbers may differ by one.
    for pair in cells.windows(2) {
        assert!(pair[0].0 >= pair[1].0 || pair[0].1 <= pair[1].1, "{pair:?}");
    }
    assert_eq!((cells[0].1, cells[cells.len() - 1].1), (0, 7), "the scale is used to its ends");
}

/// What cannot be held is a cross and named in the caption, never a number.
#[test]
fn law_a_step_that_is_not_held_is_a_cross() {
    let (description, regulator, field) = embedded();
    let steps = &description.steps.steps()[..1];
    let sweeps = field.lamps_out(&regulator, LampsOut::EveryGroup, 9, steps).unwrap();
    assert!(sweeps[0].limit_ratio.is_some(), "the brightest step is lost before 40 %");
    let figure = crest_map_figure(&sweeps, "a generic regulator");
    let crosses = figure.panels[0]
        .items
        .iter()
        .filter(|item| matches!(item, Item::Label { text, .. } if text == "×"));
    let lost = sweeps[0].points.iter().filter(|point| point.shape.is_none()).count();
    assert_eq!(crosses.count(), lost);
    assert!(figure.caption.contains("not held (×): step 5 from"), "{}", figure.caption);
}

/// The parts of a bar end where the load calculation's sum does.
#[test]
fn law_the_bar_is_as_long_as_the_load() {
    let (_, regulator, field) = embedded();
    let margin = field.margin(&regulator).unwrap();
    let figure = load_bar_figure(&margin, None, "a generic regulator");
    let ends = figure.panels[0].items.iter().filter_map(|item| match item {
        Item::Area { x, .. } => Some(x.1),
        _ => None,
    });
    let end = ends.fold(0.0, f64::max);
    let off = 1e3 * end / margin.load.apparent_va() - 1.0;
    assert!(off.abs() < 1e-12, "rounding of four sums: {off:e}");
}

#[test]
fn law_no_point_is_no_figure() {
    let (description, ..) = embedded();
    let error = lamps_out_voltage_figure(&description.steps.steps()[0], &[], "none").unwrap_err();
    assert!(error.to_string().contains("no voltage to draw"), "{error}");
}
