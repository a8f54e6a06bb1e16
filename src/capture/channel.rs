use std::borrow::Cow;
use std::ops::Range;

use crate::units::Dimension;

use super::ChannelScale;
use super::header::{plain, unit};
use super::packed::Packed;

/// One column of measured values as the file gives them.
#[derive(Clone, Debug, PartialEq)]
pub struct Channel {
    /// Column of the file, counted from 1.
    pub number: usize,
    /// Name, when the file gives one.
    pub name: Option<String>,
    /// Unit as written, when the file gives one.
    pub unit: Option<String>,
    /// How the numbers of the file became these values, for formats that say so themselves.
    pub scale: ChannelScale,
    /// A gap is a NaN here and `None` outside.
    values: Values,
}

/// Values in the file's unit.
#[derive(Clone, Debug, PartialEq)]
enum Values {
    Plain(Vec<f64>),
    Packed(Packed),
}

impl Channel {
    /// A channel from its values; whatever is not finite is a gap.
    #[must_use]
    pub fn new(
        number: usize,
        name: Option<String>,
        unit: Option<String>,
        mut values: Vec<f64>,
    ) -> Self {
        for value in values.iter_mut().filter(|value| !value.is_finite()) {
            *value = f64::NAN;
        }
        Self::of_gaps_marked(number, name, unit, values)
    }

    /// A channel from values of which every one that is not finite is a NaN already.
    pub(super) fn of_gaps_marked(
        number: usize,
        name: Option<String>,
        unit: Option<String>,
        values: Vec<f64>,
    ) -> Self {
        let scale = ChannelScale::default();
        Self { number, name, unit, scale, values: Values::Plain(values) }
    }

    /// A channel whose values stay in the bytes of the file until they are asked for.
    pub(super) fn packed(
        number: usize,
        name: Option<String>,
        unit: Option<String>,
        values: Packed,
    ) -> Self {
        let scale = ChannelScale::default();
        Self { number, name, unit, scale, values: Values::Packed(values) }
    }

    /// The same channel with how its numbers were scaled.
    #[must_use]
    pub(super) fn with_scale(mut self, scale: ChannelScale) -> Self {
        self.scale = scale;
        self
    }

    /// Number of samples, gaps included.
    #[must_use]
    pub fn len(&self) -> usize {
        match &self.values {
            Values::Plain(values) => values.len(),
            Values::Packed(packed) => packed.count,
        }
    }

    /// Whether there is no sample at all.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Sample k in the file's unit; `None` for a gap or beyond the end.
    #[must_use]
    pub fn value(&self, k: usize) -> Option<f64> {
        let value = match &self.values {
            Values::Plain(values) => values.get(k).copied(),
            Values::Packed(packed) => (k < packed.count).then(|| packed.value(k)),
        };
        value.filter(|value| !value.is_nan())
    }

    /// Number of samples the file does not give.
    #[must_use]
    pub fn gaps(&self) -> usize {
        self.raw().iter().filter(|value| value.is_nan()).count()
    }

    /// Runs over all values in their order, a block at a time, gaps as NaN; what the file packs is
    /// unpacked into one small block.
    pub fn each_block(&self, mut each: impl FnMut(&[f64])) {
        match &self.values {
            Values::Plain(values) => each(values),
            Values::Packed(packed) => packed.each_block(each),
        }
    }

    /// Name, or the number when there is none.
    #[must_use]
    pub fn label(&self) -> String {
        self.name.clone().unwrap_or_else(|| format!("column {}", self.number))
    }

    /// All values, gaps as NaN.
    pub(super) fn raw(&self) -> Cow<'_, [f64]> {
        match &self.values {
            Values::Plain(values) => values.as_slice().into(),
            Values::Packed(packed) => packed.all().into(),
        }
    }

    /// All values times a factor, gaps as NaN.
    pub(super) fn scaled(&self, by: f64) -> Vec<f64> {
        match &self.values {
            Values::Plain(values) => values.iter().map(|value| value * by).collect(),
            Values::Packed(packed) => packed.scaled(by),
        }
    }

    pub(super) fn dimension(&self) -> Option<Dimension> {
        self.unit.as_deref().and_then(unit).map(|(dimension, _)| dimension)
    }

    /// Whether unit or name say that this is a current.
    pub(super) fn looks_like_current(&self) -> bool {
        match self.dimension() {
            Some(dimension) => dimension == Dimension::Current,
            None => self.name.as_deref().is_some_and(is_current_name),
        }
    }
}

/// Words for a current, and the symbol with a phase or number behind it.
fn is_current_name(name: &str) -> bool {
    const WORDS: [&str; 8] =
        ["current", "currents", "amps", "amperes", "strom", "courant", "corriente", "i"];
    plain(name).split(' ').any(|word| {
        let symbol = word.strip_prefix("il").or_else(|| word.strip_prefix('i'));
        let phase = symbol.is_some_and(|rest| {
            let mut letters = rest.chars();
            let first = letters.next();
            first.is_some_and(|c| c.is_ascii_digit() || "abcnrst".contains(c))
                && letters.next().is_none()
        });
        WORDS.contains(&word) || phase
    })
}

/// The longest run without a gap within a range; the first one when several are equally long.
pub(super) fn longest_clear(values: &[f64], within: Range<usize>) -> Range<usize> {
    let mut best = within.start..within.start;
    let mut from = within.start;
    for at in within.clone() {
        if values[at].is_nan() {
            from = at + 1;
        } else if at + 1 - from > best.len() {
            best = from..at + 1;
        }
    }
    best
}
