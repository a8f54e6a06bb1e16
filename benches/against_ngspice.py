#!/usr/bin/env python3
"""How long ngspice takes from rest until its output RMS per cycle stays within 0.5 % of the periodic solution.

usage: against_ngspice.py [OURS]

OURS is a file, or a program that prints, with one line per operating point: `id,seconds`, seconds for ONE regulated
operating point (delay unknown), e.g. `load-0.02-step-4.1,0.00087`. Without it `cargo bench --bench against_ngspice` is
run, first of all, so that one run of this script times both sides on the same machine.

For each point, in this order:
1. a long run from rest at the known delay counts the cycles until the RMS is inside 0.5 % (and 0.05 %) and stays there for a
   second, and shows that the run ends on the periodic solution (else the options were too coarse and the script fails).
   Later single bad cycles, which ngspice has now and then at a diode's turn-off, are not held against it;
2. "known delay": a run of just that many cycles, nothing saved but one number per step, best of three;
3. "regulated": the delay is not known, so a secant search over it, every trial as many cycles as the point needs (a
   number a user would not have), until the RMS is within 0.5 % of the step. All trials count.

The options favour ngspice: gates on a fixed clock at the known zero crossing (no timing circuit to solve, and break points where the
triac fires), largest step 100 us, reltol 1e-3, its defaults otherwise. Steps of 200 us miss the RMS by 6e-4, of 1 ms by 3 %.

Seconds are CPU seconds of the ngspice process, which runs on one core: wall time is the same on an idle machine and
means nothing on a busy one. Figures measured once stand in against_ngspice.md.
"""

import csv
import json
import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parent.parent
REFERENCE = ROOT / "tests" / "reference"
sys.path.insert(0, str(REFERENCE / "ngspice"))

from make_decks import W, circuit  # noqa: E402

POINTS = ("load-0.02-step-4.1", "load-0.02-step-6.6", "load-0.5-step-2.8", "load-0.5-step-4.1", "load-1.0-step-4.1", "load-1.0-step-6.6")
BAND = 0.005
HELD = 60
LONG_CYCLES = 1500
LARGEST_STEP = "100u"


def run(p, delay_rad, cycles, folder):
    """Output RMS of each cycle from rest, and the CPU seconds (user and system) of the ngspice process."""
    t = 1 / p["supply_hz"]
    fire = delay_rad / W
    gate = f"{fire:.12g} 10n 10n {t / 2 - 1e-8:.12g} {t:.12g})"
    rest = {k: 0.0 for k in p["initial_state"]}
    lines = ["* from rest", *circuit(p, rest), f"Vgp gp 0 PULSE(0 1 {gate}", f"Vgn gn 0 PULSE(1 0 {gate}",
             "Bsq 0 sq I=I(Lout)*I(Lout)", "Csq sq 0 1 IC=0",
             ".options reltol=1e-3", ".save v(sq)", ".control", "set wr_singlescale", "set numdgt=12",
             f"tran {t:.12g} {cycles * t:.12g} 0 {LARGEST_STEP} uic", "linearize v(sq)", "wrdata rms.txt v(sq)", "quit", ".endc", ".end"]
    (folder / "rest.cir").write_text("\n".join(lines) + "\n")
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run(["ngspice", "-b", "rest.cir"], cwd=folder, capture_output=True, text=True, check=False)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    if "aborted" in done.stdout + done.stderr or done.returncode:
        raise SystemExit(done.stdout + done.stderr)
    square = np.loadtxt(folder / "rms.txt")[:, 1]
    rms = np.sqrt(np.diff(square) / t)
    assert len(rms) >= cycles - 1, "ngspice stopped early"
    return rms, cpu_s


def settled_after(rms, target, band):
    """Cycles simulated up to the first that is inside the band and stays there for the next HELD ones."""
    inside = np.abs(rms / target - 1) <= band
    for k in range(len(inside) - HELD):
        if inside[k:k + HELD].all():
            return k + 1
    raise SystemExit("never settles")


def regulated(p, cycles, folder):
    """Secant over the delay from 110 and 150 degrees. Returns seconds and number of runs."""
    target, total = p["output_rms_a"], 0.0
    tried = []
    for d in (np.radians(110), np.radians(150)):
        rms, cpu_s = run(p, d, cycles, folder)
        total += cpu_s
        tried.append((d, rms[-1] - target))
    while abs(tried[-1][1]) > BAND * target:
        (a, fa), (b, fb) = tried[-2:]
        d = float(np.clip(b - fb * (b - a) / (fb - fa), np.radians(95), np.radians(178)))
        rms, cpu_s = run(p, d, cycles, folder)
        total += cpu_s
        tried.append((d, rms[-1] - target))
        if len(tried) > 12:
            return None, len(tried)
    return total, len(tried)


def ours(argument):
    path = None if argument is None else Path(argument)
    if path is None:
        command = ["cargo", "bench", "--locked", "--quiet", "--bench", "against_ngspice"]
    else:
        command = [str(path.resolve())] if path.is_file() and os.access(path, os.X_OK) else None
    text = path.read_text() if command is None else subprocess.run(command, cwd=ROOT, stdout=subprocess.PIPE, text=True, check=True).stdout
    return {r[0]: float(r[1]) for r in csv.reader(text.splitlines()) if len(r) == 2 and r[0].startswith("load-")}


def main():
    beside = ours(sys.argv[1] if len(sys.argv) > 1 else None)
    points = {p["id"]: p for p in json.loads((REFERENCE / "shooting" / "operating_points.json").read_text())["points"]}
    print("id,cycles_to_0.5_percent,cycles_to_0.05_percent,known_delay_s,known_delay_to_0.05_percent_s,regulated_s,regulated_runs,"
          "slowest_half_cycle_multiplier,final_rms_error_ratio,ours_s,known_delay_over_ours,regulated_over_ours")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for key in POINTS:
            p = points[key]
            rms, _ = run(p, p["delay_rad"], LONG_CYCLES, folder)
            final = float(np.median(rms[-HELD:])) / p["output_rms_a"] - 1
            assert abs(final) < 4e-4, f"{key}: settles {final:.1e} away from the periodic solution"
            n = settled_after(rms, p["output_rms_a"], BAND)
            fine = settled_after(rms, p["output_rms_a"], 5e-4)
            known = min(run(p, p["delay_rad"], n, folder)[1] for _ in range(3))
            known_fine = min(run(p, p["delay_rad"], fine, folder)[1] for _ in range(3))
            reg, runs = regulated(p, n, folder)
            mu = p["half_cycle_multipliers_gate_clock_frozen"][0][0]
            mine = beside.get(key)
            ratio = lambda v: "" if mine is None or v is None else f"{v / mine:.0f}"
            print(f"{key},{n},{fine},{known:.4f},{known_fine:.4f},{'' if reg is None else f'{reg:.4f}'},{runs},{mu:.6f},{final:.1e},"
                  f"{'' if mine is None else f'{mine:.7f}'},{ratio(known)},{ratio(reg)}", flush=True)


if __name__ == "__main__":
    main()
