//! Descriptions varied: parameters, tolerances and estimates.

use std::path::Path;

use loopcrest::description::{Description, Parameter, Tolerance};
use loopcrest::error::ErrorKind;
use loopcrest::study::{
    Axis, CircuitEstimate, Design, EstimateOptions, EstimatedOutput, VariedCircuit,
};
use loopcrest::uncertainty::Distribution;

use crate::support::{assert_absolute, assert_relative};

/// The embedded description on a share of the rated load.
pub(crate) fn on_share(load_ratio: f64) -> Description {
    let mut description = Description::embedded();
    description.field = None;
    description.regulator.as_mut().unwrap().load_ratio = load_ratio;
    description.refresh_tolerances();
    description
}

fn read(more: &str) -> loopcrest::error::Result<Description> {
    Description::parse(&format!("{}\n{more}", Description::EMBEDDED_TEXT), Path::new(""))
}

/// What is set is what is read back, and the key finds it again.
#[test]
fn law_a_parameter_set_is_the_parameter_read() {
    let described = Description::embedded();
    let all = Parameter::all(&described);
    assert!(all.len() > 35, "{}", all.len());
    for parameter in &all {
        assert_eq!(Parameter::find(&described, parameter.key()).unwrap(), *parameter);
        let mut changed = described.clone();
        let value = match parameter.key() {
            "regulator.values.iron-exponent" => 11.0,
            // Factors act on what is there: reading gives 1 again.
            "field.lamp-power" | "field.transformer-knee" => 1.0,
            key if key.ends_with("count") || key.ends_with("open") || key.ends_with("shorted") => {
                parameter.nominal() + 1.0
            }
            _ if parameter.nominal() == 0.0 => 0.05,
            _ => 1.01 * parameter.nominal(),
        };
        parameter.set(&mut changed, value).unwrap();
        let read = Parameter::find(&changed, parameter.key()).unwrap().nominal();
        assert_relative(read, value, 1e-13, "reactances go through inductances");
        let error = parameter.set(&mut changed, 1e9).unwrap_err();
        assert!(matches!(error.kind(), ErrorKind::OutOfRange { .. }), "{}", parameter.key());
        assert!(parameter.set(&mut changed, f64::NAN).is_err(), "{}", parameter.key());
    }
    let error = Parameter::find(&described, "supply.voltige").unwrap_err();
    assert_eq!(error.hint(), Some("did you mean \"supply.voltage\"?"));
}

/// A number set to what it is already changes nothing, on a share of the load and on the field.
#[test]
fn law_nothing_changed_changes_nothing() {
    for description in [Description::embedded(), on_share(0.6)] {
        let circuit = VariedCircuit::new(&description, &[3]).unwrap();
        let nominal = circuit.nominal()[0];
        assert!(nominal.is_held());
        for parameter in Parameter::all(&description) {
            if parameter.key() == "field.open-share" {
                continue; // none open is another network, without open fixtures' branches
            }
            let got = circuit.solve(&[(&parameter, parameter.nominal())]).unwrap()[0];
            let reason = "the period closes to 1e-10 from another start";
            for output in EstimatedOutput::ALL {
                let (got, want) = (output.of(&got).unwrap(), output.of(&nominal).unwrap());
                assert_absolute(got, want, 1e-7 * want.abs().max(1.0), reason);
            }
        }
    }
}

