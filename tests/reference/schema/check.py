"""Checks what every command writes as JSON against the schema that the program itself prints.

    python3 check.py path/to/loopcrest        (needs the package jsonschema; Python 3.11, 4.26)

The schema is checked to be one, every document against it, and then every document with one field
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
        other[name] = {"no": "such"}
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
        commands = [
            ("shape", "phase-cut", "90deg"),
            ("capture", file),
            ("record", file, "--clamp-accuracy", "1%"),
            ("captures", folder / "records"),
            ("judge", bench),
            ("operate", bench),
            ("situation", bench, "--step", "1"),
            ("situation", bench, "--against", "load=full"),
            ("loads", bench),
            ("contrast", bench),
            ("steps",),
            ("lesson",),
            ("meters",),
            ("reading", bench),
            ("fitness", bench),
            ("budget", bench),
            ("requirement", bench),
        ]
        refused = 0
        kinds = set()
        for command in commands:
            document = run(*command, "--json", codes=(0, 1, 5))
            errors = sorted(check.iter_errors(document), key=lambda error: list(error.path))
            if errors:
                sys.exit(f"{' '.join(map(str, command))}: {errors[0].message[:300]}")
            kinds.add(document["kind"])
            for what, wrong in broken(document, required(schema, document["kind"])):
                if check.is_valid(wrong):
                    sys.exit(f"{command[0]}: {what} passes")
                refused += 1
    print(f"{len(kinds)} kinds of document keep to the schema; {refused} wrong ones are refused")


if __name__ == "__main__":
    main()
