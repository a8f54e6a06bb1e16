use serde::{Deserialize, Serialize};

use crate::error::{Bounds, Result};
use crate::units::{self, Dimension, same_decimals};

use super::{Output, ProtectionKind};

/// A protection was set and tried.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ProtectionProof {
    /// Which one.
    pub protection: ProtectionKind,
    /// What the output was connected to.
    pub output: Output,
    /// The set-point asked for, true RMS.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub set_rms_a: Option<f64>,
    /// How far from the set-point it may act, over the set-point; absent where it was not asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub set_within_ratio: Option<f64>,
    /// What the meter showed when it acted, or the most it showed when it did not.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shown_a: Option<f64>,
    /// The true current that means, RMS, best estimate.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub true_rms_a: Option<f64>,
    /// Whether it acted.
    pub acted: bool,
    /// How long it took.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_s: Option<f64>,
    /// Shortest time allowed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shortest_s: Option<f64>,
    /// Longest time allowed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub longest_s: Option<f64>,
    /// Where those limits come from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limits_source: Option<String>,
    /// Anything else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub remark: Option<String>,
}

impl ProtectionProof {
    /// A time someone took by hand.
    pub const TIME_S: Bounds = Bounds::new("time until it acted", "s", 0.0, 600.0);

    /// What it leaves to be wished, a sentence each; empty for one that acted at its set-point and in
    /// time. A number that was not taken proves nothing.
    #[must_use]
    pub fn shortfalls(&self) -> Vec<String> {
        let words = self.protection.words();
        if !self.acted {
            return vec![format!("{words}: did not act")];
        }
        let said = [self.current_short(), self.time_short()];
        said.into_iter().flatten().map(|short| format!("{words}: {short}")).collect()
    }

    /// Whether it acted near enough to its set-point; `None` where that was not asked for, or where
    /// what was shown is not known as a true current.
    #[must_use]
    pub fn is_at_set_point(&self) -> Option<bool> {
        let (set_a, within) = self.set_rms_a.zip(self.set_within_ratio)?;
        let true_a = self.true_rms_a.filter(|_| self.acted)?;
        // Digits of a display fall on the limit itself.
        Some((true_a - set_a).abs() <= (within + 1e-9) * set_a)
    }

    /// Whether it acted in the time allowed; `None` where time or limits are not known.
    #[must_use]
    pub fn is_in_time(&self) -> Option<bool> {
        let time_s = self.time_s.filter(|_| self.acted && self.has_limits())?;
        Some(
            self.shortest_s.is_none_or(|least_s| time_s >= least_s)
                && self.longest_s.is_none_or(|most_s| time_s <= most_s),
        )
    }

    /// Whether a time is asked for.
    #[must_use]
    pub fn has_limits(&self) -> bool {
        self.shortest_s.is_some() || self.longest_s.is_some()
    }

    fn current_short(&self) -> Option<String> {
        let (set_a, within) = self.set_rms_a.zip(self.set_within_ratio)?;
        let Some(shown_a) = self.shown_a else {
            return Some("acted, but what the meter showed then was not read".to_owned());
        };
        let true_a = self.true_rms_a.filter(|_| self.is_at_set_point() == Some(false))?;
        let (shown, _) = same_decimals(shown_a, shown_a);
        Some(format!(
            "acted at {shown} A shown, {true_a:.3} A true RMS: more than {:.1} % from the set-point \
             {set_a:.3} A",
            100.0 * within
        ))
    }

    fn time_short(&self) -> Option<String> {
        let Some(time_s) = self.time_s else {
            return self.has_limits().then(|| "acted, but was not timed".to_owned());
        };
        if let Some(longest_s) = self.longest_s.filter(|longest_s| time_s > *longest_s) {
            return Some(format!("acted after {time_s} s, later than {longest_s} s"));
        }
        let shortest_s = self.shortest_s.filter(|shortest_s| time_s < *shortest_s)?;
        Some(format!("acted after {time_s} s, sooner than {shortest_s} s"))
    }

    /// The time someone typed, in seconds: "3.4", "3,4", "3.4 s" or "400 ms".
    ///
    /// # Errors
    /// `Malformed` for what is no time; `OutOfRange` for one beyond [`Self::TIME_S`].
    pub fn typed_time(text: &str) -> Result<f64> {
        let time_s = match units::parse_number(text) {
            Some(time_s) => time_s,
            None => units::parse(text, Dimension::Time)?,
        };
        Self::TIME_S.check(time_s)
    }
}
