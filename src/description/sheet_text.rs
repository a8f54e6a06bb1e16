use std::fmt::Write;

use crate::meter::{AccuracyLine, Bandwidth, Clamp, Converter, RangeRule, Sheet, Window};

/// A meter with its sheet as a description writes it, to begin from.
///
/// What the sheet does not say is left out; reading the text gives the same sheet.
#[must_use]
pub fn sheet_text(name: &str, sheet: &Sheet) -> String {
    let mut text = format!(
        "[[meter]]\nname = {}\ndetector = \"{}\"\n\n[meter.sheet]\n",
        toml::Value::from(name),
        sheet.detector.key()
    );
    heads(&mut text, sheet);
    clamp(&mut text, &sheet.clamp);
    for range in &sheet.ranges.list {
        let _ = write!(
            text,
            "\n[[meter.sheet.range]]\nfull-scale = \"{} A\"\nresolution = \"{} A\"\n",
            number(range.full_scale_a),
            number(range.resolution_a)
        );
    }
    if let Bandwidth::Table(lines) = &sheet.bandwidth {
        for line in lines {
            let _ = write!(
                text,
                "\n[[meter.sheet.bandwidth-table]]\nfrequency = \"{} Hz\"\nerror = \"{}\"\n",
                number(line.frequency_hz),
                percent(line.error_ratio)
            );
        }
    }
    crest_and_converter(&mut text, sheet);
    sheet.accuracy.lines.iter().for_each(|line| accuracy(&mut text, line));
    papers(&mut text, sheet);
    text
}

/// The entries that are no tables of their own: they stand first.
fn heads(text: &mut String, sheet: &Sheet) {
    match sheet.ranges.rule {
        RangeRule::Manual(chosen) => {
            if let Some(range) = sheet.ranges.list.get(chosen) {
                let _ = writeln!(text, "range-choice = \"{} A\"", number(range.full_scale_a));
            }
        }
        automatic => {
            let _ = writeln!(text, "range-choice = \"{}\"", automatic.key());
        }
    }
    match &sheet.bandwidth {
        Bandwidth::Unlimited => text.push_str("bandwidth = []\n"),
        Bandwidth::Poles(corners_hz) => {
            let poles: Vec<String> =
                corners_hz.iter().map(|hz| format!("\"{} Hz\"", number(*hz))).collect();
            let _ = writeln!(text, "bandwidth = [{}]", poles.join(", "));
        }
        Bandwidth::Table(_) => {}
    }
    if let Some(hz) = sheet.calibrated_hz {
        let _ = writeln!(text, "calibrated = \"{} Hz\"", number(hz));
    }
    if let Some(ratio) = sheet.position_ratio {
        let _ = writeln!(text, "position = \"{}\"", percent(ratio));
    }
    if let Some(counts) = sheet.display_counts {
        let _ = writeln!(text, "display-counts = {counts}");
    }
    if sheet.clamp == Clamp::Direct {
        text.push_str("clamp = \"direct\"\n");
    }
    if sheet.converter == Converter::Analogue {
        text.push_str("converter = \"analogue\"\n");
    }
}

fn clamp(text: &mut String, clamp: &Clamp) {
    let amperes = |text: &mut String, field: &str, value_a: f64| {
        let _ = writeln!(text, "{field} = \"{} A\"", number(value_a));
    };
    match clamp {
        Clamp::Direct => return,
        Clamp::IronCore(core) => {
            text.push_str("\n[meter.sheet.clamp.iron-core]\n");
            amperes(text, "rated", core.rated_a);
            if let Some(class) = core.class {
                let _ = writeln!(text, "class = \"{}\"", class.key());
            }
            if let Some(hz) = core.low_cutoff_hz {
                let _ = writeln!(text, "low-cutoff = \"{} Hz\"", number(hz));
            }
        }
        Clamp::Hall(hall) => {
            text.push_str("\n[meter.sheet.clamp.hall]\n");
            amperes(text, "offset", hall.offset_a);
            amperes(text, "noise", hall.noise_rms_a);
        }
        Clamp::FlexibleCoil(coil) => {
            text.push_str("\n[meter.sheet.clamp.flexible-coil]\n");
            let _ = writeln!(text, "droop = \"{} Hz\"", number(coil.droop_hz));
            amperes(text, "noise", coil.noise_rms_a);
        }
    }
    if let Some(peak_a) = clamp.saturation_peak_a() {
        amperes(text, "saturation", peak_a);
    }
}

