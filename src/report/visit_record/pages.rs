//! A visit's record as pages.

use crate::error::Result;
use crate::plot::{Palette, output_waveforms_figure, visit_readings_figure};
use crate::procedure::entry::Output;
use crate::procedure::{Bench, Visit};
use crate::report::paper::{Block, Cell, Column, Fact, Part, Picture, Table, Writing};
use crate::report::{
    NotePart, bare_share, plain_number, plain_percent, probability, ratio_as_exact_percent,
    signed_amperes,
};

use super::entry_words::{display_number, display_span};
use super::trail::{answers, chain, corrections, minutes};
use super::visit_record_document::SetPart;
use super::{VisitReadingPart, VisitRecordDocument};

/// What stands where a number was not read.
const NOT_READ: &str = "not read";
const NOT_STATED: &str = "not stated";

/// The figures of a record: the readings against the bands, and the current at the top step with
/// both outputs.
///
/// # Errors
/// As [`Figure::draw`](crate::plot::Figure::draw).
pub fn visit_figures(visit: &Visit, bench: &Bench) -> Result<Vec<Picture>> {
    let steps: Vec<u32> = bench.steps().steps().iter().map(|step| step.number).collect();
    let mut figures = vec![visit_readings_figure(visit, &steps)];
    let top = bench.steps().top().number;
    if let Some(shorted) = bench.currents(top, Output::Shorted) {
        figures.push(output_waveforms_figure(shorted, bench.currents(top, Output::Field)));
    }
    let picture = |figure: crate::plot::Figure| {
        let drawing = figure.draw(&Palette::LIGHT)?;
        Ok(Picture { alternative: format!("{}. {}", figure.title, figure.caption), drawing })
    };
    figures.into_iter().map(picture).collect()
}

/// The record as a text for paper and screen.
#[must_use]
pub fn visit_writing(record: &VisitRecordDocument, figures: Vec<Picture>) -> Writing {
    let mut figures = figures.into_iter();
    let mut blocks = head(record);
    blocks.extend(summary(record));
    blocks.extend(figures.next().map(Block::Figure));
    for output in [Output::Shorted, Output::Field] {
        blocks.extend(readings(record, output));
    }
    blocks.extend(differences(record));
    blocks.extend(protection(record));
    blocks.extend(remarks(record));
    blocks.extend(meter(record));
    blocks.extend(figures.map(Block::Figure));
    blocks.extend(corrections(record));
    blocks.extend(answers(record));
    blocks.push(Block::Heading("Cautions and limits".into()));
    blocks.push(caution(&record.cautions));
    blocks.push(Block::Items(record.limits.iter().map(|&limit| limit.to_owned()).collect()));
    blocks.extend(chain(record));
    let place = record.place.as_deref().map_or(String::new(), |place| format!(", {place}"));
    let hash: String = record.last_hash.chars().take(12).collect();
    Writing {
        title: format!("Visit {}: regulator {}, {}", record.visit, record.regulator, record.day),
        program: format!(
            "{}; entry {} of the logbook, hash {hash}...",
            record.program, record.last_entry
        ),
        at: record.last_at.parse().ok(),
        parts: vec![Part {
            head_left: format!("Regulator {}{place}", record.regulator),
            head_right: format!("visit {}, {}", record.visit, record.day),
            blocks,
            on_one_sheet: false,
            on_own_leaf: false,
        }],
    }
}

/// Above the cautions, the same on every page that leads to the equipment.
pub(in crate::report) const CAUTION_HEAD: &str = "Before anyone goes to the regulator";

/// The cautions in their frame.
fn caution(sentences: &[&str]) -> Block {
    Block::Caution {
        head: CAUTION_HEAD.into(),
        sentences: sentences.iter().map(|&sentence| sentence.to_owned()).collect(),
    }
}

