//! What must hold for verdicts on real meters, whatever the meter.

use jiff::civil::date;
use loopcrest::assess::instrument::{
    CircuitCurrents, Comparison, Connection, CorrectedReading, Instrument, PossibleCurrent, Reason,
    Requirement, Scatter, SetBand, StepCurrents, Suitability, Terms, Verdict,
};
use loopcrest::meter::{
    Archetype, Bandwidth, Certificate, MeasurementCategory, Sheet, VoltageCategory,
};
use loopcrest::regulator::{BandSet, CircuitClass, StepTable};
use loopcrest::uncertainty::decision::{Knowledge, Limits};
use loopcrest::uncertainty::{MonteCarlo, Validation};
use loopcrest::waveform::{Harmonic, Shape};

use crate::support::unit_shape;

/// Peaked currents, more so on the lower steps, as a regulator near the shorted condition makes.
fn steps(loop_rms_v: Option<f64>) -> Vec<StepCurrents> {
    let table = StepTable::published(CircuitClass::FiveStep6A6, BandSet::Ufc2005).unwrap();
    let shape = |ratio: f64| {
        let phase_rad = std::f64::consts::PI;
        Shape::Harmonics(vec![Harmonic { order: 3, ratio, phase_rad }])
    };
    table
        .steps()
        .iter()
        .map(|step| {
            let least = 0.01 * f64::from(6 - step.number);
            let possible = [least, least + 0.02]
                .map(|ratio| PossibleCurrent {
                    origin: format!("third harmonic {ratio}"),
                    waveform: unit_shape(shape(ratio), 1440),
                })
                .to_vec();
            StepCurrents::new(step.clone(), Connection::Loaded, loop_rms_v, possible).unwrap()
        })
        .collect()
}

fn instrument(sheet: Sheet) -> Instrument {
    Instrument::new("meter", sheet, 60.0, None).unwrap()
}

fn judge(sheet: &Sheet, step: &StepCurrents, terms: &Terms) -> Verdict {
    Verdict::new(&instrument(sheet.clone()), step, terms).unwrap()
}

/// Inside the set-band the probability is what it says; one digit further out it is less.
#[test]
fn law_set_bands_end_where_the_probability_does() {
    let terms = Terms::default();
    let sheet = Archetype::PrecisionTrueRmsClamp.sheet();
    for step in steps(None) {
        let instrument = instrument(sheet.clone());
        let readings = instrument.read_all(&step.signals()).unwrap();
        let reading = CorrectedReading::new(&sheet, &readings, 60.0, &terms).unwrap();
        let band = step.step().band;
        let limits = Limits::between(band.low_a(), band.high_a()).unwrap();
        let set_band = SetBand::new(&reading, &limits, 0.95).unwrap().unwrap();
        let p = |shown_a: f64| reading.knowledge(shown_a).conformance_probability(&limits);
        let digit_a = reading.range().resolution_a;
        assert!(p(set_band.low_a) >= 0.95 - 1e-6 && p(set_band.high_a) >= 0.95 - 1e-6);
        assert!(p(set_band.low_a - digit_a) < 0.95 && p(set_band.high_a + digit_a) < 0.95);
    }
}

/// Asking for more probability, or repeating fewer readings, never widens a set-band.
#[test]
fn law_more_doubt_never_widens_a_set_band() {
    let sheet = Archetype::PrecisionTrueRmsClamp.sheet();
    let scatter = Scatter::from_readings(&[6.60, 6.62, 6.61, 6.59]).unwrap();
    for step in steps(None) {
        let kept = |conformance_probability, scatter| {
            let terms = Terms { conformance_probability, scatter, ..Terms::default() };
            judge(&sheet, &step, &terms).set_band.map_or(0.0, |set_band| set_band.kept_ratio)
        };
        assert!(kept(0.99, None) <= kept(0.95, None));
        assert!(kept(0.95, None) <= kept(0.8, None));
        assert!(kept(0.95, Some(scatter)) < kept(0.95, None));
    }
}

/// Every archetype gets a verdict at every step, with reasons exactly when it is not plainly fit.
#[test]
fn law_every_archetype_gets_a_verdict_with_reasons() {
    for archetype in Archetype::ALL {
        for step in steps(Some(200.0)) {
            let verdict = judge(&archetype.sheet(), &step, &Terms::default());
            assert_eq!(
                verdict.reasons.is_empty(),
                verdict.suitability == Suitability::Fit,
                "{}: {}",
                archetype.key(),
                verdict.sentence()
            );
            assert!(verdict.sentence().starts_with(verdict.suitability.words()));
            if verdict.suitability != Suitability::NotFit {
                assert!(verdict.set_band.is_some());
            }
        }
    }
}

