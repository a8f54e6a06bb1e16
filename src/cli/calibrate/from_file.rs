use std::path::Path;

use crate::error::{Error, Place, Result};
use crate::procedure::entry::ReadingTaken;
use crate::procedure::{Candidate, Journal, ReadingFile, Run};

/// The readings of a file as they would be written down, when the whole file is sound.
pub(super) fn weighed<J: Journal>(
    run: &Run<J>,
    file: &Path,
    keep_doubtful: bool,
) -> Result<Vec<ReadingTaken>> {
    crate::cli::console::refuse_standard_input(file)?;
    let readings = ReadingFile::read(file, run.bench().steps())?;
    let weighed = run.weigh_all(&readings).map_err(|error| error.in_file(file))?;
    let asked = |code: &str| Candidate::ASKED.contains(&code);
    let doubted = readings.readings.iter().zip(&weighed).find_map(|(row, reading)| {
        let doubt = reading.doubts.iter().find(|doubt| asked(&doubt.code))?;
        Some((row.line, doubt))
    });
    if let (Some((line, doubt)), false) = (doubted, keep_doubtful) {
        return Err(Error::inconsistent(doubt.text.clone())
            .at(Place::line(line).with_field("shown"))
            .in_file(file)
            .with_hint("mend the row, or keep such readings with their doubts: --keep-doubtful"));
    }
    Ok(weighed)
}

/// Enters the readings of a file, all of them or none.
pub(super) fn enter<J: Journal>(run: &mut Run<J>, file: &Path, keep_doubtful: bool) -> Result<()> {
    let readings = weighed(run, file, keep_doubtful)?;
    run.remark(format!(
        "readings entered from a file, {} of them; the other items were not asked",
        readings.len()
    ))?;
    for reading in readings {
        run.read(reading)?;
    }
    Ok(())
}
