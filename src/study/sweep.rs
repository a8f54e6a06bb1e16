use std::ops::{ControlFlow, Range};
use std::path::{Path, PathBuf};

use serde_json::json;

use crate::description::Description;
use crate::error::{Error, Result};

use super::in_order::in_order;
use super::sweep_files::{beside, card_of, exists, rows_of, write_whole};
use super::text_table::{TableShape, TextTable};
use super::{
    Columns, Design, Part, Progress, StepOutcome, SweepEnd, TableFormat, VariedCircuit,
    parquet_table,
};

/// Many circuits solved at every step, as one table on disk: a row for each circuit and step.
///
/// The rows are the same bytes on any number of threads, whether the sweep was interrupted and run
/// again or not, and the parts of a sweep, one behind the other, are the whole: only the first part
/// of a CSV has a head. Beside the table stands a card, `<table>.sweep.json`, that says which sweep it
/// is; without the same card a table is not continued.
///
/// A Parquet file cannot be continued, so its rows wait as text in `<table>.rows`. An interrupted
/// sweep leaves a readable Parquet file of what there is, and the rows beside it; the rows go when the
/// sweep is complete. Parts of Parquet files are put together by [`Self::join`].
#[derive(Debug)]
pub struct Sweep<'a> {
    circuit: &'a VariedCircuit,
    description_text: &'a str,
    design: Design,
    columns: Columns,
    part: Part,
}

impl<'a> Sweep<'a> {
    /// A sweep of a description, prepared as `circuit`.
    #[must_use]
    pub fn new(
        description: &'a Description,
        circuit: &'a VariedCircuit,
        design: Design,
        part: Part,
    ) -> Self {
        let columns = Columns::new(&design.parameters());
        Self { circuit, description_text: &description.runnable_text, design, columns, part }
    }

    /// Writes the table, or what is missing of it.
    ///
    /// # Errors
    /// `Inconsistent` when the file is there without the card of this sweep; `Malformed` when it is
    /// not its beginning; `Io`.
    pub fn run(&self, out: &Path, progress: &mut dyn Progress) -> Result<SweepEnd> {
        let format = TableFormat::of(out)?;
        let circuits = self.circuits();
        let count = circuits.end - circuits.start;
        let rows = rows_of(out, format);
        let card = self.card(self.part);
        let is_begun = self.is_begun(out, &card)?;
        if is_begun && format == TableFormat::Parquet && out.exists() && !rows.exists() {
            return Ok(SweepEnd { circuits: count, found: count, done: count });
        }
        let shape = self.shape(format, &circuits);
        let mut table = if is_begun && rows.exists() {
            TextTable::reopen(&rows, shape)?
        } else {
            write_whole(&card_of(out), &card)?;
            TextTable::create(&rows, shape)?
        };
        let found = table.next - circuits.start;
        self.fill(&mut table, shape, progress)?;
        let end = SweepEnd { circuits: count, found, done: table.next - circuits.start };
        drop(table);
        if format == TableFormat::Parquet {
            self.write_parquet(&rows, &card, out)?;
            if end.is_complete() {
                std::fs::remove_file(&rows).map_err(|source| Error::io(&rows, source))?;
            }
        }
        Ok(end)
    }

