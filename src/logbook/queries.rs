use jiff::civil::Date;
use rusqlite::{Row, ToSql, params};

use crate::error::{Error, Result};
use crate::procedure::entry::{
    CertificateCard, CircuitCard, MeterCard, MeterDoubt, Moment, Output, RegulatorCard,
};
use crate::procedure::{Entry, Journal, LoggedEntry, Visit, VisitState};

use super::schema::whole;
use super::stored_entry::StoredEntry;
use super::trouble::{Attempt, InLogbook};
use super::{Filed, Head, Logbook, TrendPoint, VisitRow, rules};

/// Columns of a [`VisitRow`].
const VISIT: &str = "SELECT number, regulator, circuit, meter, day, person, state, next_due, \
                     (SELECT count(*) FROM reading WHERE reading.visit = visit.number) FROM visit";

impl Logbook {
    /// The last entry; absent in an empty logbook.
    ///
    /// # Errors
    /// `Io` when it cannot be read, as everywhere below.
    pub fn head(&self) -> Result<Option<Head>> {
        let last = StoredEntry::last(&self.connection).in_logbook(self.path())?;
        Ok(last.map(|last| Head { number: last.number, hash: last.hash }))
    }

    /// One entry.
    ///
    /// # Errors
    /// `Inconsistent` when there is none of that number.
    pub fn entry(&self, number: u64) -> Result<LoggedEntry> {
        whole(number)?;
        let found = StoredEntry::find(&self.connection, number).in_logbook(self.path())?;
        let missing = || Error::inconsistent(format!("there is no entry {number}"));
        found
            .ok_or_else(missing)
            .and_then(|stored| stored.read())
            .map_err(|e| e.in_file(self.path()))
    }

    /// The entry that stands in the place of this one, if one does.
    ///
    /// # Errors
    /// `Io`.
    pub fn replaced_by(&self, number: u64) -> Result<Option<u64>> {
        let query = "SELECT number FROM entry WHERE replaces = ?1";
        let found = self.rows(query, &[&whole(number)?], |row| row.get::<_, i64>(0))?;
        Ok(found.first().map(|number| number.cast_unsigned()))
    }

    /// A whole visit.
    ///
    /// # Errors
    /// `Inconsistent` when there is none of that number.
    pub fn visit(&self, number: u64) -> Result<Visit> {
        Visit::from_entries(self.visit_entries(number)?).map_err(|e| e.in_file(self.path()))
    }

    /// The visit that is open on a regulator.
    ///
    /// # Errors
    /// `Io`.
    pub fn open_visit(&self, regulator: &str) -> Result<Option<u64>> {
        rules::open_visit(&self.connection, regulator).in_logbook(self.path())
    }

    /// Every visit, the oldest first.
    ///
    /// # Errors
    /// `Io`.
    pub fn visits(&self) -> Result<Vec<VisitRow>> {
        self.visit_rows(&format!("{VISIT} ORDER BY number"), &[])
    }

    /// One visit as it stands in the list.
    ///
    /// # Errors
    /// `Io`.
    pub fn visit_row(&self, number: u64) -> Result<Option<VisitRow>> {
        let query = format!("{VISIT} WHERE number = ?1");
        Ok(self.visit_rows(&query, &[&whole(number)?])?.into_iter().next())
    }

    /// Every visit on a regulator, the oldest first.
    ///
    /// # Errors
    /// `Io`.
    pub fn visits_of(&self, regulator: &str) -> Result<Vec<VisitRow>> {
        let query = format!("{VISIT} WHERE regulator = ?1 ORDER BY number");
        self.visit_rows(&query, &[&regulator])
    }

    /// Every visit with a meter from a day to another, both included, the oldest first.
    ///
    /// # Errors
    /// `Io`.
    pub fn visits_with_meter(&self, meter: &str, from: Date, until: Date) -> Result<Vec<VisitRow>> {
        let query =
            format!("{VISIT} WHERE meter = ?1 AND day BETWEEN ?2 AND ?3 ORDER BY day, number");
        self.visit_rows(&query, &[&meter, &from.to_string(), &until.to_string()])
    }

