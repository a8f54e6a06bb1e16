use crate::capture::Side;

use super::lines::Fields;

/// One analog channel as the configuration describes it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Analog {
    pub(super) name: Option<String>,
    pub(super) unit: Option<String>,
    /// Factor and offset, or what is wrong with them.
    pub(super) linear: Result<(f64, f64), String>,
    pub(super) skew_s: Option<f64>,
    /// Rated primary and secondary of the transformer.
    pub(super) rated: Option<(f64, f64)>,
    pub(super) side: Option<Side>,
}

impl Analog {
    /// Number, name, phase, component, unit, factor, offset, skew, smallest, largest; since 1999 also
    /// rated primary, rated secondary and the side.
    pub(super) const FEWEST_FIELDS: usize = 10;

    pub(super) fn from_fields(fields: &Fields<'_>) -> Self {
        let factor = |at: usize, name: &str| {
            fields.number(at).ok_or_else(|| {
                format!("its {name} \"{}\" is not a number", fields.text(at).unwrap_or(""))
            })
        };
        let linear = match (factor(5, "conversion factor"), factor(6, "conversion offset")) {
            (Ok(multiplier), _) if multiplier.abs() <= 0.0 => {
                Err("its conversion factor is 0".to_owned())
            }
            (Ok(multiplier), Ok(offset)) => Ok((multiplier, offset)),
            (Err(why), _) | (_, Err(why)) => Err(why),
        };
        let rated = fields.number(10).zip(fields.number(11));
        let side = match fields.text(12).and_then(|text| text.chars().next()) {
            Some('p' | 'P') => Some(Side::Primary),
            Some('s' | 'S') => Some(Side::Secondary),
            _ => None,
        };
        Self {
            name: fields.text(1).map(str::to_owned),
            unit: fields.text(4).map(str::to_owned),
            linear,
            skew_s: fields.number(7).map(|skew_us| skew_us * 1e-6),
            rated: rated.filter(|(primary, secondary)| *primary > 0.0 && *secondary > 0.0),
            side,
        }
    }

    /// What brings a value to the wanted side; `None` when the file does not say how.
    pub(super) fn to_side(&self, wanted: Side) -> Option<f64> {
        let written = self.side?;
        if written == wanted {
            return Some(1.0);
        }
        let (primary, secondary) = self.rated?;
        Some(match wanted {
            Side::Primary => primary / secondary,
            Side::Secondary => secondary / primary,
        })
    }
}
