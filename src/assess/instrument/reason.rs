use crate::error::Note;

/// Why a meter is not plainly fit at a step, with the numbers.
#[derive(Clone, Debug, PartialEq)]
pub enum Reason {
    /// Its uncertainty is too large to prove the band, even reading dead centre.
    CannotProve {
        /// Accuracy of the sheet at the nominal, over the nominal; `None` when not stated.
        accuracy_ratio: Option<f64>,
        /// Expanded uncertainty over the nominal, at the probability asked for.
        expanded_ratio: f64,
        /// Half of the band over the nominal.
        half_band_ratio: f64,
        /// Probability of conformance when the reading is dead centre.
        at_best: f64,
        /// Probability asked for.
        asked_for: f64,
    },
    /// What is left of the band falls between two digits of the display.
    BetweenDigits {
        /// Step of the last digit.
        resolution_a: f64,
    },
    /// What is left of the band is too few digits of the display to aim at.
    FewDigits {
        /// Numbers of the display inside the set-band.
        numbers: f64,
        /// Step of the last digit.
        resolution_a: f64,
    },
    /// It does not measure true RMS, and trimming it to the nominal does not prove the band for every
    /// possible waveform.
    LawError {
        /// Lowest error over the possible waveforms.
        low_ratio: f64,
        /// Highest error over the possible waveforms.
        high_ratio: f64,
        /// Half of the band over the nominal.
        half_band_ratio: f64,
    },
    /// It does not measure true RMS; for the currents given its error is small enough.
    OnlyTheseCurrents {
        /// Lowest error over the possible waveforms.
        low_ratio: f64,
        /// Highest error over the possible waveforms.
        high_ratio: f64,
    },
    /// The set-band is narrower than half of the band.
    NarrowSetBand {
        /// Width of the set-band over that of the band.
        kept_ratio: f64,
    },
    /// The set-band does not hold the nominal: the display must not be set to it.
    NominalOutside {
        /// Lower end of the set-band.
        low_a: f64,
        /// Upper end of the set-band.
        high_a: f64,
    },
    /// It shows nothing of the current.
    ShowsNothing,
    /// Something that rules the meter out whatever its uncertainty.
    Finding(Note),
}

impl Reason {
    /// The reason in plain words, with its numbers.
    #[must_use]
    pub fn words(&self) -> String {
        let percent = |ratio: &f64| 100.0 * ratio;
        match self {
            Self::CannotProve {
                accuracy_ratio,
                expanded_ratio,
                half_band_ratio,
                at_best,
                asked_for,
            } => {
                // Where the accuracy alone would do, the whole uncertainty is to blame.
                let (meter, known) = match accuracy_ratio.filter(|a| a >= half_band_ratio) {
                    Some(accuracy_ratio) => (
                        format!("a meter of ±{:.1} %", percent(&accuracy_ratio)),
                        format!(" (the reading is known to ±{:.1} %)", percent(expanded_ratio)),
                    ),
                    None => {
                        let known = percent(expanded_ratio);
                        (format!("a reading known to ±{known:.1} %"), String::new())
                    }
                };
                format!(
                    "{meter} cannot prove a band of ±{:.1} % even reading dead centre{known}: the \
                     current then lies inside with {:.1} %, less than {:.1} %",
                    percent(half_band_ratio),
                    percent(at_best),
                    percent(asked_for)
                )
            }
            Self::BetweenDigits { resolution_a } => format!(
                "what its uncertainty leaves of the band falls between two digits of {resolution_a} A"
            ),
            Self::FewDigits { numbers, resolution_a } => format!(
                "its uncertainty leaves only {numbers} on the display (last digit {resolution_a} A) to \
                 set the current to; at least {} are needed to aim at",
                super::Suitability::LEAST_NUMBERS,
                numbers =
                    if *numbers < 1.5 { "one number".into() } else { format!("{numbers} numbers") }
            ),
            Self::LawError { low_ratio, high_ratio, half_band_ratio } => format!(
                "it does not measure true RMS: on the currents possible here it is off by {:+.1} to \
                 {:+.1} %, in a band of ±{:.1} %",
                percent(low_ratio),
                percent(high_ratio),
                percent(half_band_ratio)
            ),
            Self::OnlyTheseCurrents { low_ratio, high_ratio } => format!(
                "it does not measure true RMS: off by {:+.1} to {:+.1} % on the currents given, by an \
                 unknown amount on any other",
                percent(low_ratio),
                percent(high_ratio)
            ),
            Self::NarrowSetBand { kept_ratio } => format!(
                "its uncertainty leaves {:.0} % of the band to set the current in",
                percent(kept_ratio)
            ),
            Self::NominalOutside { low_a, high_a } if low_a < high_a => {
                format!("it must not be set to the nominal, but to between {low_a} and {high_a} A")
            }
            Self::NominalOutside { low_a, .. } => {
                format!("it must not be set to the nominal, but to {low_a} A")
            }
            Self::ShowsNothing => "it shows nothing of this current".to_owned(),
            Self::Finding(note) => note.text.clone(),
        }
    }
}