fn crest_and_converter(text: &mut String, sheet: &Sheet) {
    if let Some(crest) = &sheet.crest {
        let _ =
            write!(text, "\n[meter.sheet.crest]\nat-full-scale = {}\n", float(crest.at_full_scale));
        if let Some(cap) = crest.cap {
            let _ = writeln!(text, "cap = {}", float(cap));
        }
        if !crest.bands.is_empty() {
            text.push_str("bands = [\n");
            for band in &crest.bands {
                let (up_to, added) = (float(band.up_to), percent(band.added_ratio));
                let _ = writeln!(text, "    {{ up-to = {up_to}, added = \"{added}\" }},");
            }
            text.push_str("]\n");
        }
    }
    if let Converter::Sampling { bits, sample_rate_hz, window } = sheet.converter {
        let _ = write!(
            text,
            "\n[meter.sheet.converter.sampling]\nbits = {bits}\nsample-rate = \"{} Hz\"\n",
            number(sample_rate_hz)
        );
        if let Window::Free { length_s } = window {
            let _ = writeln!(text, "window = \"{} s\"", number(length_s));
        }
    }
}

fn accuracy(text: &mut String, line: &AccuracyLine) {
    text.push_str("\n[[meter.sheet.accuracy]]\n");
    if let Some(range_a) = line.range_a {
        let _ = writeln!(text, "range = \"{} A\"", number(range_a));
    }
    let _ = write!(
        text,
        "from = \"{} Hz\"\nto = \"{} Hz\"\nreading = \"{}\"\n",
        number(line.from_hz),
        number(line.to_hz),
        percent(line.reading_ratio)
    );
    if line.counts > 0.0 {
        let _ = writeln!(text, "digits = \"{} counts\"", number(line.counts));
    }
    if line.full_scale_ratio > 0.0 {
        let _ = writeln!(text, "full-scale = \"{}\"", percent(line.full_scale_ratio));
    }
    if line.from_share_ratio > 0.0 {
        let _ = writeln!(text, "from-share = \"{}\"", percent(line.from_share_ratio));
    }
}

fn papers(text: &mut String, sheet: &Sheet) {
    if let Some(temperature) = &sheet.temperature {
        let _ = write!(
            text,
            "\n[meter.sheet.temperature]\nlow = \"{} degC\"\nhigh = \"{} degC\"\n\
             coefficient = \"{} %/K\"\n",
            number(temperature.low_degc),
            number(temperature.high_degc),
            number(100.0 * temperature.coefficient_per_k)
        );
    }
    if let Some(category) = &sheet.category {
        let _ = write!(
            text,
            "\n[meter.sheet.category]\ncategory = \"{}\"\nvoltage = \"{} V\"\n",
            category.category.key(),
            number(category.working_v)
        );
    }
    if let Some(certificate) = &sheet.certificate {
        text.push_str("\n[meter.sheet.certificate]\n");
        if certificate.number.is_empty() {
            // A certificate that is still to come; reading asks for both.
            text.push_str("number = \"\"  # as the certificate says\ndate = \"\"  # the same\n");
        } else {
            let number = toml::Value::from(certificate.number.as_str());
            let _ = write!(text, "number = {number}\ndate = \"{}\"\n", certificate.date);
        }
        if let Some(due) = certificate.due {
            let _ = writeln!(text, "due = \"{due}\"");
        }
        let _ = write!(
            text,
            "uncertainty = \"{}\"\ncoverage-factor = {}\n",
            percent(certificate.expanded_ratio),
            float(certificate.coverage_factor)
        );
    }
}

/// A number without the last digits that only come from converting.
fn number(value: f64) -> f64 {
    format!("{value:.11e}").parse().unwrap_or(value)
}

/// A number that TOML takes for no integer.
fn float(value: f64) -> String {
    format!("{:?}", number(value))
}

fn percent(ratio: f64) -> String {
    format!("{} %", number(100.0 * ratio))
}
