use std::sync::Arc;

use axum::extract::{Request, State};
use axum::response::Response;
use axum::routing::{get, post};

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
use super::super::sent::Sent;
use super::super::shared::Shared;
use super::answers::{CSV, PNG, SVG, of_kind};
use super::situation::{Asked, PROBLEMS, SENT_PROBLEMS, keys};

/// What is made of a situation.
#[derive(Clone, Copy, Debug)]
enum Made {
    Current(Form),
    Harmonics(Form),
    Csv,
}

#[derive(Clone, Copy, Debug)]
enum Form {
    Svg,
    Png,
}

/// Each for the server's description and for one that is sent.
pub(super) fn endpoints() -> Vec<Endpoint> {
    macro_rules! both {
        ($path:literal, $summary:literal, $gives:expr, $made:expr) => {
            [
                Endpoint {
                    query: keys(),
                    problems: PROBLEMS,
                    ..Endpoint::get($path, $summary, $gives, || {
                        get(|shared, request| made(shared, request, $made))
                    })
                },
                Endpoint {
                    query: keys(),
                    problems: SENT_PROBLEMS,
                    ..Endpoint::post($path, $summary, &Sent::DESCRIPTION, $gives, || {
                        post(|shared, request| made(shared, request, $made))
                    })
                },
            ]
        };
    }
    [
        both!(
            "/api/v1/situation/current.svg",
            "The current against its band, drawn.",
            SVG,
            Made::Current(Form::Svg)
        ),
        both!(
            "/api/v1/situation/current.png",
            "The same drawing in pixels.",
            PNG,
            Made::Current(Form::Png)
        ),
        both!(
            "/api/v1/situation/harmonics.svg",
            "The harmonics of the current, drawn.",
            SVG,
            Made::Harmonics(Form::Svg)
        ),
        both!(
            "/api/v1/situation/harmonics.png",
            "The same drawing in pixels.",
            PNG,
            Made::Harmonics(Form::Png)
        ),
        both!("/api/v1/situation/current.csv", "The current, sample by sample.", CSV, Made::Csv),
    ]
    .concat()
}

async fn made(
    State(shared): State<Arc<Shared>>,
    request: Request,
    made: Made,
) -> std::result::Result<Response, Problem> {
    let Asked { turn, pairs, sent } = Asked::read(&shared, request).await?;
    let at_work = Arc::clone(&shared);
    let work = move || {
        let description = sent.description(&at_work)?;
        let situation = query::situation(&pairs, &description)?;
        let seen = Shared::solver(&description).seen(&situation)?;
        Ok(bytes(&description, &seen, made)?)
    };
    let (media_type, bytes) = shared.desk.work(turn, work).await?;
    Ok(of_kind(media_type, bytes))
}

fn bytes(description: &Description, seen: &Seen, made: Made) -> Result<(&'static str, Vec<u8>)> {
    if !matches!(made, Made::Csv) && !seen.is_held() {
        return Err(Error::inconsistent(
            "this figure shows a step at its nominal, which is out of reach here",
        )
        .with_hint("current.csv has the current that can be held"));
    }
    let (drawing, form) = match made {
        Made::Csv => return Ok((CSV, current_csv(&seen.output).into_bytes())),
        Made::Current(form) => {
            let (case, result) = judged(description, seen)?;
            (current_figure(&case, &result).draw(&Palette::LIGHT)?, form)
        }
        Made::Harmonics(form) => {
            let (_, result) = judged(description, seen)?;
            (harmonics_figure(&result).draw(&Palette::LIGHT)?, form)
        }
    };
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