/// A voltage category below the loop's voltage says nothing of the number: the verdict is that of the
/// same meter with a higher one, and the danger stands beside it, first in every sentence.
#[test]
fn law_a_category_below_the_loop_is_a_danger_and_no_verdict_on_the_number() {
    let made_for = |working_v: f64| {
        let mut sheet = Archetype::PrecisionTrueRmsClamp.sheet();
        sheet.category = Some(VoltageCategory { category: MeasurementCategory::Three, working_v });
        sheet
    };
    for step in steps(Some(1515.0)) {
        let low = judge(&made_for(600.0), &step, &Terms::default());
        let high = judge(&made_for(5000.0), &step, &Terms::default());
        assert_eq!(low.suitability, high.suitability);
        assert_ne!(low.suitability, Suitability::NotFit);
        assert_eq!((low.set_band, low.reasons.clone()), (high.set_band, high.reasons.clone()));
        assert!(high.danger().is_none());
        let danger = low.danger().expect("600 V is below 1515 V");
        assert!(danger.text.contains("CAT III 600 V") && danger.text.contains("1515 V"));
        assert!(low.sentence().starts_with("DANGER: the meter is made for"), "{}", low.sentence());
    }
}

/// Overdue or coarser than the band: never fit, and the note stays.
#[test]
fn law_findings_stay_on_every_verdict() {
    let mut overdue = Archetype::PrecisionTrueRmsClamp.sheet();
    overdue.certificate = Some(Certificate {
        number: "K-17".to_owned(),
        date: date(2024, 1, 1),
        due: Some(date(2025, 1, 1)),
        expanded_ratio: 0.002,
        coverage_factor: 2.0,
    });
    let mut coarse = Archetype::PrecisionTrueRmsClamp.sheet();
    for range in &mut coarse.ranges.list {
        range.resolution_a = 0.5;
    }
    let terms = Terms { today: Some(date(2026, 11, 25)), ..Terms::default() };
    for (sheet, code) in [(overdue, "certificate-overdue"), (coarse, "coarse-resolution")] {
        for step in steps(Some(1515.0)) {
            let verdict = judge(&sheet, &step, &terms);
            assert_eq!(verdict.suitability, Suitability::NotFit, "{code}");
            assert!(verdict.notes.iter().any(|note| note.code == code), "{code}");
            let ruled_out =
                |reason: &Reason| matches!(reason, Reason::Finding(note) if note.code == code);
            assert!(verdict.reasons.iter().any(ruled_out), "{code}");
        }
    }
}

/// An impossible sheet is an error that names the meter.
#[test]
fn law_impossible_sheets_are_errors() {
    let mut crest = Archetype::GeneralTrueRmsClamp.sheet();
    crest.crest.as_mut().unwrap().at_full_scale = 0.9;
    let slow =
        Sheet { bandwidth: Bandwidth::Poles(vec![40.0]), ..Archetype::GeneralTrueRmsClamp.sheet() };
    for sheet in [crest, slow] {
        let error = Instrument::new("clamp", sheet, 60.0, None).unwrap_err();
        assert!(error.to_string().contains("meter \"clamp\""), "{error}");
    }
    let terms = Terms { conformance_probability: 0.5, ..Terms::default() };
    let step = &steps(None)[0];
    let fine = instrument(Archetype::PrecisionTrueRmsClamp.sheet());
    assert!(Verdict::new(&fine, step, &terms).is_err());
    let none = StepCurrents::new(step.step().clone(), Connection::Shorted, None, Vec::new());
    assert!(none.is_err());
}

/// Budget and trials of the same reading agree to two digits.
#[test]
fn law_budget_of_a_reading_agrees_with_trials() {
    let terms = Terms::default();
    let monte_carlo = MonteCarlo::default().with_trials(1_000_000);
    for archetype in [Archetype::PrecisionTrueRmsClamp, Archetype::GeneralTrueRmsClamp] {
        let sheet = archetype.sheet();
        let step = &steps(None)[4];
        let readings = instrument(sheet.clone()).read_all(&step.signals()).unwrap();
        let reading = CorrectedReading::new(&sheet, &readings, 60.0, &terms).unwrap();
        let budget = reading.budget(2.8).unwrap();
        let run = reading.trials(2.8, &monte_carlo).unwrap();
        let off = run.sampled.standard_uncertainty() / budget.combined() - 1.0;
        assert!(off.abs() < 5e-3, "u by trials is off by {off}: four deviations are 3e-3");
        let validation = Validation::new(&budget, &run, 0.95, 1).unwrap();
        assert!(validation.holds(), "{}: {validation:?}", archetype.key());
    }
}

