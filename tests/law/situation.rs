//! One situation at the bench: the same numbers as the commands, whatever was asked before.

use loopcrest::circuit::SenseLaw;
use loopcrest::classroom::lesson::Quantity;
use loopcrest::description::Description;
use loopcrest::report::SituationPart;
use loopcrest::situation::{Output, Seen, Situation, SituationSolver};
use serde_json::Value;

use crate::support::program;

fn cold(situation: &Situation) -> Seen {
    SituationSolver::new(Description::embedded()).seen(situation).unwrap()
}

/// What differs between two documents. Numbers may differ by a millionth: the grid of the samples begins
/// elsewhere in the period, and the rectified average sums over the kinks at the zeros.
fn differences(one: &Value, other: &Value, at: &str, found: &mut Vec<String>) {
    match (one, other) {
        // A phase counts from the first sample after the zero: one of 7,200 is 0.05 degrees of the first order.
        _ if at.ends_with("phase_deg") => {}
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().unwrap(), b.as_f64().unwrap());
            // A share of a band of a few percent magnifies a change of the current by up to 1/0.015, lamp life by
            // its 24th power; the peak of a spike of the voltage falls between two samples.
            let ends = ["band_share_ratio", "life.ratio", "peak_v"];
            let magnified = ends.iter().any(|end| at.ends_with(end));
            let factor = if magnified { 67.0 } else { 1.0 };
            if (a - b).abs() > factor * 1e-6 * a.abs().max(1.0) {
                found.push(format!("{at}: {a} {b}"));
            }
        }
        (Value::Array(a), Value::Array(b)) if a.len() == b.len() => {
            for (k, (a, b)) in a.iter().zip(b).enumerate() {
                differences(a, b, &format!("{at}[{k}]"), found);
            }
        }
        (Value::Object(a), Value::Object(b)) if a.len() == b.len() => {
            for (key, a) in a {
                let b = b.get(key).unwrap_or(&Value::Null);
                differences(a, b, &format!("{at}.{key}"), found);
            }
        }
        (a, b) if a == b => {}
        (a, b) => found.push(format!("{at}: {a} {b}")),
    }
}

#[track_caller]
fn same(one: &Value, other: &Value, what: &str) {
    let mut found = Vec::new();
    differences(one, other, "", &mut found);
    assert!(found.is_empty(), "{what}: {}", found.join("\n"));
}

/// Everything as it is shown on any face.
fn shown(seen: &Seen) -> Vec<String> {
    let mut all = Vec::new();
    for quantity in &Quantity::ALL {
        for meter in 0..seen.meters.len() {
            all.push(format!("{} {:?}", quantity.name, quantity.try_shown(seen, meter, None)));
        }
    }
    all
}

fn document(seen: &Seen) -> Value {
    serde_json::to_value(SituationPart::from(seen)).unwrap()
}

#[test]
fn law_a_situation_does_not_depend_on_what_was_asked_before() {
    let mut all = Vec::new();
    for step in [5, 1, 3] {
        for load in ["shorted", "30 %", "60 %", "full"] {
            all.push((step, load, None));
        }
        for lamps_out in ["as-counted", "0 %", "5 %", "10 %", "20 %", "30 %"] {
            all.push((step, "field", Some(lamps_out)));
        }
        for lamps_out in ["0 %", "15 %"] {
            all.push((step, "60 %", Some(lamps_out)));
        }
    }
    let mut warm = SituationSolver::new(Description::embedded());
    // There and back again: every situation is reached from at least two sides.
    for (step, load, lamps_out) in all.iter().chain(all.iter().rev()) {
        let mut situation = Situation { step: Some(*step), ..Situation::default() };
        situation.set("load", load).unwrap();
        if let Some(lamps_out) = lamps_out {
            situation.set("lamps-out", lamps_out).unwrap();
        }
        let (warm, cold) = (warm.seen(&situation).unwrap(), cold(&situation));
        assert_eq!(shown(&warm), shown(&cold), "{situation:?}");
        same(&document(&warm), &document(&cold), &format!("{situation:?}"));
    }
}

