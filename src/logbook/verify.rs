use rusqlite::{Connection, OptionalExtension};

use crate::error::{Error, Result};

use super::stored_entry::StoredEntry;
use super::trouble::{Attempt, InLogbook};
use super::{Head, Logbook, Misfit, Verification, chain, derived, schema};

/// Digits of a hash that are enough to know it again: 48 bits.
const LEAST_DIGITS: usize = 12;
/// How many complaints of the store about its file are passed on.
const MAX_COMPLAINTS: usize = 5;

impl Logbook {
    /// Looks through all of the logbook: the file itself, every entry's hash and place, and whether
    /// the lists are what follows from the entries. With the hash of an earlier last entry, or its
    /// first 12 digits, it also shows whether entries were cut off since.
    ///
    /// # Errors
    /// `Io` when it cannot be read at all. What does not fit is no error but in the result.
    pub fn verify(&self, earlier_head: Option<&str>) -> Result<Verification> {
        self.looked_through(earlier_head).in_logbook(self.path())
    }

    fn looked_through(&self, earlier_head: Option<&str>) -> Attempt<Verification> {
        // All of it as it stands at one moment, whatever others write meanwhile.
        let _moment = self.connection.unchecked_transaction()?;
        let mut misfits = Vec::new();
        let mut found = |number, code, text| misfits.push(Misfit { number, code, text });
        for complaint in complaints(&self.connection)? {
            found(None, "file", format!("the file is damaged: {complaint}"));
        }
        let Walk { head, broken } = walk(&self.connection)?;
        let chain_holds = broken.is_none();
        if let Some((number, what)) = broken {
            found(Some(number), "chain", what);
        }
        let since_head = match (earlier_head, &head) {
            (Some(earlier), _) => {
                let place = place_of(&self.connection, earlier)?;
                if place.is_none() {
                    found(
                        None,
                        "head",
                        format!(
                            "no entry has the hash {earlier}: entries were cut off, or this is \
                             another logbook"
                        ),
                    );
                }
                place.zip(head.as_ref()).map(|(place, head)| head.number.saturating_sub(place))
            }
            _ => None,
        };
        let fresh = schema::in_memory()?;
        let declared = schema::declared(&self.connection)?;
        let wanted = schema::declared(&fresh)?;
        for (name, _) in wanted.iter().filter(|wanted| !declared.contains(wanted)) {
            found(
                None,
                "guards",
                format!("\"{name}\" is missing or changed: another program altered the file"),
            );
        }
        for (name, _) in declared.iter().filter(|(name, _)| !wanted.iter().any(|(n, _)| n == name))
        {
            found(None, "guards", format!("\"{name}\" was added by another program"));
        }
        if chain_holds {
            for list in differing(&self.connection, &fresh)? {
                found(
                    None,
                    "lists",
                    format!("the list \"{list}\" is not what follows from the entries"),
                );
            }
        }
        let entries = head.as_ref().map_or(0, |head| head.number);
        Ok(Verification { entries, head, misfits, since_head })
    }
}

struct Walk {
    /// The last entry that fits.
    head: Option<Head>,
    /// The first that does not, and why.
    broken: Option<(u64, String)>,
}

fn walk(connection: &Connection) -> Attempt<Walk> {
    let query = format!("SELECT {} FROM entry ORDER BY number", StoredEntry::COLUMNS);
    let mut statement = connection.prepare(&query)?;
    let mut rows = statement.query([])?;
    let mut head: Option<Head> = None;
    loop {
        let number = head.as_ref().map_or(1, |head| head.number + 1);
        let row = match rows.next() {
            Ok(Some(row)) => row,
            Ok(None) => return Ok(Walk { head, broken: None }),
            Err(error) => {
                let what = format!("entry {number} cannot be read ({error})");
                return Ok(Walk { head, broken: Some((number, what)) });
            }
        };
        let misfit = match StoredEntry::from_row(row) {
            Ok(stored) => match misfit(&stored, head.as_ref()) {
                None => {
                    head = Some(Head { number: stored.number, hash: stored.hash });
                    continue;
                }
                Some(what) => what,
            },
            Err(error) => format!("entry {number} cannot be read ({error})"),
        };
        return Ok(Walk { head, broken: Some((number, misfit)) });
    }
}

/// Why an entry does not fit behind the last one.
pub(super) fn misfit(stored: &StoredEntry, before: Option<&Head>) -> Option<String> {
    let number = before.map_or(1, |before| before.number + 1);
    let previous = before.map_or(chain::OF_NOTHING, |before| before.hash.as_str());
    if stored.number != number {
        return Some(format!("entry {number} is missing: entry {} follows", stored.number));
    }
    if chain::hash_of(stored) != stored.hash {
        return Some(format!("entry {number} is not as it was written: its hash does not fit it"));
    }
    if stored.previous_hash != previous {
        return Some(format!(
            "entry {number} was not written behind entry {} as that stands here",
            number - 1
        ));
    }
    match stored.read() {
        Err(error) => Some(error.to_string()),
        Ok(logged) if logged.entry.kind() != stored.kind => {
            Some(format!("entry {number} is a {}, listed as {}", logged.entry.kind(), stored.kind))
        }
        Ok(_) => None,
    }
}

fn complaints(connection: &Connection) -> Attempt<Vec<String>> {
    let mut statement = connection.prepare(&format!("PRAGMA integrity_check({MAX_COMPLAINTS})"))?;
    let mut rows = statement.query([])?;
    let mut complaints = Vec::new();
    loop {
        match rows.next() {
            Ok(Some(row)) => complaints.push(row.get::<_, String>(0)?),
            Ok(None) => break,
            Err(error) => {
                complaints.push(error.to_string());
                break;
            }
        }
    }
    complaints.retain(|complaint| complaint != "ok");
    Ok(complaints)
}

/// The entry whose hash is this one, or begins so.
fn place_of(connection: &Connection, hash: &str) -> Attempt<Option<u64>> {
    let hash = hash.trim().to_lowercase();
    let is_hash = hash.len() >= LEAST_DIGITS && hash.bytes().all(|byte| byte.is_ascii_hexdigit());
    if !is_hash {
        return Err(Error::malformed(
            format!("a hash: {LEAST_DIGITS} or more of its digits from the first on"),
            format!("\"{hash}\""),
        )
        .into());
    }
    let place = connection
        .query_row(
            "SELECT number FROM entry WHERE substr(hash, 1, length(?1)) = ?1",
            [hash],
            |row| row.get::<_, i64>(0),
        )
        .optional()?;
    Ok(place.map(i64::cast_unsigned))
}

/// The lists that are not what follows from the entries.
fn differing(connection: &Connection, fresh: &Connection) -> Attempt<Vec<&'static str>> {
    // Without the entries themselves nothing holds the references.
    fresh.pragma_update(None, "foreign_keys", false)?;
    derived::take_in_all(fresh, connection)?;
    let mut differing = Vec::new();
    for list in derived::LISTS {
        let same = matches!(
            derived::rows(connection, list),
            Ok(rows) if rows == derived::rows(fresh, list)?
        );
        if !same {
            differing.push(list);
        }
    }
    Ok(differing)
}
