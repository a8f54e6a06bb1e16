use std::fs::File;
use std::io::Error;
use std::sync::Arc;

use parquet::basic::{Compression, Repetition, Type as Physical};
use parquet::data_type::DoubleType;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::SerializedFileWriter;
use parquet::schema::types::Type;

use super::series_table::RowWriter;

/// Rows of a group: what is held in memory at a time.
const GROUP_ROWS: usize = 1 << 14;

/// Rows as columns of optional doubles.
pub(super) struct ParquetRows {
    writer: SerializedFileWriter<File>,
    columns: Vec<Vec<Option<f64>>>,
}

impl ParquetRows {
    pub(super) fn new(file: File, columns: &[String]) -> std::io::Result<Self> {
        let field = |name: &String| {
            Type::primitive_type_builder(name, Physical::DOUBLE)
                .with_repetition(Repetition::OPTIONAL)
                .build()
                .map(Arc::new)
        };
        let fields: Vec<_> =
            columns.iter().map(field).collect::<Result<_, _>>().map_err(Error::other)?;
        let schema =
            Type::group_type_builder("series").with_fields(fields).build().map_err(Error::other)?;
        let properties = WriterProperties::builder().set_compression(Compression::SNAPPY).build();
        let writer = SerializedFileWriter::new(file, Arc::new(schema), Arc::new(properties))
            .map_err(Error::other)?;
        Ok(Self { writer, columns: vec![Vec::new(); columns.len()] })
    }

    fn flush(&mut self) -> std::io::Result<()> {
        let mut group = self.writer.next_row_group().map_err(Error::other)?;
        for column in &mut self.columns {
            let levels: Vec<i16> = column.iter().map(|cell| i16::from(cell.is_some())).collect();
            let values: Vec<f64> = column.iter().flatten().copied().collect();
            let Some(mut out) = group.next_column().map_err(Error::other)? else { break };
            out.typed::<DoubleType>()
                .write_batch(&values, Some(&levels), None)
                .map_err(Error::other)?;
            out.close().map_err(Error::other)?;
            column.clear();
        }
        group.close().map_err(Error::other)?;
        Ok(())
    }
}

impl RowWriter for ParquetRows {
    fn row(&mut self, cells: &[Option<f64>]) -> std::io::Result<()> {
        for (column, cell) in self.columns.iter_mut().zip(cells) {
            column.push(*cell);
        }
        if self.columns.first().is_some_and(|column| column.len() >= GROUP_ROWS) {
            self.flush()?;
        }
        Ok(())
    }

    fn close(mut self: Box<Self>) -> std::io::Result<()> {
        if self.columns.first().is_some_and(|column| !column.is_empty()) {
            self.flush()?;
        }
        self.writer.close().map_err(Error::other)?;
        Ok(())
    }
}
