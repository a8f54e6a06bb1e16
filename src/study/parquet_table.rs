//! Tables as Parquet.

use std::fs::File;
use std::path::Path;
use std::sync::Arc;

use parquet::basic::{Compression, LogicalType, Repetition, Type as PhysicalType};
use parquet::data_type::{ByteArray, ByteArrayType, DoubleType, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::metadata::KeyValue;
use parquet::file::properties::WriterProperties;
use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::file::writer::SerializedFileWriter;
use parquet::record::Field;
use parquet::schema::types::{Type, TypePtr};

use crate::error::{Error, Result};

use super::{Cell, ColumnKind, Columns, CsvText, RowText};

type Parquet<T> = std::result::Result<T, ParquetError>;

/// Rows of a group: what is held in memory at once.
const GROUP_ROWS: usize = 1 << 16;

/// Writes rows that stand as comma-separated text without a head. The same rows and card make the
/// same bytes.
pub(super) fn write(rows: &Path, columns: &Columns, card: &str, out: &Path) -> Result<()> {
    let kinds = columns.kinds();
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .from_path(rows)
        .map_err(|error| Error::io(rows, error.into()))?;
    let refused = |error: ParquetError| Error::io(out, std::io::Error::other(error));
    let card = KeyValue::new("loopcrest.sweep".to_owned(), card.to_owned());
    let properties = WriterProperties::builder()
        .set_compression(Compression::SNAPPY)
        .set_created_by(format!("loopcrest {}", env!("CARGO_PKG_VERSION")))
        .set_key_value_metadata(Some(vec![card]))
        .build();
    let file = File::create(out).map_err(|source| Error::io(out, source))?;
    let schema = schema(columns, &kinds).map_err(refused)?;
    let mut writer =
        SerializedFileWriter::new(file, schema, Arc::new(properties)).map_err(refused)?;
    let mut group: Vec<Vec<String>> = vec![Vec::new(); kinds.len()];
    let mut record = csv::StringRecord::new();
    loop {
        let more =
            reader.read_record(&mut record).map_err(|error| Error::io(rows, error.into()))?;
        if more {
            group.iter_mut().zip(&record).for_each(|(column, text)| column.push(text.to_owned()));
        }
        if group[0].len() == GROUP_ROWS || !more && !group[0].is_empty() {
            write_group(&mut writer, &kinds, &group).map_err(refused)?;
            group.iter_mut().for_each(Vec::clear);
        }
        if !more {
            break;
        }
    }
    writer.close().map_err(refused)?;
    Ok(())
}

fn schema(columns: &Columns, kinds: &[ColumnKind]) -> Parquet<TypePtr> {
    let column = |(head, kind): (&String, &ColumnKind)| {
        let (physical, repetition, logical) = match kind {
            ColumnKind::Whole => (PhysicalType::INT64, Repetition::REQUIRED, None),
            ColumnKind::Real => (PhysicalType::DOUBLE, Repetition::REQUIRED, None),
            ColumnKind::MaybeReal => (PhysicalType::DOUBLE, Repetition::OPTIONAL, None),
            ColumnKind::Word => {
                (PhysicalType::BYTE_ARRAY, Repetition::REQUIRED, Some(LogicalType::String))
            }
        };
        Type::primitive_type_builder(head, physical)
            .with_repetition(repetition)
            .with_logical_type(logical)
            .build()
            .map(Arc::new)
    };
    let fields = columns.heads().iter().zip(kinds).map(column).collect::<Parquet<_>>()?;
    Type::group_type_builder("sweep").with_fields(fields).build().map(Arc::new)
}

fn write_group(
    writer: &mut SerializedFileWriter<File>,
    kinds: &[ColumnKind],
    group: &[Vec<String>],
) -> Parquet<()> {
    let unreadable = |text: &str| ParquetError::General(format!("\"{text}\" is no number"));
    let mut rows = writer.next_row_group()?;
    for (kind, texts) in kinds.iter().zip(group) {
        let Some(mut column) = rows.next_column()? else { break };
        match kind {
            ColumnKind::Whole => {
                let number = |text: &String| text.parse::<i64>().map_err(|_| unreadable(text));
                let values = texts.iter().map(number).collect::<Parquet<Vec<_>>>()?;
                column.typed::<Int64Type>().write_batch(&values, None, None)?;
            }
            ColumnKind::Real | ColumnKind::MaybeReal => {
                let present = texts.iter().filter(|text| !text.is_empty());
                let number = |text: &String| text.parse::<f64>().map_err(|_| unreadable(text));
                let values = present.map(number).collect::<Parquet<Vec<_>>>()?;
                let levels: Vec<i16> =
                    texts.iter().map(|text| i16::from(!text.is_empty())).collect();
                let levels = (*kind == ColumnKind::MaybeReal).then_some(levels.as_slice());
                column.typed::<DoubleType>().write_batch(&values, levels, None)?;
            }
            ColumnKind::Word => {
                let values: Vec<ByteArray> =
                    texts.iter().map(|text| text.as_str().into()).collect();
                column.typed::<ByteArrayType>().write_batch(&values, None, None)?;
            }
        }
        column.close()?;
    }
    rows.close()?;
    Ok(())
}

/// Adds the rows of a Parquet file to a text, as they stood before it was made, through `append`.
pub(super) fn read(
    file: &Path,
    columns: &Columns,
    mut append: impl FnMut(&str) -> Result<()>,
) -> Result<()> {
    let refused = |error: ParquetError| Error::io(file, std::io::Error::other(error));
    let opened = File::open(file).map_err(|source| Error::io(file, source))?;
    let reader = SerializedFileReader::new(opened).map_err(refused)?;
    let mut text = String::new();
    for row in reader.get_row_iter(None).map_err(refused)? {
        let row = row.map_err(refused)?;
        let cells: Vec<Cell<'_>> = row
            .get_column_iter()
            .map(|(_, field)| match field {
                Field::Long(number) => Cell::Whole(*number as u64),
                Field::Double(value) => Cell::Real(Some(*value)),
                Field::Str(word) => Cell::Word(word),
                _ => Cell::Real(None),
            })
            .collect();
        text.clear();
        CsvText.row(columns, &cells, &mut text);
        append(&text)?;
    }
    Ok(())
}