    /// Takes away a table with what stands beside it.
    ///
    /// # Errors
    /// `Io` when a file cannot be removed.
    pub fn remove(out: &Path) -> Result<()> {
        for file in [out.to_owned(), card_of(out), rows_of(out, TableFormat::Parquet)] {
            match std::fs::remove_file(&file) {
                Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
                    return Err(Error::io(file, error));
                }
                _ => {}
            }
        }
        Ok(())
    }

    /// Puts the tables of all parts, in their order, together to the whole one.
    ///
    /// # Errors
    /// `Inconsistent` when a table has no card, the cards are not those of the parts of one sweep,
    /// or a part is not complete; `Io`.
    pub fn join(&self, parts: &[PathBuf], out: &Path) -> Result<SweepEnd> {
        let format = TableFormat::of(out)?;
        if out.exists() {
            return Err(exists(out));
        }
        let rows = rows_of(out, format);
        self.join_rows(parts, &rows, format).inspect_err(|_| {
            // Half a table would look like one; that it cannot be removed changes nothing.
            let _ = std::fs::remove_file(&rows);
        })?;
        let card = self.card(Part::WHOLE);
        write_whole(&card_of(out), &card)?;
        if format == TableFormat::Parquet {
            self.write_parquet(&rows, &card, out)?;
            std::fs::remove_file(&rows).map_err(|source| Error::io(&rows, source))?;
        }
        let circuits = self.design.circuits();
        Ok(SweepEnd { circuits, found: 0, done: circuits })
    }

    fn join_rows(&self, parts: &[PathBuf], rows: &Path, format: TableFormat) -> Result<()> {
        let circuits = 0..self.design.circuits();
        let shape =
            TableShape { with_head: format == TableFormat::Csv, ..self.shape(format, &circuits) };
        let mut table = TextTable::create(rows, shape)?;
        for (at, file) in parts.iter().enumerate() {
            let part = Part::new(at as u64 + 1, parts.len() as u64)?;
            self.add_part(&mut table, file, format, part)?;
        }
        Ok(())
    }

    /// The Parquet file of what stands as text, whole or not at all.
    fn write_parquet(&self, rows: &Path, card: &str, out: &Path) -> Result<()> {
        let unfinished = beside(out, ".unfinished");
        parquet_table::write(rows, &self.columns, card, &unfinished)?;
        std::fs::rename(&unfinished, out).map_err(|source| Error::io(out, source))
    }

    /// One part behind what is there.
    fn add_part(
        &self,
        table: &mut TextTable,
        file: &Path,
        format: TableFormat,
        part: Part,
    ) -> Result<()> {
        let name = file.display();
        if TableFormat::of(file)? != format {
            return Err(Error::inconsistent(format!("{name} is of another format")));
        }
        if !self.is_begun(file, &self.card(part))? {
            return Err(Error::inconsistent(format!("there is no {name}")));
        }
        let circuits = part.circuits(self.design.circuits());
        let incomplete = || {
            Error::inconsistent(format!("{name} is not complete"))
                .with_hint("run that part again: it goes on where it stopped")
        };
        if format == TableFormat::Parquet {
            if rows_of(file, format).exists() {
                return Err(incomplete());
            }
            parquet_table::read(file, &self.columns, |row| table.append(row, 0))?;
        } else {
            let with_head = part.number() == 1 && format == TableFormat::Csv;
            let shape = TableShape { with_head, ..self.shape(format, &circuits) };
            if TextTable::reopen(file, shape)?.next < circuits.end {
                return Err(incomplete());
            }
            table.append_file(file, shape.head().map_or(0, |head| head.len() as u64))?;
        }
        table.next = circuits.end;
        Ok(())
    }

    fn circuits(&self) -> Range<u64> {
        self.part.circuits(self.design.circuits())
    }

    fn shape<'s>(&'s self, format: TableFormat, circuits: &'s Range<u64>) -> TableShape<'s> {
        TableShape {
            columns: &self.columns,
            text: format.text(),
            circuits,
            rows_per_circuit: self.circuit.steps().len() as u64,
            with_head: self.part.number() == 1 && format == TableFormat::Csv,
        }
    }

    /// Solves what is missing on all processors, and writes each circuit when its turn comes.
    fn fill(
        &self,
        table: &mut TextTable,
        shape: TableShape<'_>,
        progress: &mut dyn Progress,
    ) -> Result<()> {
        let Range { start, end } = *shape.circuits;
        progress.show(table.next - start, end - start);
        if progress.is_stopped() {
            return Ok(());
        }
        let mut text = String::new();
        in_order(
            table.next..end,
            |circuit| self.solve(circuit),
            |circuit, (values, outcomes)| {
                text.clear();
                for outcome in &outcomes {
                    let cells = self.columns.row(circuit, &values, outcome);
                    shape.text.row(&self.columns, &cells, &mut text);
                }
                table.append(&text, 1)?;
                progress.show(circuit + 1 - start, end - start);
                Ok(if progress.is_stopped() {
                    ControlFlow::Break(())
                } else {
                    ControlFlow::Continue(())
                })
            },
        )
    }

    fn solve(&self, circuit: u64) -> Result<(Vec<f64>, Vec<StepOutcome>)> {
        let values = self.design.values(circuit);
        let changes: Vec<_> =
            self.design.parameters().into_iter().zip(values.iter().copied()).collect();
        let outcomes = self.circuit.solve(&changes)?;
        Ok((values, outcomes))
    }

    /// Whether the table was begun by this very sweep.
    fn is_begun(&self, out: &Path, card: &str) -> Result<bool> {
        let card_file = card_of(out);
        match std::fs::read_to_string(&card_file) {
            Ok(known) if known == card => Ok(true),
            Ok(_) => Err(Error::inconsistent(format!(
                "{} belongs to another sweep: its card differs",
                out.display()
            ))
            .with_hint(format!("compare {}, or write anew with --replace", card_file.display()))),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
                if out.exists() {
                    Err(exists(out))
                } else {
                    Ok(false)
                }
            }
            Err(error) => Err(Error::io(card_file, error)),
        }
    }

    /// Which sweep it is: everything the rows depend on.
    fn card(&self, part: Part) -> String {
        let steps: Vec<u32> = self.circuit.steps().iter().map(|step| step.number).collect();
        let card = json!({
            "columns": self.columns.heads(),
            "description": self.description_text,
            "design": self.design.card(),
            "load": self.circuit.load_words(),
            "part": part.to_string(),
            "program": format!("loopcrest {}", env!("CARGO_PKG_VERSION")),
            "steps": steps,
        });
        format!("{card:#}\n")
    }
}
