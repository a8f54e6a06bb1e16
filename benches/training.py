#!/usr/bin/env python3
"""Time of the whole set of training figures with the release build: 13 figures as SVG, PNG and CSV.

Usage: python3 benches/training.py [PROGRAM]        (builds the release when no program is named)
Exits with 1 when a target is missed. On a machine that is busy with other work the times say little.
"""
import pathlib
import statistics
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parent.parent
RUNS = 5
# Target: seconds on two cores.
MOST_S = 3.0


def program():
    if len(sys.argv) > 1:
        return sys.argv[1]
    subprocess.run(["cargo", "build", "--quiet", "--release"], cwd=ROOT, check=True)
    return str(ROOT / "target" / "release" / "loopcrest")


def main():
    loopcrest = program()
    worst = 0.0
    for name, extra in [("slides", []), ("dark slides", ["--dark"]), ("paper", ["--paper"])]:
        times = []
        for _ in range(RUNS):
            with tempfile.TemporaryDirectory() as folder:
                start = time.perf_counter()
                subprocess.run(
                    [loopcrest, "training", "--out", f"{folder}/set", *extra],
                    check=True,
                    stdout=subprocess.DEVNULL,
                )
                times.append(time.perf_counter() - start)
        median_s = statistics.median(times)
        worst = max(worst, median_s)
        print(f"{name}: {median_s:.2f} s (least {min(times):.2f} s of {RUNS} runs)")
    return 1 if worst > MOST_S else 0


if __name__ == "__main__":
    sys.exit(main())
