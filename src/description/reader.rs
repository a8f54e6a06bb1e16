use std::path::Path;

use toml::Spanned;

use crate::cited::{Cited, Source};
use crate::error::{Bounds, Error, Result};
use crate::lamp::LampLaw;
use crate::meter::{Detector, Meter};
use crate::regulator::{Band, BandSet, CircuitClass, Step, StepTable};
use crate::waveform::{Harmonic, Noise, RingDown, Shape, Synthesis, TrueRms};

use super::Description;
use super::complaint::{nearest, place};
use super::origin::{CaptureOrigin, CurrentOrigin, ShapeOrigin};
use super::raw::{
    RawCapture, RawCurrent, RawDescription, RawLamps, RawMeter, RawNoise, RawOrigin, RawRingDown,
    RawShape, RawSteps,
};

/// Checks the values of one file; keeps its text to name places.
pub(super) struct Reader<'a> {
    pub(super) text: &'a str,
    pub(super) folder: &'a Path,
}

impl Reader<'_> {
    pub(super) fn at<T>(&self, spanned: &Spanned<T>, error: Error) -> Error {
        error.at(place(self.text, spanned.span()))
    }

    pub(super) fn bounded<T>(
        &self,
        field: &Spanned<T>,
        value: impl Fn(&T) -> f64,
        bounds: Bounds,
    ) -> Result<f64> {
        bounds.check(value(field.get_ref())).map_err(|error| self.at(field, error))
    }

    pub(super) fn description(&self, raw: &RawDescription) -> Result<Description> {
        let format = *raw.format.get_ref();
        if format != Description::FORMAT {
            let error = Error::malformed(
                format!("format {}", Description::FORMAT),
                format!("format {format}"),
            );
            return Err(
                self.at(&raw.format, error.with_hint("a newer program may have written this file"))
            );
        }
        if raw.title.get_ref().trim().is_empty() {
            return Err(self.at(&raw.title, Error::malformed("a title", "an empty text")));
        }
        let frequency_hz = match &raw.supply.frequency {
            Some(frequency) => self.bounded(frequency, |hz| hz.0, Description::FREQUENCY_HZ)?,
            None => 60.0,
        };
        let steps = self.steps(&raw.steps)?;
        let regulator = match &raw.regulator {
            Some(regulator) => {
                let top_a = steps.top().nominal.a();
                let error = |error: Error| self.at(regulator, error);
                let raw_regulator = regulator.get_ref();
                Some(
                    self.regulator(raw_regulator, &raw.supply, frequency_hz, top_a)
                        .map_err(error)?,
                )
            }
            None => None,
        };
        Ok(Description {
            title: raw.title.get_ref().trim().to_owned(),
            is_invented: raw.invented,
            frequency_hz,
            currents: self.currents(raw, &steps)?,
            regulator,
            steps,
            meters: self.meters(&raw.meter)?,
            lamp: self.lamps(&raw.lamps)?,
        })
    }

    fn steps(&self, raw: &Spanned<RawSteps>) -> Result<StepTable> {
        let steps = raw.get_ref();
        match (&steps.circuit, steps.own.is_empty()) {
            (Some(circuit), true) => {
                let keys = CircuitClass::ALL.map(CircuitClass::key);
                let class = CircuitClass::from_key(circuit.get_ref())
                    .ok_or_else(|| self.unknown_word(circuit, &keys))?;
                let set = match &steps.bands {
                    None => BandSet::default_for(class),
                    Some(bands) => {
                        let keys = BandSet::ALL.map(BandSet::key);
                        BandSet::from_key(bands.get_ref())
                            .ok_or_else(|| self.unknown_word(bands, &keys))?
                    }
                };
                StepTable::published(class, set).map_err(|error| self.at(circuit, error))
            }
            (None, false) => {
                let mut own = Vec::with_capacity(steps.own.len());
                for step in &steps.own {
                    let low_a = self.bounded(&step.low, |a| a.0, Band::EDGE_A)?;
                    let high_a = self.bounded(&step.high, |a| a.0, Band::EDGE_A)?;
                    let nominal_a = self.bounded(&step.nominal, |a| a.0, Band::EDGE_A)?;
                    own.push(Step {
                        number: *step.number.get_ref(),
                        nominal: TrueRms::stated_a(nominal_a),
                        band: Band::new(low_a, high_a)
                            .map_err(|error| self.at(&step.low, error))?,
                        source: Source::entered(step.source.clone()),
                        remark: None,
                    });
                }
                StepTable::new("entered in the description", own)
                    .map_err(|error| self.at(raw, error))
            }
            (Some(circuit), false) => Err(self.at(
                circuit,
                Error::inconsistent("both a published circuit and own steps are given")
                    .with_hint("remove `circuit` and `bands`, or the [[steps.own]] tables"),
            )),
            (None, true) => Err(self.at(
                raw,
                Error::malformed("`circuit` or [[steps.own]] tables", "neither")
                    .with_hint("for instance circuit = \"6.6A-5-step\""),
            )),
        }
    }

    fn unknown_word(&self, word: &Spanned<String>, known: &[&str]) -> Error {
        let error = Error::malformed(
            format!("one of {}", known.join(", ")),
            format!("\"{}\"", word.get_ref()),
        );
        let error = match nearest(word.get_ref(), known.iter().copied()) {
            Some(near) => error.with_hint(format!("did you mean \"{near}\"?")),
            None => error,
        };
        self.at(word, error)
    }

    fn currents(&self, raw: &RawDescription, steps: &StepTable) -> Result<Vec<CurrentOrigin>> {
        let solved = raw.regulator.as_ref().map(|_| CurrentOrigin::Regulator);
        let Some(current) = &raw.current else {
            let origin = solved.ok_or_else(|| {
                self.at(
                    &raw.steps,
                    Error::malformed("a [regulator] or a [current]", "neither")
                        .with_hint("`loopcrest starter` writes a complete file to compare with"),
                )
            })?;
            return Ok(vec![origin; steps.steps().len()]);
        };
        let shared = self.origin(&current.get_ref().origin(), current)?.or(solved);
        let own = self.own_currents(current.get_ref(), steps)?;
        let of_step = |step: &Step| {
            let listed = own.iter().find(|(number, _)| *number == step.number);
            listed.map(|(_, origin)| origin.clone()).or_else(|| shared.clone()).ok_or_else(|| {
                self.at(
                    current,
                    Error::malformed(
                        format!("a current for step {}", step.number),
                        "neither a common one nor one of its own",
                    ),
                )
            })
        };
        steps.steps().iter().map(of_step).collect()
    }

    /// The steps that have a current of their own, with their numbers.
    fn own_currents(
        &self,
        current: &RawCurrent,
        steps: &StepTable,
    ) -> Result<Vec<(u32, CurrentOrigin)>> {
        let mut own: Vec<(u32, CurrentOrigin)> = Vec::with_capacity(current.at.len());
        for entry in &current.at {
            let at = entry.get_ref();
            let number = *at.step.get_ref();
            if steps.step(number).is_none() {
                let known: Vec<_> =
                    steps.steps().iter().map(|step| step.number.to_string()).collect();
                let error = Error::malformed(
                    format!("a step of the table: {}", known.join(", ")),
                    format!("step {number}"),
                );
                return Err(self.at(&at.step, error));
            }
            if own.iter().any(|(known, _)| *known == number) {
                let error =
                    Error::inconsistent(format!("step {number} has two currents of its own"));
                return Err(self.at(&at.step, error));
            }
            let origin = self.origin(&at.origin(), entry)?.ok_or_else(|| {
                self.at(entry, Error::malformed("a shape or a capture for this step", "neither"))
            })?;
            own.push((number, origin));
        }
        Ok(own)
    }

    fn origin<T>(&self, raw: &RawOrigin<'_>, whole: &Spanned<T>) -> Result<Option<CurrentOrigin>> {
        match (raw.shape, raw.capture) {
            (Some(_), Some(capture)) => Err(self.at(
                capture,
                Error::inconsistent("both a shape and a capture are given for one current"),
            )),
            (None, None) => {
                let stray = raw.offset.is_some()
                    || raw.noise.is_some()
                    || raw.ring_down.is_some()
                    || raw.highest_order.is_some();
                if stray {
                    let error = Error::malformed("a shape to add to", "additions only");
                    return Err(self.at(whole, error));
                }
                Ok(None)
            }
            (None, Some(capture)) => {
                if raw.offset.is_some() || raw.noise.is_some() || raw.ring_down.is_some() {
                    let error = Error::inconsistent("nothing may be added to a recorded current");
                    return Err(self.at(capture, error));
                }
                Ok(Some(CurrentOrigin::Capture(self.capture(capture.get_ref()))))
            }
            (Some(shape), None) => Ok(Some(CurrentOrigin::Shape(ShapeOrigin {
                shape: self.shape(shape)?,
                offset_ratio: match raw.offset {
                    Some(offset) => self.bounded(offset, |r| r.0, Synthesis::OFFSET_RATIO)?,
                    None => 0.0,
                },
                noise: raw.noise.map(|noise| self.noise(noise.get_ref())).transpose()?,
                ring_down: raw.ring_down.map(|ring| self.ring_down(ring.get_ref())).transpose()?,
                highest_order: raw
                    .highest_order
                    .map(|order| {
                        let top = (Synthesis::DEFAULT_SAMPLES_PER_PERIOD / 2 - 1) as f64;
                        let bounds = Bounds::new("highest harmonic order", "", 1.0, top);
                        self.bounded(order, |n| f64::from(*n), bounds).map(|n| n as usize)
                    })
                    .transpose()?,
            }))),
        }
    }

    fn shape(&self, raw: &Spanned<RawShape>) -> Result<Shape> {
        let shape = match raw.get_ref() {
            RawShape::Sine => Shape::Sine,
            RawShape::Triangle => Shape::Triangle,
            RawShape::Square => Shape::Square,
            RawShape::Block120 => Shape::Block120,
            RawShape::HalfWave => Shape::HalfWave,
            RawShape::Harmonics { list } => {
                let mut harmonics = Vec::with_capacity(list.len());
                for raw in list {
                    let order = self.bounded(&raw.order, |n| f64::from(*n), Shape::ORDER)?;
                    harmonics.push(Harmonic {
                        order: order as usize,
                        ratio: self.bounded(&raw.ratio, |r| r.0, Shape::RATIO)?,
                        phase_rad: self.bounded(&raw.phase, |rad| rad.0, Shape::PHASE_RAD)?,
                    });
                }
                Shape::Harmonics(harmonics)
            }
            RawShape::ClippedSine { level, sharpness } => Shape::ClippedSine {
                level_ratio: self.bounded(level, |r| r.0, Shape::LEVEL_RATIO)?,
                sharpness: self.bounded(sharpness, |n| *n, Shape::SHARPNESS)?,
            },
            RawShape::PhaseCut { delay } => {
                Shape::PhaseCut { delay_rad: self.bounded(delay, |rad| rad.0, Shape::DELAY_RAD)? }
            }
            RawShape::Pulse { duty } => {
                Shape::Pulse { duty: self.bounded(duty, |r| r.0, Shape::DUTY)? }
            }
            RawShape::Trapezoid { flat } => {
                Shape::Trapezoid { flat_ratio: self.bounded(flat, |r| r.0, Shape::FLAT_RATIO)? }
            }
        };
        shape.check().map_err(|error| self.at(raw, error))?;
        Ok(shape)
    }

    fn noise(&self, raw: &RawNoise) -> Result<Noise> {
        let ratio = self.bounded(&raw.ratio, |r| r.0, Noise::RATIO)?;
        Ok(Noise { ratio, seed: raw.seed })
    }

    fn ring_down(&self, raw: &RawRingDown) -> Result<RingDown> {
        Ok(RingDown {
            ratio: self.bounded(&raw.ratio, |r| r.0, RingDown::RATIO)?,
            order: self.bounded(&raw.order, |n| *n, RingDown::ORDER)?,
            decay_rad: self.bounded(&raw.decay, |rad| rad.0, RingDown::DECAY_RAD)?,
            start_rad: self.bounded(&raw.start, |rad| rad.0, RingDown::START_RAD)?,
        })
    }

    fn capture(&self, raw: &RawCapture) -> CaptureOrigin {
        let file = self.folder.join(raw.file.get_ref());
        let from_s = raw.from.as_ref().map(|s| s.get_ref().0);
        let to_s = raw.to.as_ref().map(|s| s.get_ref().0);
        let mut origin =
            CaptureOrigin::new(file, raw.column.as_deref(), raw.time_column.as_deref())
                .with_stretch_s(from_s, to_s);
        origin.reading.sample_rate_hz = raw.sample_rate.as_ref().map(|hz| hz.get_ref().0);
        origin.channel.unit = raw.unit.clone();
        origin.channel.clamp_v_per_a = raw.clamp.as_ref().map(|factor| factor.get_ref().0);
        origin
    }

    fn meters(&self, raw: &[RawMeter]) -> Result<Vec<Meter>> {
        if raw.is_empty() {
            return Err(Error::malformed("at least one [[meter]]", "none"));
        }
        let mut meters: Vec<Meter> = Vec::with_capacity(raw.len());
        for entry in raw {
            let name = entry.name.get_ref().trim();
            if name.is_empty() {
                let error = Error::malformed("a name for the meter", "an empty text");
                return Err(self.at(&entry.name, error));
            }
            if meters.iter().any(|known| known.name == name) {
                let error = Error::inconsistent(format!("two meters are named \"{name}\""));
                return Err(self.at(&entry.name, error));
            }
            let keys = Detector::ALL.map(Detector::key);
            let detector = Detector::from_key(entry.detector.get_ref())
                .ok_or_else(|| self.unknown_word(&entry.detector, &keys))?;
            meters.push(Meter { name: name.to_owned(), detector });
        }
        Ok(meters)
    }

    fn lamps(&self, raw: &RawLamps) -> Result<LampLaw> {
        let mut law = LampLaw::default();
        let source =
            Source::entered(raw.source.clone().unwrap_or_else(|| "no source given".into()));
        let entered = |field: &Option<Spanned<f64>>, law: &mut Cited<f64>| -> Result<()> {
            if let Some(field) = field {
                let value = self.bounded(field, |n| *n, Description::EXPONENT)?;
                *law = Cited { value, source: source.clone() };
            }
            Ok(())
        };
        entered(&raw.light_exponent, &mut law.light_exponent)?;
        entered(&raw.life_exponent, &mut law.life_exponent)?;
        entered(&raw.current_exponent, &mut law.current_exponent)?;
        if law.current_exponent.value <= 0.0 {
            let error = Error::inconsistent("the current exponent of a lamp is above zero");
            return Err(match &raw.current_exponent {
                Some(field) => self.at(field, error),
                None => error,
            });
        }
        Ok(law)
    }
}
