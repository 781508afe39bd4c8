//! Apache Parquet: a row group for each batch, compressed by Snappy.
//!
//! Instants are timestamps in milliseconds, UTC; dates are dates; texts are UTF-8 with a
//! dictionary; a column that always has a value is required, any other may be null. The
//! metadata have the table's dictionary, the units and the zone of the site.

use super::{Head, Sink};
use crate::export::ExportError;
use crate::export::batch::{Batch, NO_DATE, NO_FLAG, NO_WHOLE, NO_WORD, Values};
use crate::export::column::{Column, Kind};
use crate::export::dictionary;
use crate::units::Units;
use parquet::basic::{Compression, Encoding, LogicalType, Repetition, TimeUnit, Type as Physical};
use parquet::data_type::{
    BoolType, ByteArray, ByteArrayType, DataType, DoubleType, FloatType, Int32Type, Int64Type,
};
use parquet::errors::ParquetError;
use parquet::file::metadata::KeyValue;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::{SerializedColumnWriter, SerializedFileWriter};
use parquet::schema::types::{ColumnPath, Type};
use std::io::Write;
use std::sync::Arc;

pub(super) struct ParquetSink<W: Write + Send> {
    writer: SerializedFileWriter<W>,
    /// Columns in which every row has a value.
    required: Vec<bool>,
    /// The texts of each column.
    words: Vec<Vec<ByteArray>>,
}

impl From<ParquetError> for ExportError {
    fn from(error: ParquetError) -> Self {
        match error {
            // What the disk said is told as such.
            ParquetError::External(inner) => match inner.downcast::<std::io::Error>() {
                Ok(io) => Self::Io(*io),
                Err(other) => Self::Encoder(other.to_string()),
            },
            other => Self::Encoder(other.to_string()),
        }
    }
}

fn field(column: &Column, units: Units) -> Result<Arc<Type>, ParquetError> {
    let (physical, logical) = match column.kind {
        Kind::Time => {
            let unit = TimeUnit::MILLIS;
            (Physical::INT64, Some(LogicalType::timestamp(true, unit)))
        }
        Kind::Date => (Physical::INT32, Some(LogicalType::Date)),
        Kind::Text | Kind::Word => (Physical::BYTE_ARRAY, Some(LogicalType::String)),
        Kind::Float => (Physical::FLOAT, None),
        Kind::Double => (Physical::DOUBLE, None),
        Kind::Whole => (Physical::INT64, None),
        Kind::Flag => (Physical::BOOLEAN, None),
    };
    let repetition = if column.required() { Repetition::REQUIRED } else { Repetition::OPTIONAL };
    let name = column.name(units);
    let field = Type::primitive_type_builder(&name, physical);
    let field = field.with_logical_type(logical).with_repetition(repetition);
    Ok(Arc::new(field.build()?))
}

/// Values that mostly rise take little room as differences.
fn rises(column: &Column, name: &str) -> bool {
    column.kind == Kind::Time || name == "boot_ms"
}

fn properties(head: &Head<'_>) -> WriterProperties {
    let columns = dictionary::json_of(head.table, head.units).to_string();
    let units = match head.units {
        Units::Si => "si",
        Units::Us => "us",
    };
    let told = [
        ("underbrush.table", head.table.name().to_owned()),
        ("underbrush.columns", columns),
        ("underbrush.units", units.to_owned()),
        ("underbrush.time_zone", head.told.zone.clone()),
    ];
    let told = told.into_iter().map(|(key, value)| KeyValue::new(key.to_owned(), value));
    let mut properties = WriterProperties::builder()
        .set_compression(Compression::SNAPPY)
        .set_created_by(head.told.program.to_owned())
        .set_key_value_metadata(Some(told.collect()));
    for column in head.table.columns() {
        let name = column.name(head.units);
        if rises(column, &name) {
            let path = ColumnPath::from(name);
            properties = properties
                .set_column_dictionary_enabled(path.clone(), false)
                .set_column_encoding(path, Encoding::DELTA_BINARY_PACKED);
        }
    }
    properties.build()
}

impl<W: Write + Send> ParquetSink<W> {
    pub(super) fn new(head: &Head<'_>, out: W) -> Result<Self, ExportError> {
        let columns = head.table.columns();
        let fields = columns.iter().map(|column| field(column, head.units));
        let fields = fields.collect::<Result<Vec<_>, _>>()?;
        let schema = Type::group_type_builder(head.table.name()).with_fields(fields).build()?;
        let properties = Arc::new(properties(head));
        let writer = SerializedFileWriter::new(out, Arc::new(schema), properties)?;
        let required = columns.iter().map(Column::required).collect();
        Ok(Self { writer, required, words: vec![Vec::new(); columns.len()] })
    }
}

/// Writes the values of a column but those that are missing.
fn write<T: DataType, V: Copy>(
    column: &mut SerializedColumnWriter<'_>,
    list: &[V],
    required: bool,
    known: impl Fn(V) -> bool,
    value: impl Fn(V) -> T::T,
) -> Result<(), ParquetError> {
    let column = column.typed::<T>();
    if required {
        let values: Vec<T::T> = list.iter().map(|v| value(*v)).collect();
        return column.write_batch(&values, None, None).map(|_| ());
    }
    let values: Vec<T::T> = list.iter().filter(|v| known(**v)).map(|v| value(*v)).collect();
    let levels: Vec<i16> = list.iter().map(|v| i16::from(known(*v))).collect();
    column.write_batch(&values, Some(&levels), None).map(|_| ())
}

fn write_column(
    column: &mut SerializedColumnWriter<'_>,
    values: &Values,
    words: &[ByteArray],
    required: bool,
) -> Result<(), ParquetError> {
    match values {
        Values::Time(list) | Values::Whole(list) => {
            write::<Int64Type, _>(column, list, required, |v| v != NO_WHOLE, |v| v)
        }
        Values::Date(list) => {
            write::<Int32Type, _>(column, list, required, |v| v != NO_DATE, |v| v)
        }
        Values::Text(list) => {
            let text = |word: u32| words.get(word as usize).cloned().unwrap_or_default();
            write::<ByteArrayType, _>(column, list, required, |v| v != NO_WORD, text)
        }
        Values::Float(list) => {
            write::<FloatType, _>(column, list, required, |v| !v.is_nan(), |v| v)
        }
        Values::Double(list) => {
            write::<DoubleType, _>(column, list, required, |v| !v.is_nan(), |v| v)
        }
        Values::Flag(list) => {
            write::<BoolType, _>(column, list, required, |v| v != NO_FLAG, |v| v == 1)
        }
    }
}

impl<W: Write + Send> Sink for ParquetSink<W> {
    fn rows(&mut self, batch: &Batch) -> Result<(), ExportError> {
        for (known, words) in self.words.iter_mut().zip(&batch.words) {
            let fresh = words.list().iter().skip(known.len());
            known.extend(fresh.map(|text| ByteArray::from(text.as_str())).collect::<Vec<_>>());
        }
        let mut group = self.writer.next_row_group()?;
        for ((values, words), required) in batch.columns.iter().zip(&self.words).zip(&self.required)
        {
            let Some(mut column) = group.next_column()? else { break };
            write_column(&mut column, values, words, *required)?;
            column.close()?;
        }
        group.close()?;
        Ok(())
    }

    fn finish(self: Box<Self>) -> Result<(), ExportError> {
        self.writer.close()?;
        Ok(())
    }
}