#[test]
fn law_a_situation_shows_the_numbers_of_operate() {
    let folder = tempfile::tempdir().unwrap();
    for (step, load, sense) in
        [("5", "2%", "true-rms"), ("2", "60%", "average"), ("1", "95%", "true-rms")]
    {
        let arguments = ["--json", "operate", "--step", step, "--load", load, "--sense", sense];
        let printed = program::run(folder.path(), &arguments);
        let told: Value = serde_json::from_slice(&printed.stdout).unwrap();
        let mut situation = Situation::default();
        for (key, text) in [("step", step), ("load", load), ("sense", sense)] {
            situation.set(key, text).unwrap();
        }
        let ours = serde_json::to_value(SituationPart::from(&cold(&situation))).unwrap();
        for key in [
            "held",
            "control_senses",
            "delay_deg",
            "output_rms_v",
            "output_peak_v",
            "output_apparent_va",
            "output_active_w",
            "output_power_factor",
        ] {
            assert_eq!(ours[key], told[key], "{key} of step {step} at {load}");
        }
        assert_eq!(ours["stability"], told["solution"]["stability"]);
        for key in ["rms_a", "peak_a", "crest_factor", "form_factor", "thd_ratio"] {
            // The document of a situation begins at a rising zero: another order of the same sums.
            let (one, other) = (&ours["measures"][key], &told["measures"][key]);
            let (one, other) = (one.as_f64().unwrap(), other.as_f64().unwrap());
            assert!((one / other - 1.0).abs() < 1e-12, "{key}: {one} {other}");
        }
    }
}

#[test]
fn law_a_situation_shows_the_numbers_of_judge() {
    let folder = tempfile::tempdir().unwrap();
    let printed = program::run(folder.path(), &["--json", "judge"]);
    let told: Value = serde_json::from_slice(&printed.stdout).unwrap();
    for step in told["steps"].as_array().unwrap() {
        let number = step["number"].as_u64().unwrap();
        let situation = Situation { step: Some(number as u32), ..Situation::default() };
        let ours = serde_json::to_value(SituationPart::from(&cold(&situation))).unwrap();
        for (one, other) in
            ours["meters"].as_array().unwrap().iter().zip(step["meters"].as_array().unwrap())
        {
            same(&one["law"], other, &format!("step {number}"));
            same(&one["shown_a"], &other["shown_a"], &format!("step {number}"));
        }
    }
}

#[test]
fn law_a_situation_shows_the_numbers_of_field() {
    let folder = tempfile::tempdir().unwrap();
    let printed = program::run(folder.path(), &["--json", "field"]);
    let told: Value = serde_json::from_slice(&printed.stdout).unwrap();
    let steps = told["steps"].as_array().unwrap();
    assert_eq!(steps.len(), 5);
    for step in steps {
        let number = step["step"].as_u64().unwrap() as u32;
        let situation =
            Situation { step: Some(number), output: Output::Field, ..Situation::default() };
        let ours = serde_json::to_value(SituationPart::from(&cold(&situation))).unwrap();
        let solved = &step["solved"];
        for (mine, theirs) in [
            ("delay_deg", "delay_deg"),
            ("output_rms_v", "output_rms_v"),
            ("output_peak_v", "output_peak_v"),
            ("output_apparent_va", "apparent_va"),
        ] {
            same(&ours[mine], &solved[theirs], &format!("{mine} of step {number}"));
        }
        same(&ours["measures"]["crest_factor"], &solved["crest_factor"], "crest factor");
    }
}

#[test]
fn law_a_situation_out_of_reach_is_an_answer() {
    let mut situation = Situation::default();
    situation.set("load", "200 %").unwrap();
    let seen = cold(&situation);
    let reach = seen.reach.expect("twice the rated load is more than the source can drive");
    assert!(reach.limit_a < seen.step.nominal.a());
    assert!((seen.true_rms_a() / reach.limit_a - 1.0).abs() < 1e-6);
    assert!(seen.meters.iter().all(|meter| meter.judgement.is_none() && !meter.is_fit()));
    assert!(seen.meters.iter().all(|meter| meter.shown_a().is_some()));
    assert!(seen.notes.iter().any(|note| note.code == "out-of-reach"));
}

/// A control that senses the average holds the average: the true RMS is off by what an average-responding meter
/// is off, the other way round.
#[test]
fn law_a_situation_holds_what_the_control_senses() {
    let mut situation = Situation { step: Some(1), ..Situation::default() };
    situation.meters = vec!["average".into()];
    situation.sense = Some(SenseLaw::RectifiedMean);
    let seen = cold(&situation);
    let meter = &seen.meters[0];
    let nominal_a = seen.step.nominal.a();
    // The solver's integral against the sum over the grid: the kinks at the zeros of |i|.
    assert!((meter.by_law.shown_a() / nominal_a - 1.0).abs() < 1e-6);
    assert!(seen.true_rms_a() > 1.01 * nominal_a);
    let judged = meter.judgement.as_ref().unwrap();
    assert!((judged.error_ratio - meter.error_ratio().unwrap()).abs() < 1e-9);
}

