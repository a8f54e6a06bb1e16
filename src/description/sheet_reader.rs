use toml::Spanned;

use crate::error::{Error, Result};
use crate::meter::{
    Accuracy, AccuracyLine, Bandwidth, Certificate, Clamp, Converter, CrestBand, CrestCapability,
    FlexibleCoil, FrequencyError, Hall, IronCore, MeasurementCategory, Range, RangeRule, Ranges,
    Sheet, Temperature, TransformerClass, VoltageCategory, Window,
};

use super::quantity::{Amperes, Ratio};
use super::raw_sheet::{
    RawAccuracy, RawCategory, RawCertificate, RawClamp, RawConverter, RawCrest, RawFrequencyError,
    RawRange, RawSheet, RawTemperature,
};
use super::reader::Reader;

/// Words that let the meter choose its range; a full scale says which one the person chose.
const RANGE_RULES: [RangeRule; 2] = [RangeRule::AutoByReading, RangeRule::AutoByReadingAndPeak];

impl Reader<'_> {
    /// A sheet with the entries of the file put over it.
    ///
    /// Without a kind to begin from, ranges and accuracy must be entered: nothing stands for them.
    pub(super) fn sheet(
        &self,
        base: Sheet,
        entries: &Spanned<RawSheet>,
        has_kind: bool,
    ) -> Result<Sheet> {
        let raw = entries.get_ref();
        if !has_kind && (raw.range.is_empty() || raw.accuracy.is_empty()) {
            let error =
                Error::malformed("[[meter.sheet.range]] and [[meter.sheet.accuracy]]", "none")
                    .with_hint("or an `archetype` to begin from: `loopcrest meters` lists them");
            return Err(self.at(entries, error));
        }
        let mut sheet = base;
        if let Some(clamp) = &raw.clamp {
            sheet.clamp = self.clamp(clamp)?;
        }
        if let Some(position) = &raw.position {
            sheet.position_ratio = Some(self.bounded(position, |r| r.0, Sheet::POSITION_RATIO)?);
        }
        if !raw.range.is_empty() || raw.range_choice.is_some() {
            sheet.ranges = self.ranges(sheet.ranges, &raw.range, raw.range_choice.as_ref())?;
        }
        if let Some(bandwidth) = self.bandwidth(raw)? {
            sheet.bandwidth = bandwidth;
        }
        if let Some(calibrated) = &raw.calibrated {
            sheet.calibrated_hz =
                Some(self.bounded(calibrated, |hz| hz.0, Sheet::CALIBRATED_HZ)?);
        }
        if let Some(crest) = &raw.crest {
            sheet.crest = Some(self.crest(crest)?);
        }
        if let Some(converter) = &raw.converter {
            sheet.converter = self.converter(converter)?;
        }
        if let Some(counts) = &raw.display_counts {
            self.bounded(counts, |n| f64::from(*n), Sheet::DISPLAY_COUNTS)?;
            sheet.display_counts = Some(*counts.get_ref());
        }
        if !raw.accuracy.is_empty() {
            let lines = raw.accuracy.iter().map(|line| self.accuracy(line));
            sheet.accuracy = Accuracy { lines: lines.collect::<Result<_>>()? };
        }
        if let Some(temperature) = &raw.temperature {
            sheet.temperature = Some(self.temperature(temperature)?);
        }
        if let Some(certificate) = &raw.certificate {
            sheet.certificate = Some(self.certificate(certificate)?);
        }
        if let Some(category) = &raw.category {
            sheet.category = Some(self.category(category)?);
        }
        Ok(sheet)
    }

    fn clamp(&self, raw: &RawClamp) -> Result<Clamp> {
        let saturation = |field: &Option<Spanned<Amperes>>| {
            let bounds = IronCore::SATURATION_PEAK_A;
            field.as_ref().map(|field| self.bounded(field, |a| a.0, bounds)).transpose()
        };
        let noise = |field: &Option<Spanned<Amperes>>| match field {
            Some(field) => self.bounded(field, |a| a.0, Hall::NOISE_RMS_A),
            None => Ok(0.0),
        };
        Ok(match raw {
            RawClamp::Direct => Clamp::Direct,
            RawClamp::IronCore { rated, class, low_cutoff, saturation: peak } => {
                Clamp::IronCore(IronCore {
                    rated_a: self.bounded(rated, |a| a.0, IronCore::RATED_A)?,
                    class: class.as_ref().map(|word| self.transformer_class(word)).transpose()?,
                    low_cutoff_hz: low_cutoff
                        .as_ref()
                        .map(|hz| self.bounded(hz, |hz| hz.0, IronCore::LOW_CUTOFF_HZ))
                        .transpose()?,
                    saturation_peak_a: saturation(peak)?,
                })
            }
            RawClamp::Hall { offset, noise: rms, saturation: peak } => Clamp::Hall(Hall {
                offset_a: match offset {
                    Some(offset) => self.bounded(offset, |a| a.0, Hall::OFFSET_A)?,
                    None => 0.0,
                },
                noise_rms_a: noise(rms)?,
                saturation_peak_a: saturation(peak)?,
            }),
            RawClamp::FlexibleCoil { droop, noise: rms } => Clamp::FlexibleCoil(FlexibleCoil {
                droop_hz: self.bounded(droop, |hz| hz.0, FlexibleCoil::DROOP_HZ)?,
                noise_rms_a: noise(rms)?,
            }),
        })
    }

    fn transformer_class(&self, word: &Spanned<String>) -> Result<TransformerClass> {
        TransformerClass::from_key(word.get_ref().trim()).ok_or_else(|| {
            self.unknown_word(word, &TransformerClass::ALL.map(TransformerClass::key))
        })
    }

    fn ranges(
        &self,
        base: Ranges,
        raw: &[RawRange],
        choice: Option<&Spanned<String>>,
    ) -> Result<Ranges> {
        let mut ranges = base;
        if !raw.is_empty() {
            let read = |range: &RawRange| -> Result<Range> {
                Ok(Range {
                    full_scale_a: self.bounded(&range.full_scale, |a| a.0, Range::FULL_SCALE_A)?,
                    resolution_a: self.bounded(&range.resolution, |a| a.0, Range::RESOLUTION_A)?,
                })
            };
            ranges.list = raw.iter().map(read).collect::<Result<_>>()?;
            ranges.rule = match ranges.rule {
                // A choice among the ranges of the kind says nothing about these.
                RangeRule::Manual(_) if ranges.list.len() == 1 => RangeRule::Manual(0),
                RangeRule::Manual(_) => RangeRule::AutoByReading,
                automatic => automatic,
            };
        }
        if let Some(word) = choice {
            ranges.rule = self.range_rule(word, &ranges.list)?;
        }
        Ok(ranges)
    }

    fn range_rule(&self, word: &Spanned<String>, list: &[Range]) -> Result<RangeRule> {
        let typed = word.get_ref().trim();
        if let Some(rule) = RANGE_RULES.into_iter().find(|rule| rule.key() == typed) {
            return Ok(rule);
        }
        let chosen = crate::units::parse(typed, crate::units::Dimension::Current).ok().and_then(
            |chosen_a| list.iter().position(|range| is_same(range.full_scale_a, chosen_a)),
        );
        chosen.map(RangeRule::Manual).ok_or_else(|| {
            let full_scales: Vec<String> =
                list.iter().map(|range| format!("\"{} A\"", range.full_scale_a)).collect();
            let expected =
                format!("\"auto\", \"auto-by-peak\" or one of {}", full_scales.join(", "));
            self.at(word, Error::malformed(expected, format!("\"{typed}\"")))
        })
    }

    fn bandwidth(&self, raw: &RawSheet) -> Result<Option<Bandwidth>> {
        let table = &raw.bandwidth_table;
        match (&raw.bandwidth, table.is_empty()) {
            (None, true) => Ok(None),
            (Some(poles), false) => Err(self.at(
                poles,
                Error::inconsistent("both a bandwidth and a table of frequencies are given"),
            )),
            (Some(poles), true) => {
                let read =
                    |hz| self.bounded(hz, |hz: &super::quantity::Hertz| hz.0, Bandwidth::CORNER_HZ);
                let corners_hz: Vec<f64> =
                    poles.get_ref().iter().map(read).collect::<Result<_>>()?;
                Ok(Some(if corners_hz.is_empty() {
                    Bandwidth::Unlimited
                } else {
                    Bandwidth::Poles(corners_hz)
                }))
            }
            (None, false) => {
                let read = |line: &RawFrequencyError| -> Result<FrequencyError> {
                    Ok(FrequencyError {
                        frequency_hz: self.bounded(
                            &line.frequency,
                            |hz| hz.0,
                            Bandwidth::CORNER_HZ,
                        )?,
                        error_ratio: self.bounded(&line.error, |r| r.0, Bandwidth::ERROR_RATIO)?,
                    })
                };
                Ok(Some(Bandwidth::Table(table.iter().map(read).collect::<Result<_>>()?)))
            }
        }
    }

    fn crest(&self, raw: &RawCrest) -> Result<CrestCapability> {
        let factor =
            |field: &Spanned<f64>| self.bounded(field, |n| *n, CrestCapability::CREST_FACTOR);
        Ok(CrestCapability {
            at_full_scale: factor(&raw.at_full_scale)?,
            cap: raw.cap.as_ref().map(factor).transpose()?,
            bands: raw
                .bands
                .iter()
                .map(|band| {
                    Ok(CrestBand {
                        up_to: factor(&band.up_to)?,
                        added_ratio: self.bounded(
                            &band.added,
                            |r| r.0,
                            CrestCapability::ADDED_RATIO,
                        )?,
                    })
                })
                .collect::<Result<_>>()?,
        })
    }

    fn converter(&self, raw: &RawConverter) -> Result<Converter> {
        let RawConverter::Sampling { bits, sample_rate, window } = raw else {
            return Ok(Converter::Analogue);
        };
        Ok(Converter::Sampling {
            bits: self.bounded(bits, |n| f64::from(*n), Converter::BITS)? as u32,
            sample_rate_hz: self.bounded(sample_rate, |hz| hz.0, Converter::SAMPLE_RATE_HZ)?,
            window: match window {
                Some(window) => {
                    Window::Free { length_s: self.bounded(window, |s| s.0, Window::LENGTH_S)? }
                }
                None => Window::WholePeriods,
            },
        })
    }

    fn accuracy(&self, raw: &RawAccuracy) -> Result<AccuracyLine> {
        let part = |field: &Option<Spanned<Ratio>>, bounds| match field {
            Some(field) => self.bounded(field, |r| r.0, bounds),
            None => Ok(0.0),
        };
        Ok(AccuracyLine {
            range_a: raw
                .range
                .as_ref()
                .map(|range| self.bounded(range, |a| a.0, Range::FULL_SCALE_A))
                .transpose()?,
            from_hz: self.bounded(&raw.from, |hz| hz.0, AccuracyLine::FREQUENCY_HZ)?,
            to_hz: self.bounded(&raw.to, |hz| hz.0, AccuracyLine::FREQUENCY_HZ)?,
            reading_ratio: part(&raw.reading, AccuracyLine::PART_RATIO)?,
            counts: match &raw.digits {
                Some(digits) => self.bounded(digits, |n| n.0, AccuracyLine::COUNTS)?,
                None => 0.0,
            },
            full_scale_ratio: part(&raw.full_scale, AccuracyLine::PART_RATIO)?,
            from_share_ratio: part(&raw.from_share, AccuracyLine::SHARE_RATIO)?,
        })
    }

    fn temperature(&self, raw: &RawTemperature) -> Result<Temperature> {
        Ok(Temperature {
            low_degc: self.bounded(&raw.low, |c| c.0, Temperature::DEGC)?,
            high_degc: self.bounded(&raw.high, |c| c.0, Temperature::DEGC)?,
            coefficient_per_k: self.bounded(
                &raw.coefficient,
                |k| k.0,
                Temperature::COEFFICIENT_PER_K,
            )?,
        })
    }

    fn certificate(&self, raw: &RawCertificate) -> Result<Certificate> {
        let day = |field: &Spanned<String>| {
            Certificate::day(field.get_ref()).map_err(|error| self.at(field, error))
        };
        Ok(Certificate {
            number: self.filled(&raw.number, "the number of the certificate")?.to_owned(),
            date: day(&raw.date)?,
            due: raw.due.as_ref().map(day).transpose()?,
            expanded_ratio: self.bounded(&raw.uncertainty, |r| r.0, Certificate::EXPANDED_RATIO)?,
            coverage_factor: self.bounded(
                &raw.coverage_factor,
                |k| *k,
                Certificate::COVERAGE_FACTOR,
            )?,
        })
    }

    fn category(&self, raw: &RawCategory) -> Result<VoltageCategory> {
        let category = MeasurementCategory::from_key(raw.category.get_ref().trim());
        Ok(VoltageCategory {
            category: category.ok_or_else(|| {
                self.unknown_word(
                    &raw.category,
                    &MeasurementCategory::ALL.map(MeasurementCategory::key),
                )
            })?,
            working_v: self.bounded(&raw.voltage, |v| v.0, VoltageCategory::WORKING_V)?,
        })
    }
}

/// Whether two full scales are the same but for the last digit of a conversion.
fn is_same(one_a: f64, other_a: f64) -> bool {
    (one_a / other_a - 1.0).abs() < 1e-9
}