fn head(record: &VisitRecordDocument) -> Vec<Block> {
    let mut blocks = vec![Block::Title(format!("Record of visit {}", record.visit))];
    if record.invented {
        blocks.push(Block::Strong(
            "An invented example: place, equipment and numbers are made up.".into(),
        ));
    }
    if record.state != "complete" {
        blocks.push(Block::Strong(format!("This visit is {}.", record.state)));
    }
    if let Some(misfit) = &record.misfit {
        blocks.push(Block::Caution {
            head: "NOT AS IT WAS WRITTEN".into(),
            sentences: vec![
                format!("{}.", sentence_case(misfit)),
                "What stands below cannot be relied on: look through the whole logbook, and restore the \
                 last backup."
                    .into(),
            ],
        });
    }
    if !record.doubts.is_empty() {
        blocks.push(Block::Caution {
            head: "IN DOUBT".into(),
            sentences: record.doubts.iter().map(|doubt| format!("{}.", doubt.words)).collect(),
        });
    }
    if !record.dangers.is_empty() {
        blocks.push(Block::Caution {
            head: "DANGER".into(),
            sentences: record.dangers.iter().map(|danger| format!("{danger}.")).collect(),
        });
    }
    let is_without_sheet = |note: &&NotePart| note.code == Bench::NO_SHEET;
    let without = record.notes.iter().filter(is_without_sheet);
    blocks.extend(without.map(|note| Block::Strong(format!("{}.", sentence_case(&note.text)))));
    let with = |name: &str, more: Option<&String>, words: &str| {
        more.map_or(name.to_owned(), |more| format!("{name}{words}{more}"))
    };
    let certificate = record.certificate.as_ref().map(|certificate| {
        let due = certificate.due.as_ref();
        let due = due.map_or("no due day".to_owned(), |due| format!("due {due}"));
        let overdue = if certificate.is_overdue { ", OVERDUE on the day" } else { "" };
        format!(
            "{} of {}, {due}{overdue}; {} (k = {})",
            certificate.number,
            certificate.date,
            plain_percent(certificate.expanded_ratio),
            plain_number(certificate.coverage_factor)
        )
    });
    let conditions = &record.conditions;
    let next_due = record.closing.as_ref().and_then(|closing| closing.next_due.clone());
    blocks.push(Block::Facts(vec![
        Fact::new(
            "Regulator",
            with(&record.regulator, record.regulator_serial.as_ref(), ", serial "),
        ),
        Fact::known("Place", record.place.clone(), NOT_STATED),
        Fact::known(
            "Circuit",
            record.circuit.as_ref().map(|circuit| with(circuit, record.lights.as_ref(), ": ")),
            NOT_STATED,
        ),
        Fact::new("Description", record.title.clone()),
        Fact::new("Meter", with(&record.meter, record.meter_serial.as_ref(), ", serial ")),
        Fact::new("Detector", record.detector.clone()),
        Fact::known("Certificate", certificate, "none in the data sheet"),
        Fact::new("Day", record.day.clone()),
        Fact::new("Done by", record.person.clone()),
        Fact::known(
            "Temperature",
            conditions.ambient_degc.map(|degc| format!("{} °C", plain_number(degc))),
            NOT_READ,
        ),
        Fact::known(
            "Supply voltage",
            conditions.supply_rms_v.map(|v| format!("{} V RMS", plain_number(v))),
            NOT_READ,
        ),
        Fact::known("Output tap", conditions.tap.clone(), NOT_STATED),
        Fact::known("Conditions", conditions.remark.clone(), NOT_STATED),
        Fact::new("Procedure", record.procedure.clone()),
        Fact::new("State", record.state),
        Fact::known("Next due day", next_due, NOT_STATED),
    ]));
    blocks
}

fn find<'a>(
    record: &'a VisitRecordDocument,
    step: u32,
    output: Output,
    moment: &str,
) -> Option<&'a VisitReadingPart> {
    let is_it = |reading: &&VisitReadingPart| {
        reading.step == step && reading.output == output.key() && reading.moment == moment
    };
    record.readings.iter().find(is_it)
}

