use std::fmt::Write;

use crate::error::{Error, Result};
use crate::regulator::{Followed, Regulated, ValuesOrigin};
use crate::report::{Document, FollowBranchPart, FollowDocument, amperes, bare_amperes, to_json};
use crate::units::Dimension;

use super::args::{AlongArg, FollowArgs};
use super::console::folded;
use super::outcome::Outcome;
use super::{quantities, regulated, table};

/// Periods a start is left alone before another solution is looked for from it.
const SETTLE_PERIODS: usize = 30;

/// A solution followed as one parameter moves, past folds.
pub(super) fn run(args: &FollowArgs, json: bool) -> Result<Outcome> {
    let file = args.description.as_deref();
    let description = regulated::description(file)?;
    let setup = regulated::setup(&description, file, args.load, None)?;
    let target_a = regulated::nominal_a(&description, args.step)?;
    let (along, to) = match args.along {
        AlongArg::Load => (Followed::Load, quantities::parse(&args.to, Dimension::Ratio, "")?),
        AlongArg::Voltage => {
            (Followed::SupplyVoltage, quantities::parse(&args.to, Dimension::Ratio, "")?)
        }
        AlongArg::Delay => (Followed::Delay, quantities::parse(&args.to, Dimension::Angle, "deg")?),
    };
    let load = setup.load(setup.load_ratio)?;
    let point = match setup.regulator.hold(&load, target_a, None, &setup.options())? {
        Regulated::Held(point) => point,
        Regulated::OutOfReach(reach) => {
            return Err(Error::inconsistent(format!(
                "{} cannot be held at the beginning; the limit is {}",
                amperes(reach.target_a),
                amperes(reach.limit_a)
            )));
        }
    };
    let mut begins = vec![point.solution.clone()];
    if args.others > 0 {
        begins.extend(point.others(args.others, SETTLE_PERIODS)?);
    }
    let branches = begins
        .iter()
        .map(|begin| setup.regulator.follow(setup.load_ratio, &point, begin, along, to))
        .collect::<Result<Vec<_>>>()?;
    let document = FollowDocument::new(&description, &setup, &point, along, &branches);
    let text = text(&document, setup.regulator.values.origin);
    let json_text = to_json(&Document::Follow(Box::new(document)));
    regulated::show(json, &json_text, &text, None)?;
    Ok(Outcome::Done)
}

fn text(document: &FollowDocument, origin: ValuesOrigin) -> String {
    let mut text = regulated::heading(&document.title, document.invented, &document.regulator);
    let _ = writeln!(
        text,
        "begins at {}, firing delay {:.2}°\n",
        amperes(document.begin_rms_a),
        document.begin_delay_deg
    );
    for (number, branch) in document.branches.iter().enumerate() {
        let name = if number == 0 { "the solution held" } else { "another solution found there" };
        let _ = writeln!(text, "BRANCH of {name}");
        text += &branch_text(branch, document.along);
        text.push('\n');
    }
    text += &folded("At a fold the branch turns back: a real regulator would jump there.", "");
    text += &regulated::closing(origin);
    text
}

fn branch_text(branch: &FollowBranchPart, along: &str) -> String {
    let mut text = String::new();
    let rows: Vec<Vec<String>> = branch
        .points
        .iter()
        .map(|point| {
            vec![
                format!("{:.4}", point.parameter),
                bare_amperes(point.output_rms_a),
                point.crest_factor.map_or("-".into(), |crest| format!("{crest:.4}")),
                point.stability.to_owned(),
            ]
        })
        .collect();
    for line in table::lines(&[along, "RMS A", "crest", "state"], &rows, &[0, 1, 2], 3) {
        let _ = writeln!(text, " {line}");
    }
    let list = |values: &[f64]| {
        values.iter().map(|value| format!("{value:.4}")).collect::<Vec<_>>().join(", ")
    };
    if branch.folds.is_empty() {
        text += "  no fold\n";
    } else {
        let _ = writeln!(text, "  folds at {along} {}", list(&branch.folds));
    }
    for (from, to) in &branch.coexistence {
        let _ =
            writeln!(text, "  three solutions of this branch coexist from {from:.4} to {to:.4}");
    }
    if let Some(why) = &branch.ended_early {
        text += &folded(&format!("ended early: {why}"), "  ");
    }
    text
}