/// The same share in every group, one by one or at once, is the same circuit; in one group alone it is
/// that group of the field with its fixtures counted open.
#[test]
fn law_a_share_of_every_group_is_the_share_of_the_field() {
    let description = Description::embedded();
    let circuit = VariedCircuit::new(&description, &[3]).unwrap();
    let crest = |changes: &[(&Parameter, f64)]| {
        circuit.solve(changes).unwrap()[0].crest_factor.expect("held")
    };
    let find = |key: &str| Parameter::find(&description, key).unwrap();
    let groups = [1, 2, 3].map(|at| find(&format!("field.group.{at}.open-share")));
    let all = crest(&[(&find("field.open-share"), 0.1)]);
    let one_by_one: Vec<_> = groups.iter().map(|group| (group, 0.1)).collect();
    let reason = "the same network from the same start";
    assert_absolute(crest(&one_by_one), all, 1e-12, reason);
    // A group's own share goes before that of all, whichever is set first.
    let whole = find("field.open-share");
    let own = crest(&[(&groups[0], 0.25), (&whole, 0.0)]);
    assert_absolute(crest(&[(&whole, 0.0), (&groups[0], 0.25)]), own, 1e-12, reason);
    let counted = crest(&[(&find("field.group.1.open"), 8.0)]);
    let reason = "8 of 32: the period closes to 1e-10 from another start";
    assert_absolute(crest(&[(&groups[0], 0.25)]), counted, 1e-7, reason);
    assert!((counted - all).abs() > 1e-3, "another field");
}

/// Another rating is another size of the same machine: shape and shares stay, volts scale.
#[test]
fn law_a_rating_scales_the_machine() {
    let description = on_share(0.6);
    let circuit = VariedCircuit::new(&description, &[2]).unwrap();
    let rating = Parameter::find(&description, "regulator.rating").unwrap();
    let (small, large) = (circuit.nominal()[0], circuit.solve(&[(&rating, 30e3)]).unwrap()[0]);
    let reason = "the period closes to 1e-10";
    assert_relative(large.crest_factor.unwrap(), small.crest_factor.unwrap(), 1e-8, reason);
    assert_relative(large.output_peak_v.unwrap(), 3.0 * small.output_peak_v.unwrap(), 1e-8, reason);
}

#[test]
fn law_tolerances_of_the_file_replace_ours() {
    let ours = Description::embedded().tolerances;
    assert!(ours.iter().all(|tolerance| tolerance.is_generic));
    let description = read(
        "[[tolerance]]\nof = \"supply.voltage\"\ndistribution = \"rectangular\"\nhalf-width = \"4 %\"\n\
         [[tolerance]]\nof = \"field.cable.temperature\"\ndistribution = \"normal\"\n\
         standard = \"7 degC\"\ngroup = \"weather\"\n\
         [[tolerance]]\nof = \"regulator.values.iron-knee\"\ndistribution = \"exactly\"\n\
         [[tolerance]]\nof = \"supply.harmonic.11\"\ndistribution = \"triangular\"\n\
         low = \"0 %\"\nhigh = \"2 %\"\n",
    )
    .unwrap();
    let found = |key: &str| {
        let mut known = description.tolerances.iter().filter(|t| t.parameter.key() == key);
        let first = known.next().unwrap().clone();
        assert!(known.next().is_none() && !first.is_generic);
        first
    };
    let voltage = found("supply.voltage");
    let Distribution::Rectangular { low, high } = voltage.distribution else {
        panic!("{voltage:?}")
    };
    assert_absolute(low, 0.96, 1e-15, "rounding");
    assert_absolute(high, 1.04, 1e-15, "rounding");
    assert_eq!(voltage.group, "supply voltage");
    let temperature = found("field.cable.temperature");
    let normal = Distribution::Normal { mean: 15.0, standard_uncertainty: 7.0 };
    assert_eq!((temperature.distribution, temperature.group.as_str()), (normal, "weather"));
    let triangle = Distribution::Triangular { low: 0.0, high: 0.02 };
    assert_eq!(found("supply.harmonic.11").distribution, triangle);
    let in_use = Tolerance::in_use(&description);
    let used = |key: &str| in_use.iter().any(|tolerance| tolerance.parameter.key() == key);
    assert!(!used("regulator.values.iron-knee"), "known exactly");
    assert!(!used("regulator.load") && used("field.open-share"), "there is a field");
    // The only one left when ours are switched off, and the field's go with the field.
    let text = format!("generic-tolerances = false\n{}", Description::EMBEDDED_TEXT);
    assert_eq!(Description::parse(&text, Path::new("")).unwrap().tolerances, []);
    let used = Tolerance::in_use(&on_share(0.5));
    assert!(used.iter().all(|tolerance| !tolerance.parameter.key().starts_with("field.")));
    assert!(used.iter().any(|tolerance| tolerance.parameter.key() == "regulator.load"));
}