    /// The reading that counts at one step, visit by visit, by day: as found the first of its visit,
    /// as left the last. Visits without one are left out.
    ///
    /// # Errors
    /// `Io`.
    pub fn trend(
        &self,
        regulator: &str,
        step: u32,
        output: Output,
        moment: Moment,
    ) -> Result<Vec<TrendPoint>> {
        // With one min or max, the other columns are those of its row (SQLite's own rule).
        let which = match moment {
            Moment::AsFound => "min(stands_at)",
            Moment::AsLeft => "max(stands_at)",
        };
        let query = format!(
            "SELECT visit.number, entry, day, meter, shown_a, true_rms_a, standard_uncertainty_a, \
             nominal_a, low_a, high_a, {which} \
             FROM visit JOIN reading ON reading.visit = visit.number \
             WHERE regulator = ?1 AND step = ?2 AND output = ?3 AND moment = ?4 \
             GROUP BY visit.number ORDER BY day, visit.number"
        );
        let read = |row: &Row<'_>| {
            Ok(TrendPoint {
                visit: row.get::<_, i64>(0)?.cast_unsigned(),
                entry: row.get::<_, i64>(1)?.cast_unsigned(),
                day: day(row, 2)?,
                meter: row.get(3)?,
                shown_a: row.get(4)?,
                true_rms_a: row.get(5)?,
                standard_uncertainty_a: row.get(6)?,
                nominal_a: row.get(7)?,
                low_a: row.get(8)?,
                high_a: row.get(9)?,
            })
        };
        self.rows(&query, params![regulator, step, output.key(), moment.key()], read)
    }

    /// Every regulator as it is known now, by name.
    ///
    /// # Errors
    /// `Io`; `Malformed` when an entry cannot be read.
    pub fn regulators(&self) -> Result<Vec<Filed<RegulatorCard>>> {
        self.cards("regulator", None, |entry| match entry {
            Entry::Regulator(card) => Some(card),
            _ => None,
        })
    }

    /// One regulator as it is known now.
    ///
    /// # Errors
    /// As [`Self::regulators`].
    pub fn regulator(&self, name: &str) -> Result<Option<Filed<RegulatorCard>>> {
        let found = self.cards("regulator", Some(name), |entry| match entry {
            Entry::Regulator(card) => Some(card),
            _ => None,
        })?;
        Ok(found.into_iter().next())
    }

    /// Every circuit as it is known now, by name.
    ///
    /// # Errors
    /// As [`Self::regulators`].
    pub fn circuits(&self) -> Result<Vec<Filed<CircuitCard>>> {
        self.cards("circuit", None, |entry| match entry {
            Entry::Circuit(card) => Some(card),
            _ => None,
        })
    }

    /// Every meter as it is known now, by name.
    ///
    /// # Errors
    /// As [`Self::regulators`].
    pub fn meters(&self) -> Result<Vec<Filed<MeterCard>>> {
        self.cards("meter", None, |entry| match entry {
            Entry::Meter(card) => Some(card),
            _ => None,
        })
    }

    /// One meter as it is known now.
    ///
    /// # Errors
    /// As [`Self::regulators`].
    pub fn meter(&self, name: &str) -> Result<Option<Filed<MeterCard>>> {
        let found = self.cards("meter", Some(name), |entry| match entry {
            Entry::Meter(card) => Some(card),
            _ => None,
        })?;
        Ok(found.into_iter().next())
    }

    /// Every certificate of a meter, by day of calibration.
    ///
    /// # Errors
    /// As [`Self::regulators`].
    pub fn certificates(&self, meter: &str) -> Result<Vec<Filed<CertificateCard>>> {
        let mut found = self.cards("certificate", Some(meter), |entry| match entry {
            Entry::Certificate(card) => Some(card),
            _ => None,
        })?;
        found.sort_by_key(|filed| (filed.card.date, filed.number));
        Ok(found)
    }

    /// Everything that was found wrong with a meter, by its first day.
    ///
    /// # Errors
    /// As [`Self::regulators`].
    pub fn doubts(&self, meter: &str) -> Result<Vec<Filed<MeterDoubt>>> {
        let mut found = self.cards("meter-doubt", Some(meter), |entry| match entry {
            Entry::MeterDoubt(card) => Some(card),
            _ => None,
        })?;
        found.sort_by_key(|filed| (filed.card.from, filed.number));
        Ok(found)
    }

    /// The newest card of each thing of a kind, by name.
    fn cards<T>(
        &self,
        kind: &str,
        name: Option<&str>,
        pick: impl Fn(Entry) -> Option<T>,
    ) -> Result<Vec<Filed<T>>> {
        let columns = StoredEntry::COLUMNS.replace("kind", "entry.kind");
        // A circuit is told by its name; of a meter's certificates each is a thing of its own, and
        // every doubt counts.
        let thing = match kind {
            "certificate" => "name, detail",
            "meter-doubt" => "card.entry",
            _ => "name",
        };
        let query = format!(
            "SELECT {columns} FROM entry JOIN (SELECT card.entry, name, detail, max(stands_at) \
             FROM card WHERE kind = ?1 AND (?2 IS NULL OR name = ?2) GROUP BY {thing}) AS newest \
             ON number = newest.entry ORDER BY name, detail, number"
        );
        let stored = self.rows(&query, params![kind, name], StoredEntry::from_row)?;
        let filed = |stored: StoredEntry| {
            let logged = stored.read()?;
            let (number, at, by) = (logged.number, logged.at, logged.by);
            let card = pick(logged.entry)
                .ok_or_else(|| Error::inconsistent(format!("entry {number} is no {kind}")))?;
            Ok(Filed { number, at, by, card })
        };
        stored
            .into_iter()
            .map(filed)
            .collect::<Result<_>>()
            .map_err(|e: Error| e.in_file(self.path()))
    }

    pub(super) fn stored_of_visit(&self, visit: u64) -> Attempt<Vec<StoredEntry>> {
        rules::state(&self.connection, visit)?;
        let query =
            format!("SELECT {} FROM entry WHERE visit = ?1 ORDER BY number", StoredEntry::COLUMNS);
        let mut statement = self.connection.prepare_cached(&query)?;
        let rows = statement.query_map([whole(visit)?], StoredEntry::from_row)?;
        Ok(rows.collect::<rusqlite::Result<_>>()?)
    }

    fn visit_rows(&self, query: &str, values: &[&dyn ToSql]) -> Result<Vec<VisitRow>> {
        self.rows(query, values, |row| {
            Ok(VisitRow {
                number: row.get::<_, i64>(0)?.cast_unsigned(),
                regulator: row.get(1)?,
                circuit: row.get(2)?,
                meter: row.get(3)?,
                day: day(row, 4)?,
                person: row.get(5)?,
                state: match row.get::<_, String>(6)?.as_str() {
                    "complete" => VisitState::Complete,
                    "broken" => VisitState::Broken,
                    _ => VisitState::Open,
                },
                next_due: optional_day(row, 7)?,
                readings: row.get::<_, i64>(8)?.cast_unsigned(),
            })
        })
    }

    fn rows<T>(
        &self,
        query: &str,
        values: &[&dyn ToSql],
        read: impl FnMut(&Row<'_>) -> rusqlite::Result<T>,
    ) -> Result<Vec<T>> {
        let all = || {
            let mut statement = self.connection.prepare_cached(query)?;
            let rows = statement.query_map(values, read)?;
            rows.collect::<rusqlite::Result<Vec<T>>>()
        };
        all().in_logbook(self.path())
    }
}

fn day(row: &Row<'_>, column: usize) -> rusqlite::Result<Date> {
    parsed(&row.get::<_, String>(column)?, column)
}

fn optional_day(row: &Row<'_>, column: usize) -> rusqlite::Result<Option<Date>> {
    row.get::<_, Option<String>>(column)?.map(|text| parsed(&text, column)).transpose()
}

fn parsed(text: &str, column: usize) -> rusqlite::Result<Date> {
    text.parse().map_err(|error: jiff::Error| {
        rusqlite::Error::FromSqlConversionFailure(
            column,
            rusqlite::types::Type::Text,
            Box::new(error),
        )
    })
}
