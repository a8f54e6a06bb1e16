use csv::StringRecord;

use crate::units::Dimension;

use super::cells::Cell;
use super::detect::Found;

/// What the text above and beside the data says.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Header {
    /// Name of each data column, in the order of [`Found::data`].
    pub(super) names: Vec<Option<String>>,
    /// Unit of each data column, as written.
    pub(super) units: Vec<Option<String>>,
    /// Keys and values, in the order of the file.
    pub(super) metadata: Vec<(String, String)>,
}

impl Header {
    /// Reads names, units and metadata; `beside` are rows of data that may carry metadata in other
    /// columns.
    pub(super) fn read(found: &Found, beside: &[StringRecord]) -> Self {
        let rows = &found.header;
        let text_cells = |row: &StringRecord| {
            if row.len() == 1 && key_and_value(&row[0]).is_some() {
                return 0;
            }
            let cells = found.data.iter().filter_map(|column| row.get(*column));
            cells.filter(|cell| is_text(found, cell)).count()
        };
        // With several data columns a row of names fills more than one of them; a line of metadata
        // with a value fills two as well, so the lowest such row is the one that counts.
        let enough = found.data.len().min(2);
        let lowest = rows.iter().rposition(|row| text_cells(row) >= enough);
        let lowest = lowest.filter(|at| at + 3 >= rows.len());
        let mut header = Self {
            names: vec![None; found.data.len()],
            units: vec![None; found.data.len()],
            metadata: Vec::new(),
        };
        let mut table_rows = rows.len();
        // Below the names only single cells can still be metadata.
        let below = lowest.map_or(rows.len(), |at| at + 1);
        if let Some(lowest) = lowest {
            let above = lowest.checked_sub(1).filter(|at| text_cells(&rows[*at]) >= enough);
            let names = match above {
                Some(above) if is_units_row(found, &rows[lowest]) => {
                    header.units = cells_of(found, &rows[lowest]).map(strip_brackets).collect();
                    above
                }
                _ => lowest,
            };
            header.names = cells_of(found, &rows[names]).collect();
            table_rows = names;
            // Columns outside the data may carry a name above and its value below.
            for column in (0..rows[names].len()).filter(|column| !found.data.contains(column)) {
                let below = rows.get(names + 1).and_then(|row| row.get(column)).unwrap_or("");
                header.pair(rows[names].get(column).unwrap_or(""), below);
            }
        }
        let single = rows[below..].iter().filter(|row| row.len() == 1);
        for row in rows[..table_rows].iter().chain(single) {
            header.pair_in_row(&row.iter().collect::<Vec<_>>());
        }
        for row in beside {
            let others: Vec<_> = row
                .iter()
                .enumerate()
                .filter(|(column, _)| !found.data.contains(column))
                .map(|(_, cell)| cell)
                .collect();
            header.pair_in_row(&others);
        }
        header.take_units_from_names();
        header
    }

    /// The value of the first key that contains one of the words.
    pub(super) fn find(&self, words: &[&str]) -> Option<(&str, &str)> {
        self.metadata
            .iter()
            .find(|(key, _)| words.iter().any(|word| plain(key).contains(word)))
            .map(|(key, value)| (key.as_str(), value.as_str()))
    }

    fn pair(&mut self, key: &str, value: &str) {
        let key = key.trim_start_matches(['#', '%', ';', ' ']).trim_end_matches([':', '=', ' ']);
        if !key.is_empty() && !value.is_empty() {
            self.metadata.push((key.to_owned(), value.trim().to_owned()));
        }
    }

    fn pair_in_row(&mut self, cells: &[&str]) {
        let key = cells.first().copied().unwrap_or("");
        if key.is_empty() {
            return;
        }
        let rest = cells[1..].iter().copied().filter(|cell| !cell.is_empty()).collect::<Vec<_>>();
        if rest.is_empty() {
            if let Some((key, value)) = key_and_value(key) {
                self.pair(key, value);
            }
        } else {
            self.pair(key, &rest.join(" "));
        }
    }

