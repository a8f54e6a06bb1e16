//! A slider on the page: its first frame as a picture and as text, the others as data for the script.

use std::collections::HashMap;
use std::fmt::Write;

use serde_json::{Value, json};

use super::words::escaped;
use super::{Quantity, Slider, SliderAxis, SliderFrame, SliderReading};

// Places in the picture of the current, in its own units.
const WIDTH: f64 = 400.0;
const HEIGHT: f64 = 236.0;
const LEFT: f64 = 40.0;
const RIGHT: f64 = 392.0;
const TOP: f64 = 12.0;
const BOTTOM: f64 = 208.0;
/// Half of the scale of where the current lands: so far from the nominal.
const GAUGE_RATIO: f64 = 0.10;
const GAUGE_LEFT: f64 = 20.0;
const GAUGE_RIGHT: f64 = 380.0;
/// Rows of the table for a reader without script.
const TABLE_ROWS: usize = 60;

pub(super) fn slider(html: &mut String, slider: &Slider) {
    let name = escaped(&slider.name);
    let _ = writeln!(
        html,
        "<figure class=\"slider\" id=\"slider-{name}\" data-slider><figcaption>{}</figcaption>",
        slider.title.html
    );
    let first = &slider.frames[0];
    controls(html, slider, &name);
    let _ = writeln!(html, "<p class=\"out\" data-held=\"0\">{}</p>", escaped(&first.held_words));
    current(html, slider, first);
    readout(html, "circuit", &Slider::CIRCUIT, &first.circuit);
    if let Some(reading) = first.meters.first() {
        gauge(html, first, reading);
        readout(html, "meter", &Slider::METER, &reading.shown);
        let _ = writeln!(html, "<p class=\"why\" data-why=\"0\">{}</p>", escaped(&reading.reason));
    }
    if slider.frames.iter().any(|frame| !frame.notes.is_empty()) {
        let noticed = escaped(&noticed(first));
        let _ = writeln!(html, "<p class=\"noticed\" data-noticed=\"0\">{noticed}</p>");
    }
    without_script(html, slider);
    let mut origin = escaped(&slider.origin);
    for note in &slider.notes {
        let _ = write!(origin, "; {}", escaped(note));
    }
    let _ = writeln!(html, "<p class=\"muted\">{origin}.</p>");
    // "<" could end the element it stands in.
    let data = data(slider).to_string().replace('<', "\\u003c");
    let _ = writeln!(html, "<script type=\"application/json\">{data}</script>\n</figure>");
}

/// What has to be said about one frame, in one line.
fn noticed(frame: &SliderFrame) -> String {
    frame.notes.join("; ")
}

/// The axes that have something to move, the meters as the last of them.
fn moving(slider: &Slider) -> Vec<(&str, &str, &[String], bool)> {
    let mut axes: Vec<(&str, &str, &[String], bool)> = slider
        .axes
        .iter()
        .map(|axis| (axis.key, axis.words, axis.settings.as_slice(), false))
        .collect();
    axes.push(("meter", "Meter", &slider.meters, true));
    axes.retain(|(_, _, settings, _)| settings.len() > 1);
    axes
}

fn controls(html: &mut String, slider: &Slider, name: &str) {
    let fixed: Vec<String> = slider
        .axes
        .iter()
        .filter(|axis| axis.settings.len() == 1 && axis.settings[0] != SliderAxis::AS_DESCRIBED)
        .map(|axis| format!("{} {}", axis.words.to_lowercase(), axis.settings[0]))
        .chain((slider.meters.len() == 1).then(|| format!("meter: {}", slider.meters[0])))
        .collect();
    if !fixed.is_empty() {
        let _ = writeln!(html, "<p class=\"muted\">{}</p>", escaped(&fixed.join("; ")));
    }
    html.push_str("<div class=\"controls\" data-live hidden>\n");
    for (key, words, settings, _) in moving(slider) {
        let id = format!("slider-{name}-{key}");
        let _ = writeln!(
            html,
            "<div><label for=\"{id}\">{words}</label> <output for=\"{id}\">{}</output>\n\
             <input type=\"range\" id=\"{id}\" min=\"0\" max=\"{}\" step=\"1\" value=\"0\" \
             autocomplete=\"off\" aria-valuetext=\"{}\"></div>",
            escaped(&settings[0]),
            settings.len() - 1,
            escaped(&settings[0]),
        );
    }
    html.push_str("</div>\n");
}

