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
        let has_limits = proof.shortest_s.is_some() || proof.longest_s.is_some();
        let in_time = proof.time_s.filter(|_| has_limits && proof.acted).map(|time_s| {
            proof.shortest_s.is_none_or(|least_s| time_s >= least_s)
                && proof.longest_s.is_none_or(|most_s| time_s <= most_s)
        });
        Self {
            protection: proof.protection.words(),
            output: proof.output.key(),
            entry: logged.number,
            at: logged.at.to_string(),
            by: logged.by.clone(),
            set_rms_a: proof.set_rms_a,
            shown_a: proof.shown_a,
            true_rms_a: proof.true_rms_a,
            acted: proof.acted,
            time_s: proof.time_s,
            shortest_s: proof.shortest_s,
            longest_s: proof.longest_s,
            in_time,
            limits_source: proof.limits_source.clone(),
            remark: proof.remark.clone(),
        }
    }
}
