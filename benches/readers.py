#!/usr/bin/env python3
"""Ratios of reading speed in one run, on files of about 100 MB in the page cache.

Usage: python3 benches/readers.py [MEGABYTES]     (needs numpy and pandas; builds `--bench readers`)

Text of two columns, from the file to the record, against numpy.loadtxt and pandas' C reader, which both
use one thread; with all threads and with one. Binary
COMTRADE and WAV, from the file through every value of one channel, against reading the same bytes into
memory; for information also with all samples of that channel kept in amperes (eight bytes each, where
the file has two), and the bytes through one small buffer. Exits with 1 when a target is missed.
"""
import json
import os
import pathlib
import statistics
import struct
import subprocess
import sys
import tempfile
import time
import wave

import numpy as np
import pandas as pd

ROOT = pathlib.Path(__file__).resolve().parent.parent
MEGABYTES = float(sys.argv[1]) if len(sys.argv) > 1 else 100.0


def program():
    out = subprocess.run(
        ["cargo", "bench", "--no-run", "--no-default-features", "--features", "files",
         "--bench", "readers", "--message-format", "json"],
        cwd=ROOT, check=True, capture_output=True, text=True,
    ).stdout
    for line in out.splitlines():
        message = json.loads(line)
        if message.get("executable") and message["target"]["name"] == "readers":
            return message["executable"]
    raise SystemExit("the bench was not built")


def ours(program, what, file, repeats=7, threads=None):
    settings = os.environ | ({"RAYON_NUM_THREADS": str(threads)} if threads else {})
    out = subprocess.run([program, what, file, str(repeats)], check=True, capture_output=True, text=True,
                         env=settings)
    return statistics.median(float(line) for line in out.stdout.split())


def timed(action, repeats):
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        action()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def current(count):
    t = np.arange(count) / 20_000
    noise = np.random.default_rng(1).normal(scale=0.02, size=count)
    return t, 9.334 * np.sin(2 * np.pi * 50 * t) + 0.8 * np.sin(2 * np.pi * 150 * t) + noise


def write_text(path, megabytes):
    t, i = current(int(megabytes * 1e6 / 20))
    with open(path, "w") as file:
        file.write("time (s),I (A)\n")
        for at in range(0, len(t), 100_000):
            rows = zip(t[at:at + 100_000], i[at:at + 100_000])
            file.writelines("%.5f,%.6f\n" % row for row in rows)


def write_record(path, megabytes):
    count = int(megabytes * 1e6 / 12)
    _, i = current(count)
    rows = np.zeros(count, dtype=[("n", "<u4"), ("t", "<u4"), ("i", "<i2"), ("u", "<i2")])
    rows["n"], rows["i"] = np.arange(1, count + 1), np.round(i / 0.0005).astype("<i2")
    rows["t"], rows["u"] = np.arange(count) * 50, np.arange(count) % 1000
    rows.tofile(path.with_suffix(".dat"))
    path.with_suffix(".cfg").write_text(
        "A,B,1999\r\n2,2A,0D\r\n1,I,,,A,0.0005,0,0,-32767,32767,1,1,P\r\n"
        f"2,U,,,V,1,0,0,-32767,32767,1,1,P\r\n50\r\n1\r\n20000,{count}\r\n"
        "01/01/2000,00:00:00.000000\r\n01/01/2000,00:00:00.000000\r\nBINARY\r\n1\r\n")


def write_sound(path, megabytes):
    count = int(megabytes * 1e6 / 4)
    _, i = current(count)
    stereo = np.stack([np.round(i * 1500), np.arange(count) % 1000], axis=1).astype("<i2")
    with wave.open(str(path), "wb") as file:
        file.setnchannels(2)
        file.setsampwidth(2)
        file.setframerate(20_000)
        file.writeframes(stereo.tobytes())


program = program()
missed = False
with tempfile.TemporaryDirectory() as folder:
    folder = pathlib.Path(folder)
    text, record, sound = folder / "text.csv", folder / "record.cfg", folder / "sound.wav"
    write_text(text, MEGABYTES)
    write_record(record, MEGABYTES)
    write_sound(sound, MEGABYTES)
    size = text.stat().st_size / 1e6
    # Turn about, so that a disturbance hits all alike.
    got = [(ours(program, "read", text, 3), ours(program, "read", text, 3, threads=1),
            ours(program, "current", text, 3), timed(lambda: pd.read_csv(text, engine="c"), 3))
           for _ in range(5)]
    own, one, kept, pandas = (statistics.median(column) for column in zip(*got))
    loadtxt = timed(lambda: np.loadtxt(text, delimiter=",", skiprows=1), 1)
    rows = [(f"text, this program, {os.cpu_count()} threads", own, None),
            ("  one thread", one, None), ("  kept in amperes", kept, None),
            ("numpy.loadtxt", loadtxt, 5 * own), ("pandas, C reader", pandas, own)]
    for name, seconds, least in rows:
        print(f"{name:44} {seconds:8.3f} s {size / seconds:8.0f} MB/s {seconds / own:7.2f}")
        missed |= least is not None and seconds < least
    for name, file, what, bytes_file in [
        ("binary COMTRADE", record, "current", record.with_suffix(".dat")),
        ("WAV, 16 bit, two channels", sound, "sound", sound),
    ]:
        got = [(ours(program, "values", file, 3), ours(program, "bytes", bytes_file, 3),
                ours(program, "stream", bytes_file, 3), ours(program, what, file, 3))
               for _ in range(5)]
        own, plain, stream, kept = (statistics.median(column) for column in zip(*got))
        size = bytes_file.stat().st_size / 1e6
        for label, seconds in [(name, own), ("  kept in amperes", kept),
                               ("  the bytes into memory", plain), ("  the bytes through 1 MB", stream)]:
            print(f"{label:44} {seconds:8.4f} s {size / seconds:8.0f} MB/s {plain / seconds:7.2f}")
        missed |= plain / own < 0.5
sys.exit(1 if missed else 0)
