use crate::description::Description;
use crate::regulator::protection::{Protection, TimeLimit};

use super::entry::ProtectionKind;
use super::plan::ItemKind;

/// What a protection is tried at and held against.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ProtectionTerms {
    /// Set-point, true RMS; `None` where the manual says it.
    pub set_rms_a: Option<f64>,
    /// Shortest time in which it may act.
    pub shortest_s: Option<f64>,
    /// Longest time.
    pub longest_s: Option<f64>,
    /// Where these come from.
    pub source: Option<String>,
}

impl ProtectionTerms {
    /// What an item of the procedure says; where it gives no number, what the description says of its
    /// protection in `[regulator.protection]`, and where that is silent our editable defaults, which say
    /// so in their source. `None` for an item that tries no protection.
    #[must_use]
    pub fn of(item: &ItemKind, description: &Description) -> Option<Self> {
        let ItemKind::Prove { protection, set_ratio, shortest_s, longest_s, source, .. } = item
        else {
            return None;
        };
        if set_ratio.is_some() || shortest_s.is_some() || longest_s.is_some() {
            return Some(Self {
                set_rms_a: set_ratio.map(|ratio| ratio * description.steps.top().nominal.a()),
                shortest_s: *shortest_s,
                longest_s: *longest_s,
                source: source.clone(),
            });
        }
        let own = description.regulator.as_ref().map(|setup| &setup.protection);
        let described = own.cloned().unwrap_or_default();
        Some(match protection {
            ProtectionKind::Overcurrent => Self::of_overcurrent(&described, description),
            ProtectionKind::OpenCircuit => Self::of_limit(
                None,
                described.open_circuit.as_ref().and_then(|open| open.limit.as_ref()),
            ),
        })
    }

    /// The first stage that says at which current it is tried.
    fn of_overcurrent(protection: &Protection, description: &Description) -> Self {
        let tried = protection.stages.iter().find_map(|stage| stage.tried.as_ref());
        let Some((ratio, limit)) = tried else { return Self::default() };
        Self::of_limit(Some(ratio * description.rated().a()), Some(limit))
    }

    fn of_limit(set_rms_a: Option<f64>, limit: Option<&TimeLimit>) -> Self {
        Self {
            set_rms_a,
            shortest_s: limit.and_then(|limit| limit.shortest_s),
            longest_s: limit.and_then(|limit| limit.longest_s),
            source: limit.map(|limit| limit.source.to_string()),
        }
    }
}