fn readout(html: &mut String, data: &str, names: &[&str], shown: &[String]) {
    html.push_str("<dl class=\"readout\">\n");
    for (at, (name, shown)) in names.iter().zip(shown).enumerate() {
        let words = Quantity::named(name).map_or(*name, |quantity| quantity.words);
        let _ = writeln!(
            html,
            "<div><dt>{words}</dt><dd data-{data}=\"{at}\">{}</dd></div>",
            escaped(shown)
        );
    }
    html.push_str("</dl>\n");
}

fn height(slider: &Slider, current_a: f64) -> f64 {
    let middle = 0.5 * (TOP + BOTTOM);
    middle - current_a / slider.scale_a * (middle - TOP)
}

fn step(frame: &SliderFrame) -> f64 {
    (RIGHT - LEFT) / (frame.current_a.len() - 1) as f64
}

fn current(html: &mut String, slider: &Slider, first: &SliderFrame) {
    let _ = writeln!(
        html,
        "<svg viewBox=\"0 0 {WIDTH} {HEIGHT}\" role=\"img\" aria-label=\"Output current over one period, \
         with its true RMS as a dashed line\">"
    );
    for part in [-1.0, -0.5, 0.0, 0.5, 1.0] {
        let y = height(slider, part * slider.scale_a);
        let class = if part == 0.0 { "axis" } else { "grid" };
        let _ = writeln!(
            html,
            "<line class=\"{class}\" x1=\"{LEFT}\" y1=\"{y:.1}\" x2=\"{RIGHT}\" y2=\"{y:.1}\"/>\
             <text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">{}</text>",
            LEFT - 5.0,
            y + 4.0,
            part * slider.scale_a
        );
    }
    for part in [0.0, 0.25, 0.5, 0.75, 1.0] {
        let x = LEFT + part * (RIGHT - LEFT);
        let anchor = if part > 0.9 { "end" } else { "middle" };
        let _ = writeln!(
            html,
            "<text x=\"{x:.1}\" y=\"{:.1}\" text-anchor=\"{anchor}\">{:.1}</text>",
            BOTTOM + 13.0,
            1e3 * part * slider.period_s
        );
    }
    let _ = writeln!(
        html,
        "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"middle\">time in ms</text>\
         <text x=\"4\" y=\"9\">A</text>",
        0.5 * (LEFT + RIGHT),
        BOTTOM + 26.0
    );
    let mut points = String::new();
    for (k, current_a) in first.current_a.iter().enumerate() {
        let (x, y) = ((k as f64).mul_add(step(first), LEFT), height(slider, *current_a));
        let _ = write!(points, "{x:.1},{y:.1} ");
    }
    let y = height(slider, first.true_rms_a);
    let _ = writeln!(
        html,
        "<line class=\"rms\" x1=\"{LEFT}\" y1=\"{y:.1}\" x2=\"{RIGHT}\" y2=\"{y:.1}\"/>\
         <text class=\"rms-word\" x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">true RMS</text>\n\
         <polyline class=\"wave\" points=\"{}\"/></svg>",
        RIGHT - 2.0,
        y - 4.0,
        points.trim_end()
    );
}

fn gauge_place(ratio: f64) -> f64 {
    let middle = 0.5 * (GAUGE_LEFT + GAUGE_RIGHT);
    let part = (ratio / GAUGE_RATIO).clamp(-1.0, 1.0);
    part.mul_add(0.5 * (GAUGE_RIGHT - GAUGE_LEFT), middle)
}

fn gauge(html: &mut String, frame: &SliderFrame, reading: &SliderReading) {
    let (low, high) = (gauge_place(frame.band_ratio.0), gauge_place(frame.band_ratio.1));
    let place = reading.trimmed_ratio.map(gauge_place);
    let percent = 100.0 * GAUGE_RATIO;
    let middle = gauge_place(0.0);
    let _ = writeln!(
        html,
        "<svg viewBox=\"0 0 {WIDTH} 74\" role=\"img\" aria-label=\"Where the true current lands once the step is \
         set by this meter, against the band\">\n\
         <text x=\"{GAUGE_LEFT}\" y=\"11\">true current once set by this meter, and the band</text>\n\
         <rect class=\"band\" x=\"{low:.1}\" y=\"30\" width=\"{:.1}\" height=\"20\"/>\n\
         <line class=\"axis\" x1=\"{GAUGE_LEFT}\" y1=\"50\" x2=\"{GAUGE_RIGHT}\" y2=\"50\"/>\
         <line class=\"axis\" x1=\"{middle}\" y1=\"30\" x2=\"{middle}\" y2=\"55\"/>\n\
         <text x=\"{GAUGE_LEFT}\" y=\"67\" text-anchor=\"middle\">-{percent} %</text>\
         <text x=\"{middle}\" y=\"67\" text-anchor=\"middle\">nominal</text>\
         <text x=\"{GAUGE_RIGHT}\" y=\"67\" text-anchor=\"middle\">+{percent} %</text>\n\
         <path class=\"mark\" d=\"M0 46L-7 20L7 20Z\" visibility=\"{}\" transform=\"translate({:.1} 0)\"/></svg>",
        high - low,
        if place.is_some() { "visible" } else { "hidden" },
        place.unwrap_or(middle)
    );
}