/// The step's story in one line: what was found, what was left, what the field got.
fn summary(record: &VisitRecordDocument) -> Vec<Block> {
    let true_words = |reading: Option<&VisitReadingPart>| {
        let Some(reading) = reading else { return Cell::Absent(NOT_READ.into()) };
        Cell::known(reading.true_rms_a.map(|a| format!("{a:.3}")), "not judged")
    };
    let rows = record.steps.iter().map(|part| {
        let step = &part.step;
        let field = find(record, step.number, Output::Field, "as-left")
            .or_else(|| find(record, step.number, Output::Field, "as-found"));
        let left = find(record, step.number, Output::Shorted, "as-left");
        vec![
            Cell::text(step.number.to_string()),
            Cell::text(format!("{:.2}", step.nominal_rms_a)),
            Cell::text(format!("{:.2} to {:.2}", step.band_low_a, step.band_high_a)),
            true_words(find(record, step.number, Output::Shorted, "as-found")),
            true_words(left),
            outcome(left.and_then(|left| left.simple.as_ref())),
            true_words(field),
            outcome(field.and_then(|field| field.simple.as_ref())),
        ]
    });
    let mut blocks = vec![
        Block::Heading("In short".into()),
        Block::Table(Table::new(
            "True RMS current of each step, best estimate",
            vec![
                Column::words("step"),
                Column::numbers("nominal A"),
                Column::words("band A"),
                Column::numbers("shorted, as found A"),
                Column::numbers("shorted, as left A"),
                Column::words("as left, simple"),
                Column::numbers("with the field A"),
                Column::words("field, simple"),
            ],
            rows.collect(),
        )),
    ];
    let mut sources: Vec<String> = Vec::new();
    for part in &record.steps {
        let source = match &part.step.band_remark {
            Some(remark) => {
                format!("Step {}: {}; {remark}.", part.step.number, part.step.band_source)
            }
            None => format!("Bands: {}.", part.step.band_source),
        };
        if !sources.contains(&source) {
            sources.push(source);
        }
    }
    blocks.extend(sources.into_iter().map(Block::Small));
    blocks
}

/// "pass" and "fail" as words; a fail stands out.
fn outcome(key: Option<&String>) -> Cell {
    match key {
        None => Cell::Absent("not judged".into()),
        Some(key) if key == "pass" => Cell::text("pass"),
        Some(key) => Cell::Strong(key.replace('-', " ")),
    }
}

fn readings(record: &VisitRecordDocument, output: Output) -> Vec<Block> {
    let mut blocks = vec![Block::Heading(match output {
        Output::Shorted => "Readings, output shorted".into(),
        Output::Field => "Readings, field connected".into(),
    })];
    let mut doubts = Vec::new();
    for (moment, words) in [("as-found", "As found"), ("as-left", "As left")] {
        let found: Vec<&VisitReadingPart> = record
            .readings
            .iter()
            .filter(|reading| reading.output == output.key() && reading.moment == moment)
            .collect();
        if found.is_empty() {
            blocks.push(Block::Paragraph(format!("{words}: {NOT_READ} at any step.")));
            continue;
        }
        let missing: Vec<String> = record
            .steps
            .iter()
            .map(|part| part.step.number)
            .filter(|step| find(record, *step, output, moment).is_none())
            .map(|step| step.to_string())
            .collect();
        blocks.push(Block::Table(Table::new(
            words,
            columns(),
            found.iter().map(|r| row(r)).collect(),
        )));
        if !missing.is_empty() {
            blocks
                .push(Block::Small(format!("{words}: {NOT_READ} at step {}.", missing.join(", "))));
        }
        for reading in found {
            for doubt in &reading.doubts {
                doubts.push(format!(
                    "Step {}, {}, entry {}: {}",
                    reading.step,
                    words.to_lowercase(),
                    reading.entry,
                    doubt.text
                ));
            }
        }
    }
    if !doubts.is_empty() {
        blocks.push(Block::Subheading("Doubted when they were entered, and kept".into()));
        blocks.push(Block::Items(doubts));
    }
    blocks
}

fn columns() -> Vec<Column> {
    vec![
        Column::words("step"),
        Column::numbers("shown A"),
        Column::numbers("must show A"),
        Column::numbers("true RMS A"),
        Column::numbers("± U A (k)"),
        Column::numbers("in band with %"),
        Column::words("simple acceptance"),
        Column::words("guard band of U"),
        Column::numbers("light %"),
        Column::numbers("lamp life x"),
        Column::numbers("entry"),
    ]
}

fn row(reading: &VisitReadingPart) -> Vec<Cell> {
    let set_band = reading.set_low_a.zip(reading.set_high_a);
    let is_fit = reading.suitability.as_deref() != Some("not-fit");
    let must_show = set_band.filter(|_| is_fit).map(|(low_a, high_a)| display_span(low_a, high_a));
    let expanded = reading.expanded_uncertainty_a.zip(reading.coverage_factor);
    vec![
        Cell::text(reading.step.to_string()),
        Cell::Strong(display_number(reading.shown_a)),
        Cell::known(must_show, if is_fit { "none" } else { "meter not fit" }),
        Cell::known(reading.true_rms_a.map(|a| format!("{a:.3}")), "not judged"),
        Cell::known(expanded.map(|(half, k)| format!("{half:.3} ({k:.2})")), "not judged"),
        Cell::known(
            reading
                .conformance_probability
                .map(|p| probability(p).trim_end_matches(" %").to_owned()),
            "not judged",
        ),
        outcome(reading.simple.as_ref()),
        outcome(reading.guarded.as_ref()),
        Cell::known(
            reading.light_ratio.map(bare_share),
            reading.light_beyond_law.unwrap_or("beyond the law"),
        ),
        Cell::known(
            reading.life_ratio.map(|ratio| format!("{ratio:.2}")),
            reading.life_beyond_law.unwrap_or("beyond the law"),
        ),
        Cell::text(reading.entry.to_string()),
    ]
}

