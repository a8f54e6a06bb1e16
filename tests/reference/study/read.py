#!/usr/bin/env python3
"""What Apache Arrow finds in the Parquet file of a sweep, against the same sweep as text.

    python3 read.py PROGRAM          compares, and exits with 1 when anything differs
    python3 read.py PROGRAM --store  writes pyarrow.json in this folder besides

PROGRAM makes a small grid as Parquet, as CSV and as JSON lines; one load in it is out of reach, so that
absent values are there. pyarrow reads the Parquet, Python's own csv and json the texts. Every number must
be the same double, every absent value absent in all three.
"""
import csv
import json
import os
import pathlib
import subprocess
import sys
import tempfile

import pyarrow
import pyarrow.parquet

HERE = pathlib.Path(__file__).resolve().parent
GRID = ["--load", "60%", "--step", "5", "--step", "1",
        "--over", "regulator.load=60%,190%", "--over", "supply.voltage=95%,105%"]
FORMATS = ["parquet", "csv", "jsonl"]


def table_of(program, folder, name, *more):
    command = [program, "sweep", *GRID, "--out", name, *more]
    subprocess.run(command, cwd=folder, check=True, stdout=subprocess.DEVNULL)
    return os.path.join(folder, name)


def text_rows(file):
    """Rows of the text tables, every cell as it stands there."""
    with open(file, encoding="utf-8", newline="") as lines:
        if file.endswith(".jsonl"):
            return [json.loads(line) for line in lines]
        return list(csv.DictReader(lines))


def differences(schema, rows, texts):
    """Cells in which a text says something else than pyarrow read."""
    found = []
    if len(rows) != len(texts):
        return [f"{len(rows)} rows and {len(texts)}"]
    for at, (row, text) in enumerate(zip(rows, texts)):
        if not set(text) <= set(row):
            found.append(f"row {at}: other columns")
        for field in schema:
            cell, said = row[field.name], text.get(field.name)
            if said in ("", None):
                same = cell is None
            elif pyarrow.types.is_string(field.type):
                same = cell == said
            elif pyarrow.types.is_integer(field.type):
                same = cell == int(said)
            else:
                same = cell == float(said)
            if not same:
                found.append(f"row {at}, {field.name}: {cell!r} and {said!r}")
    return found


def main():
    program = str(pathlib.Path(sys.argv[1]).resolve())
    wrong = []
    with tempfile.TemporaryDirectory() as folder:
        files = {kind: table_of(program, folder, f"grid.{kind}") for kind in FORMATS}
        parts = [table_of(program, folder, f"part{k}.parquet", "--part", f"{k}/3") for k in (1, 2, 3)]
        joined = table_of(program, folder, "joined.parquet", "--join", *map(os.path.basename, parts))
        file = pyarrow.parquet.ParquetFile(files["parquet"])
        schema, rows = file.schema_arrow, file.read().to_pylist()
        for kind in FORMATS[1:]:
            wrong += [f"{kind}: {what}" for what in differences(schema, rows, text_rows(files[kind]))]
        if not pyarrow.parquet.read_table(joined).equals(file.read()):
            wrong.append("the joined parts are another table")
        absent = sum(cell is None for row in rows for cell in row.values())
        if not absent:
            wrong.append("no value is absent: the grid does not test what it should")
        card = json.loads(file.metadata.metadata[b"loopcrest.sweep"])
        if card["part"] != "1/1":
            wrong.append("the card in the file is another one")
        result = {
            "read by": f"pyarrow {pyarrow.__version__}",
            "compression": file.metadata.row_group(0).column(0).compression,
            "schema": [[field.name, str(field.type), field.nullable] for field in schema],
            "rows": rows,
        }
    for what in wrong:
        print(f"DIFFERENCE: {what}")
    if not wrong:
        print(f"{len(rows)} rows of {len(schema)} columns, {absent} cells absent: the same in all")
        if "--store" in sys.argv:
            (HERE / "pyarrow.json").write_text(json.dumps(result, indent=1) + "\n")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
