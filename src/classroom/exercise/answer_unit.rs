use crate::error::{Error, Result};
use crate::units::{self, Dimension};

/// The unit an answer is asked in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AnswerUnit {
    /// Amperes.
    Ampere,
    /// Kilovolt-amperes.
    KilovoltAmpere,
    /// Percent.
    Percent,
    /// A number without unit, such as a crest factor.
    Plain,
    /// Years.
    Year,
}

/// An answer to a question for a number, read.
#[derive(Clone, Debug, PartialEq)]
pub enum ReadNumber {
    /// The number in the unit asked for.
    Value(f64),
    /// A number in a unit that measures something else.
    OtherUnit(String),
}

impl AnswerUnit {
    /// Every unit.
    pub const ALL: [Self; 5] =
        [Self::Ampere, Self::KilovoltAmpere, Self::Percent, Self::Plain, Self::Year];

    /// How it is written; empty for none.
    #[must_use]
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Ampere => "A",
            Self::KilovoltAmpere => "kVA",
            Self::Percent => "%",
            Self::Plain => "",
            Self::Year => "years",
        }
    }

    /// The unit written so.
    #[must_use]
    pub fn from_symbol(symbol: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|unit| unit.symbol() == symbol)
    }

    /// A value with the unit.
    #[must_use]
    pub fn words(self, value: f64, decimals: usize) -> String {
        super::Printed::new(value, decimals, self.symbol()).to_string()
    }

    /// Reads what a person wrote: "6.82", "6,82", "6.82 A", "6820 mA". Without a unit the number is
    /// taken in the unit asked for.
    ///
    /// # Errors
    /// `Malformed` for what is no number with or without a unit.
    pub fn read(self, text: &str) -> Result<ReadNumber> {
        let text = text.trim();
        // A minus as printed.
        let plain = text.replace('\u{2212}', "-");
        if let Some(value) = units::parse_number(&plain) {
            return Ok(ReadNumber::Value(value));
        }
        let end = plain
            .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-')))
            .unwrap_or(plain.len());
        let (number, unit) = (plain[..end].trim(), plain[end..].trim());
        let Some(value) = units::parse_number(number) else {
            return Err(Error::malformed(
                format!("a number, such as {}", self.example()),
                format!("\"{text}\""),
            ));
        };
        // Written out, as people do.
        let unit = match unit.to_lowercase().as_str() {
            "amp" | "amps" | "ampere" | "amperes" => "A",
            "milliampere" | "milliamperes" | "milliamps" => "mA",
            "percent" | "per cent" | "pct" => "%",
            "kva" => "kVA",
            _ => unit,
        };
        let factor = match self {
            Self::Ampere => Dimension::Current.factor(unit),
            Self::KilovoltAmpere => {
                let apparent = Dimension::ApparentPower.factor(unit);
                apparent.map(|to_base| to_base / 1e3)
            }
            Self::Percent => (unit == "%").then_some(1.0),
            Self::Plain => match unit {
                "%" => Some(0.01),
                "x" | "times" => Some(1.0),
                _ => None,
            },
            Self::Year => match unit {
                "a" | "y" | "yr" | "year" | "years" => Some(1.0),
                "month" | "months" => Some(1.0 / 12.0),
                "d" | "day" | "days" => Some(1.0 / 365.25),
                _ => None,
            },
        };
        Ok(match factor {
            Some(factor) => ReadNumber::Value(value * factor),
            None => ReadNumber::OtherUnit(unit.to_owned()),
        })
    }

    fn example(self) -> &'static str {
        match self {
            Self::Ampere => "6.82 A or 6,82",
            Self::KilovoltAmpere => "7.4 kVA or 7,4",
            Self::Percent => "-2.3 % or -2,3",
            Self::Plain => "1.52 or 1,52",
            Self::Year => "1.5 years or 1,5",
        }
    }
}