/// The closed shape that set-bands are made from gives the probability that trials give.
#[test]
fn law_probability_by_shape_agrees_with_trials() {
    let terms = Terms::default();
    let monte_carlo = MonteCarlo::default().with_trials(400_000);
    for archetype in [Archetype::PrecisionTrueRmsClamp, Archetype::GeneralTrueRmsClamp] {
        let sheet = archetype.sheet();
        for step in [&steps(None)[0], &steps(None)[4]] {
            let readings = instrument(sheet.clone()).read_all(&step.signals()).unwrap();
            let reading = CorrectedReading::new(&sheet, &readings, 60.0, &terms).unwrap();
            let band = step.step().band;
            let limits = Limits::between(band.low_a(), band.high_a()).unwrap();
            for share in [0.1, 0.5, 0.8] {
                let shown_a = band.low_a() + share * (band.high_a() - band.low_a());
                let trials =
                    Knowledge::Sampled(reading.trials(shown_a, &monte_carlo).unwrap().sampled);
                let by_trials = trials.conformance_probability(&limits);
                let by_shape = reading.knowledge(shown_a).conformance_probability(&limits);
                // Four deviations of a share of 400,000 are 0.003; the rest of the sum, itself made
                // of rectangles, is taken as normal.
                assert!((by_trials - by_shape).abs() < 0.01, "{by_trials} and {by_shape}");
            }
        }
    }
}

/// The required sheet is fit everywhere, and one rung less of any value is not.
#[test]
fn law_requirement_is_the_least_that_is_fit() {
    let steps = steps(Some(400.0));
    let terms = Terms::default();
    let requirement = Requirement::new(&steps, &terms).unwrap();
    let everywhere = |sheet: &Sheet| {
        steps.iter().all(|step| judge(sheet, step, &terms).suitability == Suitability::Fit)
    };
    assert!(everywhere(&requirement.sheet));
    assert!(requirement.verdicts.iter().all(|v| v.suitability == Suitability::Fit));
    // The widest rungs of the ladders: accuracy and digits by up to 2.5 or 10, bandwidth by 2.5.
    let mut coarse = requirement.sheet.clone();
    coarse.accuracy.lines[0].reading_ratio *= 2.0;
    assert!(!everywhere(&coarse), "accuracy {}", requirement.accuracy_ratio);
    let mut coarse = requirement.sheet.clone();
    coarse.ranges.list[0].resolution_a *= 10.0;
    assert!(!everywhere(&coarse), "resolution {}", requirement.resolution_a);
    assert_eq!(requirement.category.unwrap().working_v, 600.0);
    let text = requirement.purchase_text().join("\n");
    assert!(text.contains("true RMS") && text.contains("CAT III 600 V"), "{text}");
}

/// Where the band is hopeless the requirement says what stands in the way.
#[test]
fn law_no_requirement_where_nothing_is_fit() {
    let mut narrow = steps(None)[0].step().clone();
    narrow.band = loopcrest::regulator::Band::new(6.5999, 6.6001).unwrap();
    let current =
        PossibleCurrent { origin: "sine".to_owned(), waveform: unit_shape(Shape::Sine, 1440) };
    let step = StepCurrents::new(narrow, Connection::Shorted, None, vec![current]).unwrap();
    let error = Requirement::new(&[step], &Terms::default()).unwrap_err();
    assert!(error.to_string().contains("cannot prove"), "{error}");
    assert!(Requirement::new(&[], &Terms::default()).is_err());
}

/// Not a bit of a comparison depends on the threads, and its cells are those of single verdicts.
#[test]
fn law_comparison_is_the_verdicts_in_order() {
    let instruments: Vec<Instrument> = Archetype::ALL
        .iter()
        .map(|kind| Instrument::new(kind.key(), kind.sheet(), 60.0, None).unwrap())
        .collect();
    let circuits: Vec<CircuitCurrents> = ["north", "south"]
        .map(|name| CircuitCurrents { name: name.to_owned(), steps: steps(None) })
        .to_vec();
    let terms = Terms::default();
    let with = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| Comparison::new(&instruments, &circuits, &terms)).unwrap()
    };
    let (one, three) = (with(1), with(3));
    assert_eq!(one, three);
    assert_eq!(one.cells().len(), 8 * 5 * 2);
    for cell in one.cells() {
        let step = circuits[cell.circuit]
            .steps
            .iter()
            .find(|step| step.step().number == cell.step_number)
            .unwrap();
        let verdict = Verdict::new(&instruments[cell.meter], step, &terms).unwrap();
        assert_eq!(cell.suitability, verdict.suitability);
        assert_eq!(cell.gain, verdict.gain);
    }
    assert_eq!(one.worst(2), Some(Suitability::NotFit), "average-responding");
    assert_eq!(one.worst(99), None);
}
