use std::path::{Path, PathBuf};

use toml::Spanned;

use crate::capture::{DecimalMark, Separator, Side};
use crate::cited::Source;
use crate::error::{Bounds, Error, Result};
use crate::regulator::{Band, BandSet, CircuitClass, Step, StepTable};
use crate::waveform::{Harmonic, Noise, RingDown, Shape, Synthesis, TrueRms};

use super::complaint::{HARMONIC_RATIO, misspelt, percent_forgotten, place};
use super::origin::{CaptureOrigin, CurrentOrigin, ShapeOrigin};
use super::quantity::ColumnWord;
use super::raw::{
    RawCapture, RawCurrent, RawDecimal, RawDescription, RawNoise, RawOrigin, RawRingDown,
    RawSeparator, RawShape, RawSide, RawSteps,
};
use super::{Description, OpenRatios};

/// Checks the values of one file; keeps its text to name places.
pub(super) struct Reader<'a> {
    pub(super) text: &'a str,
    /// Where files it names are looked for; `None` where it may name none.
    pub(super) folder: Option<&'a Path>,
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
        let value = value(field.get_ref());
        if bounds.contains(value) {
            return Ok(value);
        }
        let typed = self.text.get(field.span()).unwrap_or_default();
        self.in_typed_unit(value, bounds, typed).map_err(|error| self.at(field, error))
    }

    /// The refusal of a value, in percent when it was written so.
    fn in_typed_unit(&self, value: f64, bounds: Bounds, typed: &str) -> Result<f64> {
        let unit = match bounds.unit {
            "" if typed.contains('%') => "%",
            "of rated" if typed.contains('%') => "% of rated",
            _ => return bounds.check(value),
        };
        let percent = |ratio: f64| (1e8 * ratio).round() / 1e6;
        let (min, max) = (percent(bounds.min), percent(bounds.max));
        Bounds::new(bounds.quantity, unit, min, max).check(percent(value))
    }

    /// A text that must say something.
    pub(super) fn filled<'t>(&self, text: &'t Spanned<String>, what: &str) -> Result<&'t str> {
        match text.get_ref().trim() {
            "" => Err(self.at(text, Error::malformed(what, "an empty text"))),
            words => Ok(words),
        }
    }

    /// A file the description names.
    pub(super) fn file<T>(&self, field: &Spanned<T>, name: &str) -> Result<PathBuf> {
        let folder = self.folder.ok_or_else(|| {
            let error = Error::inconsistent("a description that comes alone names no other file");
            self.at(field, error.with_hint("put what is in that file into the description"))
        })?;
        Ok(folder.join(name))
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
        let title = self.filled(&raw.title, "a title")?.to_owned();
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
        let top_a = steps.top().nominal.a();
        let field = match &raw.field {
            Some(field) => Some(self.field(field, frequency_hz, top_a, regulator.as_ref())?),
            None => None,
        };
        let mut description = Description {
            title,
            field,
            is_invented: raw.invented,
            frequency_hz,
            currents: self.currents(raw, &steps)?,
            regulator,
            rated_current: self.rated_current(raw, &steps)?,
            steps,
            meters: self.meters(&raw.meter, frequency_hz)?,
            lamp: self.lamps(&raw.lamps)?,
            runnable_text: self.runnable_text(raw),
            open_ratios: OpenRatios::default(),
            tolerances: Vec::new(),
        };
        let with_generic = raw.generic_tolerances.unwrap_or(true);
        description.tolerances = self.tolerances(&raw.tolerance, with_generic, &description)?;
        Ok(description)
    }

    /// The text with the captures' paths made absolute, so that a copy runs from any folder.
    fn runnable_text(&self, raw: &RawDescription) -> String {
        let current = raw.current.as_ref().map(Spanned::get_ref);
        let shared = current.and_then(|current| current.capture.as_ref());
        let own = current.into_iter().flat_map(|current| &current.at);
        let own = own.filter_map(|at| at.get_ref().capture.as_ref());
        let groups = raw.field.as_ref().and_then(|field| field.get_ref().groups_from.as_ref());
        let mut files: Vec<_> =
            shared.into_iter().chain(own).map(|capture| &capture.get_ref().file).collect();
        files.extend(groups);
        files.retain(|file| Path::new(file.get_ref()).is_relative());
        // From the last to the first, so that the places before stay what they are.
        files.sort_by_key(|file| std::cmp::Reverse(file.span().start));
        let mut text = self.text.to_owned();
        let mut is_changed = false;
        for file in files {
            let Some(folder) = self.folder else { continue };
            let absolute = std::path::absolute(folder.join(file.get_ref()));
            if let Some(path) = absolute.as_ref().ok().and_then(|path| path.to_str()) {
                text.replace_range(file.span(), &toml::Value::from(path).to_string());
                is_changed = true;
            }
        }
        if is_changed {
            text.insert_str(
                0,
                "# A copy: the paths of other files were made absolute, the rest is as it was read.\n",
            );
        }
        text
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
                let mut own: Vec<Step> = Vec::with_capacity(steps.own.len());
                for step in &steps.own {
                    let number = *step.number.get_ref();
                    self.bounded(&step.number, |n| f64::from(*n), StepTable::NUMBER)?;
                    if own.iter().any(|known| known.number == number) {
                        let error = Error::inconsistent(format!("step {number} is given twice"));
                        return Err(self.at(&step.number, error));
                    }
                    let low_a = self.bounded(&step.low, |a| a.0, Band::EDGE_A)?;
                    let high_a = self.bounded(&step.high, |a| a.0, Band::EDGE_A)?;
                    let nominal_a = self.bounded(&step.nominal, |a| a.0, Band::EDGE_A)?;
                    let checked = Step {
                        number,
                        nominal: TrueRms::stated_a(nominal_a),
                        band: Band::new(low_a, high_a)
                            .map_err(|error| self.at(&step.low, error))?,
                        source: Source::entered(
                            self.filled(&step.source, "the source of the band")?.to_owned(),
                        ),
                        remark: None,
                    };
                    // A table of this step alone finds what is wrong with it by itself.
                    StepTable::new("", vec![checked.clone()])
                        .map_err(|error| self.at(&step.nominal, error))?;
                    own.push(checked);
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

    pub(super) fn unknown_word(&self, word: &Spanned<String>, known: &[&str]) -> Error {
        let expected = format!("one of {}", known.join(", "));
        self.at(word, misspelt(expected, word.get_ref(), known.iter().copied()))
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
                Ok(Some(CurrentOrigin::Capture(Box::new(self.capture(capture.get_ref())?))))
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
                        ratio: self
                            .bounded(&raw.ratio, |r| r.0, HARMONIC_RATIO)
                            .map_err(|error| percent_forgotten(error, raw.ratio.get_ref().0))?,
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

    fn capture(&self, raw: &RawCapture) -> Result<CaptureOrigin> {
        let file = self.file(&raw.file, raw.file.get_ref())?;
        let from_s = raw.from.as_ref().map(|s| s.get_ref().0);
        let to_s = raw.to.as_ref().map(|s| s.get_ref().0);
        let mut origin = CaptureOrigin::new(file, column(&raw.column), column(&raw.time_column))
            .with_stretch_s(from_s, to_s);
        let (reading, channel) = (&mut origin.reading, &mut origin.channel);
        reading.sample_rate_hz = raw.sample_rate.as_ref().map(|hz| hz.get_ref().0);
        reading.separator = raw.separator.map(|separator| match separator {
            RawSeparator::Tab => Separator::Tab,
            RawSeparator::Semicolon => Separator::Semicolon,
            RawSeparator::Comma => Separator::Comma,
            RawSeparator::Blanks => Separator::Blanks,
            RawSeparator::None => Separator::None,
        });
        reading.decimal_mark = raw.decimal.map(|mark| match mark {
            RawDecimal::Point => DecimalMark::Point,
            RawDecimal::Comma => DecimalMark::Comma,
        });
        reading.time_unit.clone_from(&raw.time_unit);
        reading.side = raw.side.map(|side| match side {
            RawSide::Primary => Side::Primary,
            RawSide::Secondary => Side::Secondary,
        });
        if let Some(section) = &raw.section {
            self.bounded(section, |number| *number as f64, SECTION)?;
            reading.section = Some(*section.get_ref());
        }
        channel.unit.clone_from(&raw.unit);
        channel.clamp_v_per_a = raw.clamp.as_ref().map(|factor| factor.get_ref().0);
        channel.full_scale = raw.full_scale.map(|word| word.0);
        Ok(origin)
    }
}

/// Sections of one sample rate in a record, counted from 1.
const SECTION: Bounds = Bounds::new("section", "", 1.0, 1000.0);

fn column(word: &Option<ColumnWord>) -> Option<&str> {
    word.as_ref().map(|word| word.0.as_str())
}
