#!/usr/bin/env python3
"""Estimates and sweeps of the release build: time of 1,000 circuits at five steps, what two threads
are worth, and whether memory grows with the number of circuits.

Usage: python3 benches/study.py [PROGRAM]        (builds the release when no program is named)
Exits with 1 when a target is missed. On a machine that is busy with other work the times say little.
"""
import os
import pathlib
import resource
import statistics
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parent.parent
RUNS = 3
# Targets: seconds, worth of two threads over twice that of one, growth of memory.
MOST_S, LEAST_EFFICIENCY, MOST_GROWTH = 20.0, 0.85, 1.5


def program():
    if len(sys.argv) > 1:
        return sys.argv[1]
    subprocess.run(["cargo", "build", "--quiet", "--release"], cwd=ROOT, check=True)
    return str(ROOT / "target" / "release" / "loopcrest")


def run_s(arguments, threads, folder):
    """Wall and processor seconds of one run."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    start = time.perf_counter()
    environment = dict(os.environ, RAYON_NUM_THREADS=str(threads))
    subprocess.run(arguments, cwd=folder, env=environment, check=True, stdout=subprocess.DEVNULL)
    wall_s = time.perf_counter() - start
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return wall_s, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def peak_kb(arguments, folder):
    """Largest memory of one run, from its own status while it runs."""
    child = subprocess.Popen(arguments, cwd=folder, stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(child.pid, 0)
    assert status == 0, status
    return usage.ru_maxrss


def main():
    loopcrest = program()
    missed = []
    with tempfile.TemporaryDirectory() as folder:
        estimate = [loopcrest, "estimate", "--circuits", "1000", "--pairs", "0"]
        times = {threads: [] for threads in (1, 2)}
        for _ in range(RUNS):
            for threads in times:
                times[threads].append(run_s(estimate, threads, folder))
        wall = {n: statistics.median(run[0] for run in runs) for n, runs in times.items()}
        cpu = {n: statistics.median(run[1] for run in runs) for n, runs in times.items()}
        efficiency = wall[1] / (2 * wall[2])
        print(f"1,000 circuits x 5 steps on the example's field, lamps out among the tolerances:")
        print(f"  one thread  {wall[1]:6.2f} s ({cpu[1]:.2f} s of processor)")
        print(f"  two threads {wall[2]:6.2f} s ({cpu[2]:.2f} s of processor)")
        print(f"  two threads are worth {100 * efficiency:.0f} % of twice one")
        if wall[2] > MOST_S:
            missed.append("time")
        if efficiency < LEAST_EFFICIENCY:
            missed.append("worth of two threads")
        memory = {}
        for circuits in (1000, 10_000, 40_000):
            sample = ["--load", "60%", "--step", "5", "--sample", str(circuits)]
            sweep = [loopcrest, "sweep", *sample, "--out", f"{circuits}.csv"]
            memory[circuits] = peak_kb(sweep, folder)
        print("  memory of a sweep: " + ", ".join(f"{n}: {kb} kB" for n, kb in memory.items()))
        if memory[40_000] > MOST_GROWTH * memory[1000]:
            missed.append("memory")
    for what in missed:
        print(f"MISSED: {what}")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
