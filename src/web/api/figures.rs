use std::sync::Arc;

use axum::extract::State;
use axum::http::{HeaderMap, Uri};
use axum::response::Response;
use axum::routing::get;

use crate::assess::{StepCase, StepResult};
use crate::circuit::SenseLaw;
use crate::description::Description;
use crate::error::{Error, Result};
use crate::meter::Meter;
use crate::plot::{Drawing, Palette, current_figure, drawable, harmonics_figure};
use crate::report::current_csv;
use crate::situation::Seen;
use crate::waveform::Coupling;

use super::super::endpoint::Endpoint;
use super::super::problem::Problem;
use super::super::query;
use super::super::shared::Shared;
use super::answers::{CSV, PNG, SVG, of_kind};
use super::situation::keys;

const PROBLEMS: &[&str] =
    &["malformed", "out-of-range", "inconsistent", "not-converged", "overtaken"];

/// What is made of a situation.
#[derive(Clone, Copy, Debug)]
enum Made {
    Drawing(Drawn, Form),
    Table,
}

#[derive(Clone, Copy, Debug)]
enum Drawn {
    Current,
    Harmonics,
}

#[derive(Clone, Copy, Debug)]
enum Form {
    Svg,
    Png,
}

pub(super) fn endpoints() -> Vec<Endpoint> {
    let of = |path, summary, gives, handler| Endpoint {
        query: keys(),
        problems: PROBLEMS,
        ..Endpoint::get(path, summary, gives, handler)
    };
    vec![
        of("/api/v1/situation/current.svg", "The current against its band, drawn.", SVG, || {
            get(|shared, headers, uri| {
                made(shared, headers, uri, Made::Drawing(Drawn::Current, Form::Svg))
            })
        }),
        of("/api/v1/situation/current.png", "The same drawing in pixels.", PNG, || {
            get(|shared, headers, uri| {
                made(shared, headers, uri, Made::Drawing(Drawn::Current, Form::Png))
            })
        }),
        of("/api/v1/situation/harmonics.svg", "The harmonics of the current, drawn.", SVG, || {
            get(|shared, headers, uri| {
                made(shared, headers, uri, Made::Drawing(Drawn::Harmonics, Form::Svg))
            })
        }),
        of("/api/v1/situation/harmonics.png", "The same drawing in pixels.", PNG, || {
            get(|shared, headers, uri| {
                made(shared, headers, uri, Made::Drawing(Drawn::Harmonics, Form::Png))
            })
        }),
        of("/api/v1/situation/current.csv", "The current, sample by sample.", CSV, || {
            get(|shared, headers, uri| made(shared, headers, uri, Made::Table))
        }),
    ]
}

async fn made(
    State(shared): State<Arc<Shared>>,
    headers: HeaderMap,
    uri: Uri,
    made: Made,
) -> std::result::Result<Response, Problem> {
    let turn = shared.clients.turn(&headers)?;
    let situation = query::situation(&query::pairs(&uri)?, &shared.description)?;
    let at_work = Arc::clone(&shared);
    let work = move || {
        let seen = at_work.solver().seen(&situation)?;
        Ok(bytes(&at_work.description, &seen, made)?)
    };
    let (media_type, bytes) = shared.desk.work(turn, work).await?;
    Ok(of_kind(media_type, bytes))
}

fn bytes(description: &Description, seen: &Seen, made: Made) -> Result<(&'static str, Vec<u8>)> {
    let Made::Drawing(drawn, form) = made else {
        return Ok((CSV, current_csv(&seen.output).into_bytes()));
    };
    if !seen.is_held() {
        return Err(Error::inconsistent(
            "this figure shows a step at its nominal, which is out of reach here",
        )
        .with_hint("current.csv has the current that can be held"));
    }
    let (case, result) = judged(description, seen)?;
    let figure = match drawn {
        Drawn::Current => current_figure(&case, &result),
        Drawn::Harmonics => harmonics_figure(&result),
    };
    let drawing = figure.draw(&Palette::LIGHT)?;
    Ok(match form {
        Form::Svg => (SVG, drawing.svg().as_bytes().to_vec()),
        Form::Png => (PNG, drawing.png(Drawing::DEFAULT_PNG_WIDTH_PX)?),
    })
}

/// What is seen as the case of a step, in characters the figures have.
fn judged(description: &Description, seen: &Seen) -> Result<(StepCase, StepResult)> {
    let output = seen.output.clone();
    let waveform = match seen.sense {
        // A control that senses the average holds another true RMS: the shape is judged at the nominal.
        SenseLaw::RectifiedMean if seen.is_held() => {
            output.scaled_to_rms(seen.step.nominal.a(), Coupling::Dc)?
        }
        _ => output,
    };
    let case = StepCase { step: seen.step.clone(), waveform, origin: drawable(&seen.words) };
    let named = |meter: &Meter| Meter { name: drawable(&meter.name), ..meter.clone() };
    let meters: Vec<Meter> = seen.meters.iter().map(|seen| named(&seen.meter)).collect();
    let result = StepResult::new(&case, &meters, &description.lamp, description.rated())?;
    Ok((case, result))
}
