use crate::description::Description;
use crate::regulator::protection::{OvercurrentStage, Protection, TimeLimit};

use super::entry::ProtectionKind;
use super::plan::ItemKind;

/// What a protection is tried at and held against.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ProtectionTerms {
    /// Set-point, true RMS; `None` where the manual says it.
    pub set_rms_a: Option<f64>,
    /// How far from the set-point it may act, over the set-point; `None` without a set-point.
    pub set_within_ratio: Option<f64>,
    /// Where that comes from, in words.
    pub set_within_source: &'static str,
    /// Shortest time in which it may act.
    pub shortest_s: Option<f64>,
    /// Longest time.
    pub longest_s: Option<f64>,
    /// Where these come from.
    pub source: Option<String>,
}

impl ProtectionTerms {
    const OWN_CHOICE: &'static str = "our own choice, no source";

    /// The lowest and highest true current at which it may act; `None` where there is no set-point.
    #[must_use]
    pub fn set_span_a(&self) -> Option<(f64, f64)> {
        let (set_a, within) = self.set_rms_a.zip(self.set_within_ratio)?;
        Some((set_a * (1.0 - within), set_a * (1.0 + within)))
    }

    /// The terms with what is taken for the current where nothing else was said.
    fn within(self, said: Option<f64>, source: &'static str) -> Self {
        let set_within_ratio =
            self.set_rms_a.map(|_| said.unwrap_or(OvercurrentStage::WITHIN_OWN_RATIO));
        let set_within_source = if said.is_some() { source } else { Self::OWN_CHOICE };
        Self { set_within_ratio, set_within_source, ..self }
    }

    /// What an item of the procedure says; where it gives no number, what the description says of its
    /// protection in `[regulator.protection]`, and where that is silent our editable defaults, which say
    /// so in their source. `None` for an item that tries no protection.
    #[must_use]
    pub fn of(item: &ItemKind, description: &Description) -> Option<Self> {
        let ItemKind::Prove {
            protection,
            set_ratio,
            within_ratio,
            shortest_s,
            longest_s,
            source,
            ..
        } = item
        else {
            return None;
        };
        if set_ratio.is_some() || shortest_s.is_some() || longest_s.is_some() {
            let own = Self {
                set_rms_a: set_ratio.map(|ratio| ratio * description.steps.top().nominal.a()),
                shortest_s: *shortest_s,
                longest_s: *longest_s,
                source: source.clone(),
                ..Self::default()
            };
            return Some(own.within(*within_ratio, "as the procedure says"));
        }
        let own = description.regulator.as_ref().map(|setup| &setup.protection);
        let described = own.cloned().unwrap_or_default();
        Some(match protection {
            ProtectionKind::Overcurrent => {
                let terms = Self::of_overcurrent(&described, description);
                match within_ratio {
                    Some(ratio) => terms.within(Some(*ratio), "as the procedure says"),
                    None => terms,
                }
            }
            ProtectionKind::OpenCircuit => Self::of_limit(
                None,
                described.open_circuit.as_ref().and_then(|open| open.limit.as_ref()),
            ),
        })
    }

    /// The first stage that says at which current it is tried.
    fn of_overcurrent(protection: &Protection, description: &Description) -> Self {
        let tried = protection
            .stages
            .iter()
            .find_map(|stage| Some((stage.tried.as_ref()?, stage.tried_within_ratio)));
        let Some(((ratio, limit), within_ratio)) = tried else { return Self::default() };
        Self::of_limit(Some(ratio * description.rated().a()), Some(limit))
            .within(within_ratio, "as the description says")
    }

    fn of_limit(set_rms_a: Option<f64>, limit: Option<&TimeLimit>) -> Self {
        Self {
            set_rms_a,
            shortest_s: limit.and_then(|limit| limit.shortest_s),
            longest_s: limit.and_then(|limit| limit.longest_s),
            source: limit.map(|limit| limit.source.to_string()),
            ..Self::default()
        }
    }
}