fn differences(record: &VisitRecordDocument) -> Vec<Block> {
    if record.differences.is_empty() {
        return Vec::new();
    }
    let rows = record.differences.iter().map(|part| {
        let mark = if part.may_be_two_settings { " *" } else { "" };
        vec![
            Cell::text(format!("{}{mark}", part.step)),
            Cell::text(display_number(part.shorted_shown_a)),
            Cell::text(display_number(part.field_shown_a)),
            Cell::text(signed_amperes(part.shown_a)),
            Cell::known(part.true_rms_a.map(signed_amperes), "not judged"),
            Cell::text(format!("{:.3}", part.half_band_a)),
            match part.is_within {
                None => Cell::Absent("not judged".into()),
                Some(true) => Cell::text("yes"),
                Some(false) => Cell::Strong("NO".into()),
            },
        ]
    });
    let mut blocks = vec![
        Block::Heading("Shorted against field".into()),
        Block::Table(Table::new(
            "The last reading of each step, field minus shorted",
            vec![
                Column::words("step"),
                Column::numbers("shorted, shown A"),
                Column::numbers("field, shown A"),
                Column::numbers("difference shown A"),
                Column::numbers("difference of true RMS A"),
                Column::numbers("half of the band A"),
                Column::words("within it"),
            ],
            rows.collect(),
        )),
        Block::Small(format!(
            "A difference larger than the tolerance points to a fault of the field loop or the \
             regulator: {}. Taken here as half of the step's band; our own choice.",
            record.differences_source
        )),
    ];
    if record.differences.iter().any(|part| part.may_be_two_settings) {
        blocks.push(Block::Strong(
            "* read as found only, not as left: if the step was adjusted after that, this compares two \
             settings."
                .into(),
        ));
    }
    let explained = record.answers.iter().find(|answer| answer.item == "differences");
    if let Some(text) = explained.and_then(|answer| answer.text.as_ref()) {
        blocks.push(Block::Paragraph(format!("Explained as: {text}")));
    }
    blocks
}

fn protection(record: &VisitRecordDocument) -> Vec<Block> {
    let mut blocks = vec![Block::Heading("Protection".into())];
    if record.proofs.is_empty() {
        blocks.push(Block::Paragraph("No protection was tried.".into()));
        return blocks;
    }
    let rows = record.proofs.iter().map(|proof| {
        let limit = |value: Option<f64>| value.map_or("open".to_owned(), |s| format!("{s} s"));
        let limits = (proof.shortest_s.is_some() || proof.longest_s.is_some())
            .then(|| format!("{} to {}", limit(proof.shortest_s), limit(proof.longest_s)));
        vec![
            Cell::text(format!("{}, {}", proof.protection, output_words(proof.output))),
            Cell::known(proof.set_rms_a.map(|a| format!("{a:.3}")), NOT_STATED),
            Cell::known(proof.shown_a.map(display_number), NOT_READ),
            match proof.true_rms_a {
                Some(a) if proof.at_set_point == Some(false) => Cell::Strong(format!("{a:.3}")),
                other => Cell::known(other.map(|a| format!("{a:.3}")), "not judged"),
            },
            if proof.acted { Cell::text("yes") } else { Cell::Strong("NO".into()) },
            Cell::known(proof.time_s.map(plain_number), NOT_READ),
            Cell::known(limits, NOT_STATED),
            match proof.in_time {
                None if proof.is_untimed => Cell::Strong("NOT TIMED".into()),
                None => Cell::Absent("not judged".into()),
                Some(true) => Cell::text("yes"),
                Some(false) => Cell::Strong("NO".into()),
            },
            Cell::text(proof.entry.to_string()),
        ]
    });
    blocks.push(Block::Table(Table::new(
        "Protections set and tried",
        vec![
            Column::words("protection"),
            Column::numbers("set-point, true RMS A"),
            Column::numbers("shown A"),
            Column::numbers("true RMS A"),
            Column::words("acted"),
            Column::numbers("after s"),
            Column::words("allowed"),
            Column::words("in time"),
            Column::numbers("entry"),
        ],
        rows.collect(),
    )));
    for proof in &record.proofs {
        let short = proof.shortfalls.iter();
        blocks.extend(short.map(|text| Block::Strong(format!("Entry {}: {text}.", proof.entry))));
        let source = proof.limits_source.as_deref().unwrap_or(NOT_STATED);
        let within = proof.set_within_ratio.map_or(String::new(), |ratio| {
            format!(
                " It counts as at its set-point within {} of it.",
                ratio_as_exact_percent(ratio)
            )
        });
        blocks.push(Block::Small(format!("Entry {}: limits {source}.{within}", proof.entry)));
        if let Some(remark) = &proof.remark {
            blocks.push(Block::Paragraph(format!("Entry {}: {remark}", proof.entry)));
        }
    }
    blocks
}

