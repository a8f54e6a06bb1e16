use std::path::Path;
use std::sync::Arc;

use axum::extract::{Request, State};
use axum::response::Response;
use axum::routing::post;

use crate::capture::{DecimalMark, FullScale, Recorded, Separator, Side};
use crate::description::{CaptureOrigin, capture_settings, misspelt};
use crate::error::{Error, Result};
use crate::regulator::{BandSet, CircuitClass, StepTable};
use crate::report::{CaptureDocument, Document};
use crate::units::{Dimension, parse_or_bare};

use super::super::body;
use super::super::desk::Desk;
use super::super::endpoint::Endpoint;
use super::super::problem::Problem;
use super::super::query::Keys;
use super::super::shared::Shared;
use super::answers::{JSON, json_text, of_kind};
use super::situation::SENT_PROBLEMS;

const KEYS: [&str; 19] = [
    "name",
    "column",
    "unit",
    "time-column",
    "time-unit",
    "sample-rate",
    "clamp",
    "separator",
    "decimal",
    "full-scale",
    "side",
    "section",
    "lowest",
    "highest",
    "circuit",
    "bands",
    "from",
    "to",
    "step",
];
const KINDS: [&str; 5] =
    ["application/octet-stream", "text/csv", "text/plain", "audio/wav", "application/vnd.ms-excel"];
/// Most characters of a file's name that are shown.
const NAME_CHARACTERS: usize = 200;
const SEPARATORS: [(&str, Separator); 5] = [
    ("tab", Separator::Tab),
    ("semicolon", Separator::Semicolon),
    ("comma", Separator::Comma),
    ("blanks", Separator::Blanks),
    ("none", Separator::None),
];
const DECIMALS: [(&str, DecimalMark); 2] =
    [("point", DecimalMark::Point), ("comma", DecimalMark::Comma)];
const SIDES: [(&str, Side); 2] = [("primary", Side::Primary), ("secondary", Side::Secondary)];

pub(super) fn endpoints() -> Vec<Endpoint> {
    let words = |known: &[&str]| known.join(", ");
    let query = vec![
        ("name", "the file's name, only to be shown".to_owned(), "scope.csv"),
        ("column", "name or number (from 1) of the column with the current".to_owned(), "2"),
        ("unit", "unit of that column".to_owned(), "A"),
        ("time-column", "name or number of the column with the time, or none".to_owned(), "1"),
        ("time-unit", "unit of the time column".to_owned(), "s"),
        ("sample-rate", "samples per second".to_owned(), "30 kHz"),
        ("clamp", "output of the clamp".to_owned(), "100 mV/A"),
        ("separator", words(&SEPARATORS.map(|(key, _)| key)), "comma"),
        ("decimal", words(&DECIMALS.map(|(key, _)| key)), "point"),
        ("full-scale", "what full scale means".to_owned(), "20 A"),
        ("side", words(&SIDES.map(|(key, _)| key)), "primary"),
        ("section", "number of a section, from 1".to_owned(), "1"),
        ("lowest", "lowest mains frequency looked for".to_owned(), "40 Hz"),
        ("highest", "highest mains frequency looked for".to_owned(), "70 Hz"),
        ("circuit", words(&CircuitClass::ALL.map(CircuitClass::key)), "6.6A-5-step"),
        ("bands", words(&BandSet::ALL.map(BandSet::key)), BandSet::ALL[0].key()),
        ("from", "seconds after the first sample".to_owned(), "0 s"),
        ("to", "seconds after the first sample".to_owned(), "0.5 s"),
        ("step", "number of a step to judge against".to_owned(), "5"),
    ];
    vec![Endpoint {
        query,
        needs_body: true,
        schema: Some("Document"),
        problems: SENT_PROBLEMS,
        ..Endpoint::post(
            "/api/v1/captures",
            "A recorded current, its bytes in the body: what it holds, what each meter shows, which step.",
            &KINDS,
            JSON,
            || post(capture),
        )
    }]
}