/// Each mistake, the field the message points at, and words it must hold.
#[test]
fn law_bad_tolerances_are_refused_with_their_place() {
    let entry = |of: &str, rest: &str| format!("[[tolerance]]\nof = \"{of}\"\n{rest}\n");
    let cases = [
        (
            entry("supply.voltige", "distribution = \"normal\"\nstandard = \"1 %\""),
            "of",
            "parameter",
        ),
        (
            entry("supply.voltage", "distribution = \"norml\"\nstandard = \"1 %\""),
            "distribution",
            "norml",
        ),
        (entry("supply.voltage", "distribution = \"normal\""), "distribution", "standard"),
        (
            entry("supply.voltage", "distribution = \"normal\"\nstandard = \"-1 %\""),
            "standard",
            "none",
        ),
        (
            entry("supply.voltage", "distribution = \"normal\"\nstandard = \"90 %\""),
            "of",
            "supply voltage",
        ),
        (
            entry("supply.voltage", "distribution = \"arc-sine\"\nlow = \"99 %\""),
            "distribution",
            "high",
        ),
        (
            entry(
                "supply.voltage",
                "distribution = \"rectangular\"\nlow = \"99 %\"\nhigh = \"95 %\"",
            ),
            "distribution",
            "lower limit",
        ),
        (
            entry("supply.harmonic.5", "distribution = \"normal\"\nstandard = \"5 %\""),
            "standard",
            "none",
        ),
        (
            entry("regulator.values.iron-knee", "distribution = \"normal\"\nstandard = \"5 A\""),
            "standard",
            "unit",
        ),
        (
            entry("field.cable.temperature", "distribution = \"normal\"\nstandard = \"5 %\""),
            "standard",
            "unit",
        ),
    ];
    for (text, field, word) in cases {
        let error = read(&text).unwrap_err();
        let place = error.place().unwrap_or_else(|| panic!("no place: {error}"));
        assert_eq!(place.field.as_deref(), Some(field), "{error}");
        assert!(error.to_string().contains(word), "\"{word}\" is not in: {error}");
    }
    let twice = entry("supply.voltage", "distribution = \"exactly\"").repeat(2);
    assert!(read(&twice).unwrap_err().to_string().contains("two tolerances"));
}

#[test]
fn law_axes_are_read_as_written() {
    let description = on_share(0.5);
    let values = |text: &str| Axis::parse(text, &description).map(|axis| axis.values().to_vec());
    assert_eq!(values("regulator.load=2%..100%/3").unwrap(), [0.02, 0.51, 1.0]);
    assert_eq!(values("supply.voltage = 0.9, 1").unwrap(), [0.9, 1.0]);
    assert_eq!(values("regulator.values.iron-knee=2.3 kV").unwrap(), [2300.0]);
    for (text, word) in [
        ("regulator.load", "an axis such as"),
        ("regulator.load=2%..100%", "an axis such as"),
        ("regulator.load=2%..100%/x", "an axis such as"),
        ("regulator.load=0%..100%/3", "load is 0"),
        ("regulator.load=2 V..5 V/3", "unit"),
        ("regulator.load=2%..5%/0", "values along an axis"),
        ("step=1..5/5", "\"step\""),
        ("regulator.values.iron-exponent=8..9/1000000000", "values along an axis"),
    ] {
        let error = values(text).unwrap_err();
        assert!(error.to_string().contains(word), "{text}: {error}");
    }
    let axis = Axis::parse("supply.voltage=0.9,1", &description).unwrap();
    assert!(Design::grid(vec![axis.clone(), axis]).is_err());
    assert!(Design::grid(Vec::new()).is_err());
    assert!(Design::sample(Vec::new(), 1, 10).is_err());
}