/// The words with a capital at their beginning.
fn sentence_case(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

fn output_words(key: &str) -> &'static str {
    if key == Output::Field.key() { Output::Field.words() } else { Output::Shorted.words() }
}

fn remarks(record: &VisitRecordDocument) -> Vec<Block> {
    let mut said: Vec<String> = record
        .remarks
        .iter()
        .map(|remark| {
            format!(
                "{} ({}, {}, entry {})",
                remark.text,
                remark.by,
                minutes(&remark.at),
                remark.entry
            )
        })
        .collect();
    let closing = record.closing.as_ref();
    said.extend(closing.and_then(|closing| closing.remark.clone()));
    if said.is_empty() {
        return Vec::new();
    }
    vec![Block::Heading("Remarks".into()), Block::Items(said)]
}

/// What was known of the meter beforehand, and how readings were decided.
fn meter(record: &VisitRecordDocument) -> Vec<Block> {
    let set = |set: Option<&SetPart>| match set {
        None => (Cell::Absent("not known".into()), Cell::Absent("not known".into())),
        Some(set) => {
            let band = set.low_a.zip(set.high_a).filter(|_| set.suitability != "not-fit");
            let band = band.map(|(low_a, high_a)| display_span(low_a, high_a));
            let words = set.suitability.replace('-', " ");
            let verdict = if set.is_dangerous {
                Cell::Strong(format!("DANGER; by its numbers {words}"))
            } else if set.suitability == "fit" {
                Cell::Text(words)
            } else {
                Cell::Strong(words)
            };
            (verdict, Cell::known(band, "none"))
        }
    };
    let rows = record.steps.iter().map(|part| {
        let (shorted, shorted_band) = set(part.shorted.as_ref());
        let (field, field_band) = set(part.field.as_ref());
        let number = Cell::text(part.step.number.to_string());
        vec![number, shorted, shorted_band, field, field_band]
    });
    let mut blocks = vec![
        Block::Heading("The meter, the uncertainty and the decision".into()),
        Block::Table(Table::new(
            "May this meter set this step, and what must it show?",
            vec![
                Column::words("step"),
                Column::words("output shorted"),
                Column::numbers("must show A"),
                Column::words("field connected"),
                Column::numbers("must show A"),
            ],
            rows.collect(),
        )),
    ];
    let mut reasons: Vec<String> = Vec::new();
    for part in &record.steps {
        for (set, output) in [(&part.shorted, Output::Shorted), (&part.field, Output::Field)] {
            let Some(set) = set.as_ref().filter(|set| set.suitability != "fit") else { continue };
            reasons.push(format!(
                "Step {}, {}: {}",
                part.step.number,
                output.words(),
                set.sentence
            ));
        }
    }
    if !reasons.is_empty() {
        blocks.push(Block::Items(reasons));
    }
    blocks.push(Block::Paragraph(format!(
        "A reading is the number on the display. Its true RMS current is estimated by the meter's data \
         sheet and certificate over the currents that are possible; U is the expanded uncertainty with \
         its coverage factor k. \"In band with\" is the probability that the true current lies in the \
         band; the set-band asks for {}. Decision rules: {}.",
        ratio_as_exact_percent(record.conformance_probability),
        record.rules.join(", and ")
    )));
    blocks.extend(record.notes.iter().map(|note| Block::Small(note.text.clone())));
    blocks
}