fn without_script(html: &mut String, slider: &Slider) {
    html.push_str(
        "<noscript><p>Without script the sliders do not move; the settings in numbers:</p>\n",
    );
    html.push_str("<div class=\"wide\" tabindex=\"0\"><table><thead><tr>");
    let axes: Vec<_> = slider.axes.iter().filter(|axis| axis.settings.len() > 1).collect();
    for axis in &axes {
        let _ = write!(html, "<th>{}</th>", axis.words);
    }
    html.push_str("<th>true RMS</th><th>crest factor</th>");
    for meter in &slider.meters {
        let _ = write!(html, "<th>{} shows</th><th>error</th><th>verdict</th>", escaped(meter));
    }
    html.push_str("</tr></thead><tbody>\n");
    for (at, frame) in slider.frames.iter().enumerate().take(TABLE_ROWS) {
        html.push_str("<tr>");
        for (axis, words) in slider.axes.iter().zip(slider.settings(at)) {
            if axis.settings.len() > 1 {
                let _ = write!(html, "<td>{}</td>", escaped(words));
            }
        }
        let _ = write!(html, "<td>{}</td><td>{}</td>", frame.circuit[0], frame.circuit[1]);
        for reading in &frame.meters {
            let [shown, error, _, _, verdict] = reading.shown.as_slice() else { continue };
            let _ = write!(html, "<td>{shown}</td><td>{error}</td><td>{verdict}</td>");
        }
        html.push_str("</tr>\n");
    }
    html.push_str("</tbody></table></div>\n");
    if slider.frames.len() > TABLE_ROWS {
        let _ = writeln!(html, "<p>{} further settings.</p>", slider.frames.len() - TABLE_ROWS);
    }
    html.push_str("</noscript>\n");
}

/// Places in tenths of the picture's unit: finer than any screen shows.
fn tenths(place: f64) -> i64 {
    (10.0 * place).round() as i64
}

fn data(slider: &Slider) -> Value {
    let reading = |reading: &SliderReading| {
        json!({
            "x": reading.trimmed_ratio.map(|ratio| tenths(gauge_place(ratio))),
            "d": reading.shown,
            "w": reading.reason,
        })
    };
    // Frames share most of what is said of them.
    let mut notes: Vec<&str> = Vec::new();
    let mut places: HashMap<&str, usize> = HashMap::new();
    for note in slider.frames.iter().flat_map(|frame| &frame.notes) {
        places.entry(note).or_insert_with(|| {
            notes.push(note);
            notes.len() - 1
        });
    }
    let frame = |frame: &SliderFrame| {
        let points: Vec<i64> =
            frame.current_a.iter().map(|current_a| tenths(height(slider, *current_a))).collect();
        json!({
            "p": points,
            "r": tenths(height(slider, frame.true_rms_a)),
            "c": frame.circuit,
            "n": frame.held_words,
            "o": frame.notes.iter().map(|note| places[note.as_str()]).collect::<Vec<_>>(),
            "g": [tenths(gauge_place(frame.band_ratio.0)), tenths(gauge_place(frame.band_ratio.1))],
            "m": frame.meters.iter().map(reading).collect::<Vec<_>>(),
        })
    };
    let axes: Vec<Value> = moving(slider)
        .into_iter()
        .map(|(key, _, settings, meter)| json!({"key": key, "settings": settings, "meter": meter}))
        .collect();
    json!({
        "x": LEFT,
        "dx": slider.frames.first().map_or(1.0, step),
        "axes": axes,
        "notes": notes,
        "frames": slider.frames.iter().map(frame).collect::<Vec<_>>(),
    })
}
