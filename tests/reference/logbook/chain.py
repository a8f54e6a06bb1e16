#!/usr/bin/env python3
"""The chain of hashes of a logbook, worked out without the program, from the page in
src/logbook/chain.rs: Python's own sqlite3 and hashlib.

Usage: python3 tests/reference/logbook/chain.py LOGBOOK > chain.json
"""
import hashlib
import json
import sqlite3
import sys

store = sqlite3.connect(f"file:{sys.argv[1]}?mode=ro&immutable=1", uri=True)
previous = hashlib.sha256(b"").hexdigest()
hashes = []
for number, at, person, program, visit, replaces, kind, text in store.execute(
    "SELECT number, at, person, program, visit, replaces, kind, json FROM entry ORDER BY number"
):
    lines = ["loopcrest entry 1", previous, number, at,
             "-" if visit is None else visit, "-" if replaces is None else replaces, kind]
    for counted in (person, program, text):
        lines.append(f"{len(counted.encode())} {counted}")
    content = "".join(f"{line}\n" for line in lines)
    previous = hashlib.sha256(content.encode()).hexdigest()
    hashes.append(previous)
json.dump({"python": sys.version.split()[0], "sqlite": sqlite3.sqlite_version, "hashes": hashes},
          sys.stdout, indent=1)
print()
