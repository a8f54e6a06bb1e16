use std::path::Path;

use crate::error::{Error, Place, Result};
use crate::procedure::{Candidate, Entry, Journal, ReadingFile, Run};

/// The rows of a file as they would be written down, when the whole file is sound.
pub(super) fn weighed<J: Journal>(
    run: &Run<J>,
    file: &Path,
    keep_doubtful: bool,
) -> Result<(ReadingFile, Vec<Entry>)> {
    crate::cli::console::refuse_standard_input(file)?;
    let rows = ReadingFile::read(file, run.bench().steps())?;
    let weighed = run.weigh_all(&rows).map_err(|error| error.in_file(file))?;
    let asked = |code: &str| Candidate::ASKED.contains(&code);
    let doubted = rows.rows.iter().zip(&weighed).find_map(|(row, entry)| {
        let Entry::Reading(reading) = entry else { return None };
        let doubt = reading.doubts.iter().find(|doubt| asked(&doubt.code))?;
        Some((row.line(), doubt.clone()))
    });
    if let (Some((line, doubt)), false) = (doubted, keep_doubtful) {
        return Err(Error::inconsistent(doubt.text)
            .at(Place::line(line).with_field("shown"))
            .in_file(file)
            .with_hint("mend the row, or keep such readings with their doubts: --keep-doubtful"));
    }
    Ok((rows, weighed))
}

/// Enters the rows of a file, all of them or none; whether it answers items of the procedure.
pub(super) fn enter<J: Journal>(
    run: &mut Run<J>,
    file: &Path,
    keep_doubtful: bool,
) -> Result<bool> {
    let (rows, entries) = weighed(run, file, keep_doubtful)?;
    let readings = rows.readings().count();
    let others = if rows.has_answers() { "answers as the file has them" } else { "not asked" };
    run.remark(format!(
        "readings entered from a file, {readings} of them; the other items: {others}"
    ))?;
    for entry in entries {
        run.enter(entry)?;
    }
    Ok(rows.has_answers())
}