#[test]
fn law_a_situation_of_a_sheet_is_judged_as_an_instrument() {
    let mut situation = Situation { step: Some(1), ..Situation::default() };
    situation
        .set("meter", "precision-true-rms-clamp, average-responding-clamp, wide-range-clamp")
        .unwrap();
    let seen = cold(&situation);
    let words: Vec<_> = seen.meters.iter().map(|meter| meter.verdict_words()).collect();
    assert!(seen.meters.iter().all(|meter| meter.verdict.is_some()), "{words:?}");
    assert_ne!(words[0], "not fit");
    assert_eq!(words[1], "not fit");
    assert_eq!(words[2], "not fit");
    for (meter, wanted) in [(1, "band of ±"), (2, "may show anything")] {
        let reason = seen.meters[meter].reason(&seen.step);
        assert!(reason.contains(wanted), "{reason}");
    }
    // Where a sheet promises nothing, no number is made of its accuracy.
    let reason = seen.meters[2].reason(&seen.step);
    assert!(!reason.contains("is known to ±"), "{reason}");
}

#[test]
fn law_a_bad_situation_says_what_is_allowed() {
    let description = Description::embedded();
    let told = |key: &str, text: &str| {
        let mut situation = Situation::default();
        let set = situation.set(key, text);
        let error = set.and_then(|()| situation.check(&description)).unwrap_err();
        format!("{error}; {}", error.hint().unwrap_or_default())
    };
    for (key, text, wanted) in [
        ("stepp", "1", "step"),
        ("step", "9", "5, 4, 3, 2, 1"),
        ("step", "top", "brightest"),
        ("load", "half", "shorted"),
        ("load", "300 %", "0.001 to 2"),
        ("lamps-out", "120 %", "share of lamps out"),
        ("lamps-out", "10 %", "output shorted"),
        ("meter", "avrage clamp", "average clamp"),
        ("sense", "rms", "true-rms or average"),
        ("supply-voltage", "10 %", "0.2 to 2"),
    ] {
        let said = told(key, text);
        assert!(said.contains(wanted), "{key} = {text}: {said}");
    }
}

/// A clamp below the loop's voltage may show the right number; that it must not be there comes first.
#[test]
fn law_a_danger_stands_first_in_a_situation() {
    let mut situation = Situation { step: Some(5), ..Situation::default() };
    situation.set("load", "full").unwrap();
    situation.set("meter", "precision-true-rms-clamp,true-rms").unwrap();
    let seen = cold(&situation);
    let danger = seen.meters[0].danger.as_ref().unwrap();
    let judged = seen.meters[0].verdict.as_ref().unwrap();
    assert_eq!(Some(danger), judged.danger());
    let reason = seen.meters[0].reason(&seen.step);
    assert!(reason.starts_with(&format!("DANGER: {}", danger.text)), "{reason}");
    assert!(
        seen.meters[1].danger.is_none() && !seen.meters[1].reason(&seen.step).contains("DANGER")
    );
    // Where the nominal is out of reach no meter is judged, and the voltage is there all the same.
    situation.set("supply-voltage", "90 %").unwrap();
    let seen = cold(&situation);
    assert!(seen.meters[0].danger.is_some());
    // The output shorted has no such voltage.
    situation.set("load", "shorted").unwrap();
    assert!(cold(&situation).meters[0].danger.is_none());
    // In print, before the table and in it.
    let folder = tempfile::tempdir().unwrap();
    let arguments =
        ["situation", "--step", "5", "--load", "full", "--meter", "precision-true-rms-clamp"];
    let printed = crate::support::program::run(folder.path(), &arguments);
    let printed = crate::support::program::text(&printed.stdout);
    let first = printed.find("DANGER").unwrap();
    assert!(first < printed.find("must show A").unwrap(), "{printed}");
    assert!(printed.contains(", DANGER"), "{printed}");
}

#[test]
fn law_a_situation_can_be_without_meters() {
    let mut situation = Situation::default();
    situation.set("meter", "none").unwrap();
    assert!(cold(&situation).meters.is_empty());
    situation.set("meter", "none,average").unwrap();
    assert!(situation.check(&Description::embedded()).is_err());
}
