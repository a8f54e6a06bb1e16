use schemars::JsonSchema;
use serde::Serialize;

use crate::procedure::entry::ProtectionProof;
use crate::procedure::{Entry, LoggedEntry, Visit};

/// A protection that was set and tried.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ProofPart {
    /// Which one, in words.
    pub protection: &'static str,
    /// `shorted` or `field`.
    pub output: &'static str,
    /// Number of the entry.
    pub entry: u64,
    /// When it was written down, UTC.
    pub at: String,
    /// By whom.
    pub by: String,
    /// The set-point asked for, true RMS.
    pub set_rms_a: Option<f64>,
    /// How far from the set-point it may act, over the set-point; `null` where it was not asked for.
    pub set_within_ratio: Option<f64>,
    /// What the meter showed when it acted, or the most it showed when it did not.
    pub shown_a: Option<f64>,
    /// The true current that means.
    pub true_rms_a: Option<f64>,
    /// Whether it acted.
    pub acted: bool,
    /// How long it took.
    pub time_s: Option<f64>,
    /// Shortest time allowed.
    pub shortest_s: Option<f64>,
    /// Longest time allowed.
    pub longest_s: Option<f64>,
    /// Whether the time lies between those; `null` where time or limits are not known.
    pub in_time: Option<bool>,
    /// Whether it acted near enough to its set-point; `null` where that is not known.
    pub at_set_point: Option<bool>,
    /// Whether a time was asked for and none taken.
    pub is_untimed: bool,
    /// What it leaves to be wished, a sentence each.
    pub shortfalls: Vec<String>,
    /// Where the limits come from.
    pub limits_source: Option<String>,
    /// Anything else.
    pub remark: Option<String>,
}

impl ProofPart {
    pub(super) fn all(visit: &Visit) -> Vec<Self> {
        let proofs = visit.counting().filter_map(|logged| match &logged.entry {
            Entry::Protection(proof) => Some(Self::of(logged, proof)),
            _ => None,
        });
        proofs.collect()
    }

    fn of(logged: &LoggedEntry, proof: &ProtectionProof) -> Self {
        Self {
            protection: proof.protection.words(),
            output: proof.output.key(),
            entry: logged.number,
            at: logged.at.to_string(),
            by: logged.by.clone(),
            set_rms_a: proof.set_rms_a,
            set_within_ratio: proof.set_within_ratio,
            shown_a: proof.shown_a,
            true_rms_a: proof.true_rms_a,
            acted: proof.acted,
            time_s: proof.time_s,
            shortest_s: proof.shortest_s,
            longest_s: proof.longest_s,
            in_time: proof.is_in_time(),
            at_set_point: proof.is_at_set_point(),
            is_untimed: proof.acted && proof.has_limits() && proof.time_s.is_none(),
            shortfalls: proof.shortfalls(),
            limits_source: proof.limits_source.clone(),
            remark: proof.remark.clone(),
        }
    }
}