fn word<T: Copy>(text: &str, known: &[(&'static str, T)]) -> Result<T> {
    let found = known.iter().find(|(key, _)| *key == text);
    found.map(|(_, value)| *value).ok_or_else(|| {
        let keys: Vec<&str> = known.iter().map(|(key, _)| *key).collect();
        misspelt(format!("one of {}", keys.join(", ")), text, keys.iter().copied())
    })
}

fn number(text: &str) -> Result<usize> {
    text.trim().parse().map_err(|_| Error::malformed("a whole number", format!("\"{text}\"")))
}

/// How the bytes are to be read. The name is shown and nothing else: no file of that name is looked for.
fn origin(keys: &Keys) -> std::result::Result<CaptureOrigin, Problem> {
    let name: String = keys
        .text("name")
        .unwrap_or("capture")
        .chars()
        .map(|letter| if letter.is_control() { ' ' } else { letter })
        .take(NAME_CHARACTERS)
        .collect();
    let (column, time_column) = (keys.text("column"), keys.text("time-column"));
    let second = |text: &str| parse_or_bare(text, Dimension::Time, "s");
    let hertz = |text: &str| parse_or_bare(text, Dimension::Frequency, "Hz");
    let (from_s, to_s) = (keys.read("from", second)?, keys.read("to", second)?);
    let mut origin =
        CaptureOrigin::new(name.into(), column, time_column).with_stretch_s(from_s, to_s);
    let CaptureOrigin { reading, channel, cutting, .. } = &mut origin;
    reading.sample_rate_hz = keys.read("sample-rate", hertz)?;
    reading.separator = keys.read("separator", |text| word(text, &SEPARATORS))?;
    reading.decimal_mark = keys.read("decimal", |text| word(text, &DECIMALS))?;
    reading.time_unit = keys.text("time-unit").map(str::to_owned);
    reading.side = keys.read("side", |text| word(text, &SIDES))?;
    reading.section = keys.read("section", number)?;
    channel.unit = keys.text("unit").map(str::to_owned);
    let clamp = |text: &str| parse_or_bare(text, Dimension::ClampFactor, "V/A");
    channel.clamp_v_per_a = keys.read("clamp", clamp)?;
    channel.full_scale = keys.read("full-scale", FullScale::parse)?;
    cutting.min_frequency_hz = keys.read("lowest", hertz)?.unwrap_or(cutting.min_frequency_hz);
    cutting.max_frequency_hz = keys.read("highest", hertz)?.unwrap_or(cutting.max_frequency_hz);
    Ok(origin)
}

fn table(keys: &Keys) -> std::result::Result<StepTable, Problem> {
    let class = keys.read("circuit", |text| {
        let known = CircuitClass::ALL.map(|class| (class.key(), class));
        word(text, &known)
    })?;
    let class = class.map_or_else(
        || word("6.6A-5-step", &CircuitClass::ALL.map(|class| (class.key(), class))),
        Ok,
    )?;
    let set = keys.read("bands", |text| {
        let known = BandSet::ALL.map(|set| (set.key(), set));
        word(text, &known)
    })?;
    Ok(StepTable::published(class, set.unwrap_or(BandSet::default_for(class)))?)
}

async fn capture(
    State(shared): State<Arc<Shared>>,
    request: Request,
) -> std::result::Result<Response, Problem> {
    let keys = Keys::of(request.uri(), &KEYS)?;
    let (origin, table) = (origin(&keys)?, table(&keys)?);
    let asked = keys.read("step", |text| {
        let known = || table.steps().iter().map(|step| step.number.to_string());
        let found = number(text)?;
        let step = table.steps().iter().find(|step| usize::try_from(step.number) == Ok(found));
        step.cloned().ok_or_else(|| {
            let known: Vec<String> = known().collect();
            Error::malformed(
                format!("a step of {}: {}", table.name(), known.join(", ")),
                format!("step {text}"),
            )
        })
    })?;
    let turn = shared.clients.turn(request.headers())?;
    body::check_kind(request.headers(), &KINDS)?;
    // So many are in memory at once, and no more: the place is taken before the first byte is read.
    let _held = shared.captures.try_acquire().map_err(|_| Desk::busy())?;
    let bytes = body::read(request, shared.limits.capture_bytes, &shared).await?;
    let work = move || {
        let CaptureOrigin { file, reading, channel, cutting } = &origin;
        let noted = Recorded::of_bytes(&bytes, reading, channel, cutting).map_err(named)?;
        let shown: &Path = file;
        let document =
            CaptureDocument::new(shown, &noted.value, &table, asked.as_ref(), &noted.notes);
        Ok(json_text(&Document::Capture(Box::new(document))))
    };
    let text = shared.desk.work(turn, work).await?;
    Ok(of_kind(JSON, text))
}

/// The error with the keys that decide what it is about.
fn named(error: Error) -> Problem {
    let keys = capture_settings(&error);
    let mut problem = Problem::from(error);
    if let Some(first) = keys.first() {
        problem = problem.with_field(*first);
    }
    problem
}
