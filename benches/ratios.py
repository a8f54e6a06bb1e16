#!/usr/bin/env python3
"""Ratios of speed in one run: measures against a plain sum, harmonics against numpy's rfft, and the
time of the default run of the release build from start to finish, plots included.

Usage: python3 benches/ratios.py        (needs numpy; runs `cargo bench --bench waveform`)
Exits with 1 when a target is missed.
"""
import json
import pathlib
import statistics
import subprocess
import sys
import tempfile
import time

import numpy as np

ROOT = pathlib.Path(__file__).resolve().parent.parent
subprocess.run(["cargo", "bench", "--quiet", "--bench", "waveform"], cwd=ROOT, check=True)


def median_s(name):
    file = ROOT / "target" / "criterion" / name / "new" / "estimates.json"
    return json.loads(file.read_text())["median"]["point_estimate"] * 1e-9


def numpy_rfft_s():
    samples = np.random.default_rng(1).normal(size=10 * 10_000)
    times = []
    for _ in range(300):
        start = time.perf_counter()
        np.fft.rfft(samples)
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def default_run_s():
    subprocess.run(["cargo", "build", "--quiet", "--release"], cwd=ROOT, check=True)
    program = ROOT / "target" / "release" / "loopcrest"
    times = []
    for _ in range(11):
        with tempfile.TemporaryDirectory() as folder:
            start = time.perf_counter()
            subprocess.run([program], cwd=folder, check=True, stdout=subprocess.DEVNULL)
            times.append(time.perf_counter() - start)
    return statistics.median(times)


rows = [
    ("plain sum, iterator", median_s("time-domain/sum-iterator")),
    ("plain sum, eight lanes", median_s("time-domain/sum-lanes")),
    ("all measures", median_s("time-domain/measures")),
    ("all measures, one thread", median_s("time-domain/measures-one-thread")),
    ("check of the samples and all measures", median_s("time-domain/check-and-measures")),
    ("harmonics of 10 x 10,000", median_s("harmonics-10x10000")),
    ("numpy rfft of the same length", numpy_rfft_s()),
    ("default run, start to finish", default_run_s()),
]
seconds = dict(rows)
for name, value in rows:
    print(f"{name:40} {1e3 * value:9.3f} ms")

speed = seconds["plain sum, eight lanes"] / seconds["all measures"]
alone = seconds["plain sum, eight lanes"] / seconds["all measures, one thread"]
harmonics = seconds["harmonics of 10 x 10,000"] / seconds["numpy rfft of the same length"]
print(f"speed of all measures against the sum in lanes: {speed:.2f} (at least 0.5), "
      f"on one thread {alone:.2f}")
print(f"time of the harmonics against numpy: {harmonics:.3f} (at most 1)")
finish = seconds["default run, start to finish"]
print(f"default run with all plots: {finish:.2f} s (under 0.5 s)")
sys.exit(0 if speed >= 0.5 and harmonics <= 1.0 and finish < 0.5 else 1)
