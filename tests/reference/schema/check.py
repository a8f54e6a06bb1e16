"""Checks what every command writes as JSON against the schema that the program itself prints.

    python3 check.py path/to/loopcrest        (needs the package jsonschema; Python 3.11, 4.26)

Every kind of document that the schema describes is written at least once: one that no command here
writes is an error. The schema is checked to be one, every document against it, and then every document with one field
taken away, renamed or of another type, which must be refused: a schema that lets everything pass would
be no check. The record read is an invented sine with a third harmonic.
"""

import copy
import json
import math
import pathlib
import subprocess
import sys
import tempfile

import jsonschema

PROGRAM = sys.argv[1]
# The number a visit has in a new logbook after a regulator and a meter.
VISIT = "3"
READINGS = """step,moment,output,shown
5,as-found,shorted,6.62
5,as-left,shorted,6.60
4,as-found,shorted,5.22
"""


def run(*arguments, codes=(0, 1)):
    done = subprocess.run([PROGRAM, *map(str, arguments)], capture_output=True, text=True)
    if done.returncode not in codes:
        sys.exit(f"{' '.join(map(str, arguments))}: exit code {done.returncode}\n{done.stderr}")
    return json.loads(done.stdout)


def record(path):
    with open(path, "w") as file:
        file.write("time (s),I (A)\n")
        for k in range(40_000):
            t = k / 8000
            w = 2 * math.pi * 50 * t
            file.write(f"{t:.6f},{9.33 * math.sin(w) + 0.7 * math.sin(3 * w):.5f}\n")


def required(schema, kind):
    """Names of the fields that a kind of document must have."""
    for choice in schema["oneOf"]:
        if choice["properties"]["kind"]["const"] == kind:
            own = schema["$defs"][choice["$ref"].rsplit("/", 1)[1]] if "$ref" in choice else choice
            return own["required"] + choice["required"]
    sys.exit(f"{kind}: no such document in the schema")


def broken(document, names):
    """The same document, wrong in one way at its top."""
    for name in names:
        without = copy.deepcopy(document)
        del without[name]
        yield f"without {name}", without
    for name in document:
        other = copy.deepcopy(document)
        # Any object may pass for one whose fields are all optional.
        other[name] = [[[7]]] if isinstance(document[name], dict | None) else {"no": "such"}
        yield f"{name} of another type", other


def main():
    schema = run("schema")
    validator = jsonschema.Draft202012Validator
    validator.check_schema(schema)
    check = validator(schema)
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        (folder / "records").mkdir()
        file, bench = folder / "records" / "record.csv", folder / "bench.toml"
        record(file)
        (folder / "records" / "picture.png").write_bytes(b"\x89PNG\r\n\x1a\n")
        subprocess.run([PROGRAM, "starter", bench], check=True, capture_output=True)
        (folder / "readings.csv").write_text(READINGS)
        book = ("--logbook", folder / "book.sqlite")
        clamp = ("--meter", "general-true-rms-clamp")
        today = ("--today", "2026-11-26")
        commands = [
            ("shape", "phase-cut", "90deg"),
            ("capture", file),
            ("record", file, "--clamp-accuracy", "1%"),
            ("captures", folder / "records"),
            ("fit", bench, "--capture", f"{file}@step=3,load=50%", "--free", "output-reactance"),
            ("judge", bench),
            ("operate", bench),
            ("situation", bench, "--step", "1"),
            ("situation", bench, "--against", "load=full"),
            ("loads", bench),
            ("contrast", bench),
            ("transient", bench, "--step", "3", "--load", "50%", "--then-step", "5"),
            ("protection", bench, *clamp),
            ("follow", bench, "--step", "3", "--along", "load", "--to", "100%"),
            ("field", bench),
            ("lamps-out", bench),
            ("estimate", bench, "--step", "3", "--load", "60%", "--circuits", "200", "--pairs", "0"),
            ("sweep", bench, "--over", "supply.voltage=95%..105%/3", "--out", folder / "sweep.csv"),
            ("steps",),
            ("meters",),
            ("reading", bench),
            ("fitness", bench),
            ("budget", bench),
            ("compare", bench, "--archetypes"),
            ("requirement", bench),
            ("worksheet", bench, *clamp, "--out", folder / "sheet.pdf"),
            ("consequences", "--found", "5:6.72A", "--hours", "5:400"),
            ("logbook", "add", "regulator", "R-7", bench, "--place", "vault 3", "--by", "A. Person", *book),
            ("logbook", "add", "meter", "M-1", "--sheet", clamp[1], "--by", "A. Person", *book),
            ("calibrate", bench, "--regulator", "R-7", "--meter", "M-1", "--by", "A. Person",
             "--readings", folder / "readings.csv", *book),
            ("logbook", "visits", *book),
            ("logbook", "show", "1", *book),
            ("logbook", "show", VISIT, *book),
            ("logbook", "equipment", *book),
            ("logbook", "history", "R-7", *today, *book),
            ("logbook", "due", *today, *book),
            ("logbook", "doubt", "--meter", "M-1", "--from", "2020-01-01", "--until", "2040-01-01",
             "--error", "2.1%", "--reason", "compared", "--by", "A. Person", *book),
            ("logbook", "verify", *book),
            ("logbook", "recompute", *book),
            ("logbook", "backup", folder / "copy.sqlite", *book),
            ("logbook", "record", VISIT, "--out", folder / "visit", *book),
            ("lesson",),
            ("training",),
            ("teach-data", "--seconds", "0.5s", "--out", folder / "data"),
            ("exercises", "--class", "2", "--seed", "7", "--out", folder / "class"),
            ("exercises", "check", folder / "class" / "answers.csv", "--key", folder / "class" / "key.json"),
        ]
        refused = 0
        kinds = set()
        written = [(command, None) for command in commands] + [(("key.json",), folder / "class" / "key.json")]
        for command, file in written:
            document = json.loads(file.read_text()) if file else run(*command, "--json", codes=(0, 1, 5))
            errors = sorted(check.iter_errors(document), key=lambda error: list(error.path))
            if errors:
                sys.exit(f"{' '.join(map(str, command))}: {errors[0].message[:300]}")
            kinds.add(document["kind"])
            for what, wrong in broken(document, required(schema, document["kind"])):
                if check.is_valid(wrong):
                    sys.exit(f"{command[0]}: {what} passes")
                refused += 1
    described = {choice["properties"]["kind"]["const"] for choice in schema["oneOf"]}
    if described != kinds:
        sys.exit(f"written by no command here: {', '.join(sorted(described - kinds))}")
    print(f"{len(kinds)} kinds of document keep to the schema; {refused} wrong ones are refused")


if __name__ == "__main__":
    main()
