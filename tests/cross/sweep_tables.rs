//! Tables of sweeps against what another program read in them.

use loopcrest::description::Description;
use loopcrest::study::{Axis, Design, Part, Sweep, VariedCircuit};
use serde_json::Value;

use crate::support::assert_relative;

/// What pyarrow read in a Parquet file of this sweep; `tests/reference/study` says how.
const READ: &str = include_str!("../reference/study/pyarrow.json");

/// The columns pyarrow found, with their types, and every number of every row, are those of the table
/// as text now; what it found absent is empty.
#[test]
fn cross_a_sweep_read_by_arrow_is_the_table_as_text() {
    let read: Value = serde_json::from_str(READ).unwrap();
    let mut description = Description::embedded();
    description.field = None;
    description.regulator.as_mut().unwrap().load_ratio = 0.6;
    let circuit = VariedCircuit::new(&description, &[5, 1]).unwrap();
    let axes = ["regulator.load=60%,190%", "supply.voltage=95%,105%"];
    let axes = axes.map(|axis| Axis::parse(axis, &description).unwrap()).to_vec();
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("grid.csv");
    let design = Design::grid(axes).unwrap();
    Sweep::new(&description, &circuit, design, Part::WHOLE).run(&file, &mut ()).unwrap();
    let mut table = csv::Reader::from_path(&file).unwrap();
    let heads: Vec<String> = table.headers().unwrap().iter().map(str::to_owned).collect();
    let schema = read["schema"].as_array().unwrap();
    assert_eq!(heads, schema.iter().map(|field| field[0].as_str().unwrap()).collect::<Vec<_>>());
    let (mut rows, mut absent) = (0, 0);
    for (row, found) in table.records().map(Result::unwrap).zip(read["rows"].as_array().unwrap()) {
        rows += 1;
        for (field, cell) in schema.iter().zip(&row) {
            let (name, kind) = (field[0].as_str().unwrap(), field[1].as_str().unwrap());
            match &found[name] {
                Value::Null => {
                    assert_eq!((cell, &field[2]), ("", &Value::Bool(true)), "{name}");
                    absent += 1;
                }
                Value::String(word) => assert_eq!((cell, kind), (word.as_str(), "string")),
                number => {
                    assert_eq!(kind, if number.is_u64() { "int64" } else { "double" }, "{name}");
                    let reason = "the period closes to 1e-10; processors round differently";
                    let got: f64 = cell.parse().unwrap();
                    assert_relative(got, number.as_f64().unwrap(), 1e-8, reason);
                }
            }
        }
    }
    assert_eq!((rows, absent), (8, 20));
}
