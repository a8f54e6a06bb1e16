use std::collections::BTreeMap;
use std::path::PathBuf;

use crate::error::{Bounds, Error, Place, Result};
use crate::units::Dimension;

/// What a field of a fixture group holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum GroupField {
    /// A text.
    Text,
    /// A whole number.
    Whole,
    /// A quantity.
    Quantity(Dimension),
}

/// The fields of a fixture group and its transformer: the columns of a group file.
pub(super) const GROUP_FIELDS: [(&str, GroupField); 23] = [
    ("name", GroupField::Text),
    ("count", GroupField::Whole),
    ("kind", GroupField::Text),
    ("power", GroupField::Quantity(Dimension::Power)),
    ("apparent-power", GroupField::Quantity(Dimension::ApparentPower)),
    ("current", GroupField::Quantity(Dimension::Current)),
    ("lamps-per-fixture", GroupField::Whole),
    ("power-factor", GroupField::Quantity(Dimension::Ratio)),
    ("dc-voltage", GroupField::Quantity(Dimension::Voltage)),
    ("path-resistance", GroupField::Quantity(Dimension::Impedance)),
    ("open", GroupField::Whole),
    ("shorted", GroupField::Whole),
    ("loss", GroupField::Quantity(Dimension::Ratio)),
    ("rating", GroupField::Quantity(Dimension::Power)),
    ("primary", GroupField::Quantity(Dimension::Current)),
    ("secondary", GroupField::Quantity(Dimension::Current)),
    ("knee", GroupField::Quantity(Dimension::Voltage)),
    ("iron-linear", GroupField::Quantity(Dimension::Current)),
    ("iron-power", GroupField::Quantity(Dimension::Current)),
    ("iron-exponent", GroupField::Whole),
    ("core-loss", GroupField::Quantity(Dimension::Impedance)),
    ("winding-resistance", GroupField::Quantity(Dimension::Impedance)),
    ("leakage-reactance", GroupField::Quantity(Dimension::Impedance)),
];

/// One fixture group as entered, wherever it was entered: values in SI units with their places.
#[derive(Clone, Debug)]
pub(super) struct GroupEntry {
    numbers: BTreeMap<&'static str, f64>,
    texts: BTreeMap<&'static str, String>,
    places: BTreeMap<&'static str, Place>,
    /// Where the group stands.
    pub(super) whole: Place,
    /// The file it was read from, when it is not the description.
    pub(super) file: Option<PathBuf>,
}

impl GroupEntry {
    /// A group without values.
    pub(super) fn new(whole: Place, file: Option<PathBuf>) -> Self {
        Self {
            numbers: BTreeMap::new(),
            texts: BTreeMap::new(),
            places: BTreeMap::new(),
            whole,
            file,
        }
    }

    pub(super) fn put_number(&mut self, field: &'static str, value: f64, place: Place) {
        self.numbers.insert(field, value);
        self.places.insert(field, place);
    }

    pub(super) fn put_text(&mut self, field: &'static str, text: String, place: Place) {
        self.texts.insert(field, text);
        self.places.insert(field, place);
    }

    /// The fields of another entry where this one has none: what holds for all groups.
    pub(super) fn filled_from(mut self, common: &Self) -> Self {
        for (field, value) in &common.numbers {
            if !self.numbers.contains_key(field) {
                self.put_number(field, *value, common.places[field].clone());
            }
        }
        self
    }

    pub(super) fn text(&self, field: &str) -> Option<&str> {
        self.texts.get(field).map(|text| text.trim()).filter(|text| !text.is_empty())
    }

    /// The error with the place of the field, or of the group where the field was left out.
    pub(super) fn at(&self, field: &str, error: Error) -> Error {
        let place = self.places.get(field).unwrap_or(&self.whole).clone();
        let error = match &self.file {
            Some(file) => error.in_file(file),
            None => error,
        };
        error.at(place)
    }

    /// A number in its range, when it was given.
    pub(super) fn bounded(&self, field: &str, bounds: Bounds) -> Result<Option<f64>> {
        let value = self.numbers.get(field).map(|value| bounds.check(*value)).transpose();
        value.map_err(|error| self.at(field, error))
    }

    /// A number that must be given, in its range.
    pub(super) fn required(&self, field: &str, bounds: Bounds) -> Result<f64> {
        self.bounded(field, bounds)?.ok_or_else(|| {
            let expected = format!("`{field}` in every fixture group");
            self.at(field, Error::malformed(expected, "none"))
        })
    }
}
