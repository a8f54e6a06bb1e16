use crate::error::Note;
use crate::numeric::LeastPoint;

use super::noise::Noise;
use super::{Answer, Fitted};

/// What has to be said beside a fit.
pub(super) fn notes(fitted: &Fitted, noise: &Noise, least: &LeastPoint) -> Vec<Note> {
    let mut notes = Vec::new();
    for combination in fitted.told.untold() {
        let how = combination.standard_uncertainty_ratio.map_or_else(
            || "not at all".to_owned(),
            |u| format!("to a standard uncertainty of {:.0} % only", 100.0 * u),
        );
        notes.push(Note::new(
            "not-told",
            format!(
                "the captures tell the combination {} {how}: values may move along it together and \
                 the current stays the same; hold one of them, or capture at another step or load",
                combination.words()
            ),
        ));
    }
    for own in fitted.estimates.iter().filter(|own| own.is_at_end) {
        notes.push(Note::new(
            "at-end",
            format!(
                "{} went to the end of what is looked at, {} times its start: the captures do not \
                 hold it back",
                own.parameter.key(),
                own.value / own.start
            ),
        ));
    }
    if !least.settled {
        notes.push(Note::new(
            "not-settled",
            format!("the search was stopped after {} iterations", least.iterations),
        ));
    }
    if noise.freedom.is_none() {
        notes.push(Note::new(
            "noise-unknown",
            "a capture of one period says nothing about its noise: uncertainties are taken from the \
             residuals, and whether the regulator explains the captures cannot be told",
        ));
    }
    if fitted.answer == Answer::NotExplained {
        notes.push(Note::new(
            "larger-than-noise",
            format!(
                "the residuals are {:.1} times what the noise explains: this network with these free \
                 values is not quite that machine; uncertainties are enlarged by that factor, which \
                 is right only if the misfit is as good as random",
                fitted.enlargement_ratio
            ),
        ));
    }
    notes
}