    /// `I (A)`, `Current [mA]`, `current_A` name their unit; a single "vertical units" does too.
    fn take_units_from_names(&mut self) {
        for (name, unit) in self.names.iter().zip(self.units.iter_mut()) {
            if unit.is_none() {
                *unit = name.as_deref().and_then(unit_in_name);
            }
        }
    }
}

/// Key and value in one cell: `Source: CH1`, and above a single column, where the separator of the
/// header stands in no row of data, `Sample Interval,5.0E-04` or `Vertical Units;A`.
fn key_and_value(cell: &str) -> Option<(&str, &str)> {
    let marked = cell.split_once([':', '=']);
    let (key, value) = marked.or_else(|| {
        cell.split_once([',', ';', '\t']).filter(|(key, value)| {
            crate::units::parse_number(value).is_some() || plain(key).contains("unit")
        })
    })?;
    Some((key.trim(), value.trim()))
}

fn cells_of<'r>(
    found: &'r Found,
    row: &'r StringRecord,
) -> impl Iterator<Item = Option<String>> + 'r {
    found.data.iter().map(|column| {
        let cell = row.get(*column).unwrap_or("").trim_start_matches(['#', '%']).trim();
        (!cell.is_empty()).then(|| cell.to_owned())
    })
}

fn is_text(found: &Found, cell: &str) -> bool {
    Cell::of(cell, found.decimal_mark) == Cell::Text
}

fn strip_brackets(cell: Option<String>) -> Option<String> {
    let cell = cell?;
    let bare = cell.trim_matches(|c| matches!(c, '(' | ')' | '[' | ']' | '{' | '}' | ' '));
    (!bare.is_empty()).then(|| bare.to_owned())
}

/// At least half of the filled cells are units or stand in brackets.
fn is_units_row(found: &Found, row: &StringRecord) -> bool {
    let cells: Vec<String> = cells_of(found, row).flatten().collect();
    let units = cells
        .iter()
        .filter(|cell| {
            cell.starts_with(['(', '['])
                || strip_brackets(Some((*cell).clone())).is_some_and(|bare| unit(&bare).is_some())
        })
        .count();
    units > 0 && 2 * units >= cells.len()
}

fn unit_in_name(name: &str) -> Option<String> {
    let bracketed = name
        .rfind(['(', '['])
        .and_then(|at| strip_brackets(Some(name[at..].to_owned())))
        .filter(|bare| unit(bare).is_some());
    let suffix = || {
        name.rsplit(['_', ' ', '/'])
            .next()
            .filter(|last| *last != name && unit(last).is_some())
            .map(str::to_owned)
    };
    let whole = || unit(name).is_some().then(|| name.to_owned());
    bracketed.or_else(suffix).or_else(whole)
}

/// Dimension and factor to the SI base unit of a written unit.
pub(super) fn unit(text: &str) -> Option<(Dimension, f64)> {
    let text = text.trim();
    for dimension in [Dimension::Current, Dimension::Voltage, Dimension::Time] {
        if let Some(factor) = dimension.factor(text) {
            return Some((dimension, factor));
        }
    }
    let known = match text.to_lowercase().as_str() {
        "amp" | "amps" | "ampere" | "amperes" => (Dimension::Current, 1.0),
        "volt" | "volts" => (Dimension::Voltage, 1.0),
        "sec" | "secs" | "second" | "seconds" => (Dimension::Time, 1.0),
        "msec" | "millisecond" | "milliseconds" => (Dimension::Time, 1e-3),
        _ => return None,
    };
    Some(known)
}

/// Lower case, letters and digits only, single blanks.
pub(super) fn plain(text: &str) -> String {
    let spaced: String = text
        .chars()
        .map(|c| if c.is_alphanumeric() { c.to_lowercase().next().unwrap_or(c) } else { ' ' })
        .collect();
    spaced.split_whitespace().collect::<Vec<_>>().join(" ")
}
