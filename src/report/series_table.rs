use std::io::{BufWriter, Write};
use std::path::Path;

use tempfile::NamedTempFile;

use crate::error::{Error, Result};

#[cfg(feature = "study")]
use super::parquet_rows::ParquetRows;

/// Where rows go.
pub(super) trait RowWriter {
    fn row(&mut self, cells: &[Option<f64>]) -> std::io::Result<()>;
    fn close(self: Box<Self>) -> std::io::Result<()>;
}

/// The writer for a file, told by the end of its name.
///
/// # Errors
/// `Malformed` for a name that ends otherwise; `Io` when nothing can be written.
pub(super) fn rows_for(
    target: &Path,
    file: &NamedTempFile,
    columns: &[String],
) -> Result<Box<dyn RowWriter>> {
    let failed = |source| Error::io(target, source);
    let end = target.extension().and_then(|end| end.to_str()).unwrap_or("").to_ascii_lowercase();
    let file = file.reopen().map_err(failed)?;
    match end.as_str() {
        "csv" => {
            let mut out = BufWriter::new(file);
            writeln!(out, "{}", columns.join(",")).map_err(failed)?;
            Ok(Box::new(CsvRows { out }))
        }
        #[cfg(feature = "study")]
        "parquet" => Ok(Box::new(ParquetRows::new(file, columns).map_err(failed)?)),
        _ => Err(Error::malformed(
            "a file name that ends in .csv or .parquet",
            format!("\"{}\"", target.display()),
        )),
    }
}

/// Rows as delimited text, an unknown as an empty cell.
struct CsvRows {
    out: BufWriter<std::fs::File>,
}

impl RowWriter for CsvRows {
    fn row(&mut self, cells: &[Option<f64>]) -> std::io::Result<()> {
        for (at, cell) in cells.iter().enumerate() {
            if at > 0 {
                self.out.write_all(b",")?;
            }
            if let Some(value) = cell {
                write!(self.out, "{value:.9}")?;
            }
        }
        self.out.write_all(b"\n")
    }

    fn close(mut self: Box<Self>) -> std::io::Result<()> {
        self.out.flush()
    }
}
