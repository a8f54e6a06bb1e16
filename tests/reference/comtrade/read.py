#!/usr/bin/env python3
"""Synthetic COMTRADE records and what an independent reader finds in them.

    pip install comtrade==0.2.0
    python3 read.py            writes foreign_*.cfg/.dat/.cff and expected.json in this folder

The `foreign_` files are written here, byte by byte, with what other writers do: blanks after commas,
rows numbered from 0, line feeds only, an end-of-file mark, missing-value codes, empty time stamps. The
`ours_` files are written by the project (LOOPCREST_STORE=1 cargo test comtrade_reader) before this runs.
Every number in expected.json is what the PyPI package `comtrade` gives for it.
"""
import glob
import json
import math
import os
import struct
import warnings

import comtrade

HERE = os.path.dirname(os.path.abspath(__file__))
KINDS = ["ASCII", "BINARY", "BINARY32", "FLOAT32"]
N = 48


def codes(kind):
    out = []
    for k in range(N):
        x = math.sin(2 * math.pi * k / 24) + 0.2 * math.sin(6 * math.pi * k / 24 + 0.4)
        if kind == "FLOAT32":
            out.append((struct.unpack("<f", struct.pack("<f", 9.3 * x))[0], 100.5 + k))
        else:
            top = {"ASCII": 20000, "BINARY": 20000, "BINARY32": 1500000000}[kind]
            out.append((round(top * x / 1.3), k - 24))
    return out


def cfg(kind, year):
    a = {"ASCII": 0.0005, "BINARY": 0.0005, "BINARY32": 6.25e-9, "FLOAT32": 1.0}[kind]
    lines = [
        f"KESTREL MOOR,recorder 7,{year}",
        "5,2A,3D",
        f"1, I loop , , , A, {a!r}, 0.0125, 0, -99999, 99998, 30, 1, P",
        "2,U,,,V,0.25,-3,2.5,-99999,99998,1,1,S",
        "1,door,,,0",
        "2,fan,,,0",
        "3,trip,,,1",
        "60",
        "1",
        f"1440.0,{N}",
        "12/03/2024,09:30:00.000000",
        "12/03/2024,09:30:00.000000",
        kind,
        "1",
    ]
    return lines + (["0,0", "B,3"] if year == 2013 else [])


def dat(kind):
    rows = []
    for k, (i, u) in enumerate(codes(kind)):
        stamp = round(k * 1e6 / 1440)
        if kind == "ASCII":
            rows.append(f"{k}, {stamp}, {i}, {u}, 0, 1, {k % 2}\n".encode())
            continue
        form = {"BINARY": "<IIhhH", "BINARY32": "<IIiiH", "FLOAT32": "<IIffH"}[kind]
        rows.append(struct.pack(form, k, stamp, i, u, 2 + 4 * (k % 2)))
    return b"".join(rows) + (b"\x1a" if kind == "ASCII" else b"")


def write(name, data):
    with open(os.path.join(HERE, name), "wb") as file:
        file.write(data)


for kind in KINDS:
    year = 2013 if kind in ("BINARY32", "FLOAT32") else 1999
    base = f"foreign_{kind.lower()}"
    write(f"{base}.cfg", "\n".join(cfg(kind, year)).encode() + b"\n")
    write(f"{base}.dat", dat(kind))
    body = dat(kind)
    size = "" if kind == "ASCII" else f": {len(body)}"
    text = "\n".join(cfg(kind, 2013))
    head = f"--- file type: CFG ---\n{text}\n--- file type: INF ---\n\n--- file type: HDR ---\n\n"
    write(f"{base}.cff", head.encode() + f"--- file type: DAT {kind}{size} ---\n".encode() + body)

expected = {}
names = [os.path.basename(p) for p in glob.glob(os.path.join(HERE, "*.c[fF][gGfF]"))]
for name in sorted(names):
    path = os.path.join(HERE, name)
    record = comtrade.Comtrade()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        if name.endswith(".cff"):
            record.load(path)
        else:
            record.load(path, path[:-4] + ".dat")
    cfg_ = record.cfg
    expected[name] = {
        "station": record.station_name,
        "revision": str(record.rev_year),
        "frequency_hz": record.frequency,
        "samples": record.total_samples,
        "rates": [[float(r), int(n)] for r, n in cfg_.sample_rates],
        "status": record.status_count,
        "channels": [
            {
                "name": c.name,
                "unit": c.uu,
                "primary": c.primary,
                "secondary": c.secondary,
                "side": c.pors,
                "values": [None if math.isnan(v) else float(v) for v in record.analog[at]],
            }
            for at, c in enumerate(cfg_.analog_channels)
        ],
    }
with open(os.path.join(HERE, "expected.json"), "w") as file:
    json.dump({"reader": "PyPI comtrade 0.2.0", "files": expected}, file, indent=1)
    file.write("\n")
print(len(expected), "files")