/// The last axis runs fastest, and a circuit is found by its number alone.
#[test]
fn law_a_grid_is_counted_with_the_last_axis_fastest() {
    let description = on_share(0.5);
    let axis = |text: &str| Axis::parse(text, &description).unwrap();
    let design =
        Design::grid(vec![axis("regulator.load=0.1,0.2"), axis("supply.voltage=0.9,1,1.1")])
            .unwrap();
    assert_eq!(design.circuits(), 6);
    let values: Vec<Vec<f64>> = (0..6).map(|circuit| design.values(circuit)).collect();
    assert_eq!(values[0], [0.1, 0.9]);
    assert_eq!(values[2], [0.1, 1.1]);
    assert_eq!(values[3], [0.2, 0.9]);
}

/// With one input of known law, the ends of the interval are the outputs at the ends of the input
/// where the output moves one way: they lie inside what the estimate says of them.
#[test]
fn law_the_interval_of_one_input_is_that_input_carried_over() {
    let description = on_share(0.6);
    let parameter = Parameter::find(&description, "regulator.load").unwrap();
    let distribution = Distribution::Rectangular { low: 0.5, high: 0.7 };
    let tolerance = Tolerance { parameter, distribution, group: "load".into(), is_generic: false };
    let circuit = VariedCircuit::new(&description, &[4]).unwrap();
    let options = EstimateOptions { circuits: 1000, pairs: 60, seed: 3 };
    let estimate =
        CircuitEstimate::of(&circuit, std::slice::from_ref(&tolerance), options, &mut ()).unwrap();
    let step = &estimate.steps[0];
    assert_eq!((step.circuits, step.held, step.unsolved), (1000, 1000, 0));
    let peak = step.output(EstimatedOutput::OutputPeak).unwrap();
    let at = |share: f64| {
        let value = distribution.quantile(share);
        circuit.solve(&[(&tolerance.parameter, value)]).unwrap()[0].output_peak_v.unwrap()
    };
    let (low_v, high_v) = (at(0.025), at(0.975));
    assert!((peak.low.low..=peak.low.high).contains(&low_v), "{low_v} V, {:?}", peak.low);
    assert!((peak.high.low..=peak.high.high).contains(&high_v), "{high_v} V, {:?}", peak.high);
    let last = peak.convergence.last().unwrap();
    assert!(last.held > 950 && last.low < last.median && last.median < last.high, "{last:?}");
    // One input is behind all of it, alone and in total.
    let index = peak.indices.as_ref().unwrap()[0];
    assert_eq!(peak.mostly(), [0]);
    for (share, error) in
        [(index.first_order_ratio, index.first_order_error), (index.total_ratio, index.total_error)]
    {
        assert!((share - 1.0).abs() < 4.0 * error, "{share} ± {error}");
    }
}

/// The same numbers to the last bit on one thread and on three.
#[test]
fn law_an_estimate_does_not_depend_on_threads() {
    let description = on_share(0.6);
    let tolerances = Tolerance::in_use(&description);
    let options = EstimateOptions { circuits: 200, pairs: 40, seed: 5 };
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| {
            let circuit = VariedCircuit::new(&description, &[5, 1]).unwrap();
            CircuitEstimate::of(&circuit, &tolerances, options, &mut ()).unwrap()
        })
    };
    let one = on(1);
    assert_eq!(one, on(3));
    let other = EstimateOptions { seed: 6, ..options };
    let circuit = VariedCircuit::new(&description, &[5, 1]).unwrap();
    let other = CircuitEstimate::of(&circuit, &tolerances, other, &mut ()).unwrap();
    assert_ne!(one.steps, other.steps, "another seed is another sample");
}

#[test]
fn law_an_estimate_refuses_what_it_cannot_do() {
    for (circuits, pairs) in [(100, 0), (1000, 20), (1000, 600), (u64::MAX, 0)] {
        assert!(
            EstimateOptions { circuits, pairs, seed: 1 }.check().is_err(),
            "{circuits}, {pairs}"
        );
    }
    let description = on_share(0.6);
    let circuit = VariedCircuit::new(&description, &[5]).unwrap();
    assert!(CircuitEstimate::of(&circuit, &[], EstimateOptions::default(), &mut ()).is_err());
    assert!(VariedCircuit::new(&description, &[9]).is_err());
    let mut bare = description.clone();
    bare.regulator = None;
    assert!(VariedCircuit::new(&bare, &[]).is_err());
}
