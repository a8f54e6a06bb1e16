use crate::assess::instrument::{
    Connection, Instrument, PossibleCurrent, ShownCurrent, StepCurrents, Terms,
};
use crate::cited::{Evidence, Source};
use crate::error::Result;
use crate::meter::{Indication, Signal};
use crate::regulator::{Band, Step};

use super::SetPoint;

/// What one meter shows at a set-point.
#[derive(Clone, Debug)]
pub struct SetPointReading {
    /// The meter's name.
    pub meter: String,
    /// What its number stands for.
    pub indication: Indication,
    /// Its number; `None` on overload.
    pub shown_a: Option<f64>,
    /// (Shown minus true) over true.
    pub error_ratio: Option<f64>,
    /// How well the current is known from that number; `None` where the sheet states no accuracy.
    pub meaning: Option<ShownCurrent>,
}

impl SetPointReading {
    /// A set-point through a meter, on the current that flows there.
    ///
    /// # Errors
    /// As [`Instrument::read_all`] and [`ShownCurrent::of`].
    pub fn of(instrument: &Instrument, point: &SetPoint, terms: &Terms) -> Result<Self> {
        let signal = Signal::of(&point.current);
        let reading = instrument.read_all(&[signal])?.remove(0);
        let shown = reading.shown();
        let meaning = match shown {
            Some(shown) => Self::meaning(instrument, point, shown.shown_a(), terms)?,
            None => None,
        };
        Ok(Self {
            meter: instrument.name().to_owned(),
            indication: instrument.sheet().detector.indication(),
            shown_a: shown.map(|shown| shown.shown_a()),
            error_ratio: shown.and_then(|shown| shown.error_ratio(point.set)),
            meaning,
        })
    }

    fn meaning(
        instrument: &Instrument,
        point: &SetPoint,
        shown_a: f64,
        terms: &Terms,
    ) -> Result<Option<ShownCurrent>> {
        let set_a = point.set.a();
        // Without room stated, only the uncertainty counts: any band around the set-point will do.
        let band = point.room.map_or_else(|| Band::new(0.5 * set_a, 2.0 * set_a), Ok)?;
        let step = Step {
            number: 0,
            nominal: point.set,
            band,
            source: Source::known("set-point", "", Evidence::Derived),
            remark: None,
        };
        let current =
            PossibleCurrent { origin: "set-point".into(), waveform: point.current.clone() };
        let currents = StepCurrents::new(step, Connection::Shorted, None, vec![current])?;
        ShownCurrent::of(instrument, &currents, shown_a, terms)
    }
}
