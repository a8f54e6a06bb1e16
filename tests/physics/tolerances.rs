//! Which tolerance matters on a field, as the physics of open fixtures says.

use loopcrest::description::{Description, Tolerance};
use loopcrest::study::{CircuitEstimate, EstimateOptions, EstimatedOutput, VariedCircuit};

/// An open fixture's core saturates in every half cycle and puts a spike into the loop: lamps out, up
/// to one in ten, are behind most of what is open about the crest factor on a dim step, push it up
/// from where it is with all lamps in, and make an average-responding meter read lower.
#[test]
fn physics_lamps_out_are_behind_the_crest_factor() {
    let description = Description::embedded();
    let circuit = VariedCircuit::new(&description, &[1]).unwrap();
    let options = EstimateOptions { circuits: 200, pairs: 40, seed: 1 };
    let tolerances = Tolerance::in_use(&description);
    let estimate = CircuitEstimate::of(&circuit, &tolerances, options, &mut ()).unwrap();
    let step = &estimate.steps[0];
    let crest = step.output(EstimatedOutput::CrestFactor).unwrap();
    let mostly: Vec<&str> =
        crest.mostly().into_iter().map(|group| estimate.groups[group].as_str()).collect();
    assert_eq!(mostly, ["lamps out"]);
    assert!(crest.median > crest.nominal.unwrap() + 0.02, "{crest:?}");
    let meter = step.output(EstimatedOutput::AverageError).unwrap();
    assert!(meter.median < meter.nominal.unwrap() - 0.003, "{meter:?}");
    let sentence = estimate.sentence(step).unwrap();
    assert!(sentence.starts_with("step 1: crest factor 1.5"), "{sentence}");
    assert!(sentence.ends_with("mostly lamps out"), "{sentence}");
    assert_eq!(step.unsolved, 0, "every circuit has an answer");
}
