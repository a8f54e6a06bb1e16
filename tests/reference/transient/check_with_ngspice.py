"""Runs the load steps in ngspice too (same initial state, gates at the instants in step_of_load.json) and compares.

usage: check_with_ngspice.py [FOLDER_FOR_DECKS]. Exits 1 beyond 0.2 % of peak.
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE / "../ngspice"))

from make_decks import circuit, g  # noqa: E402


def gate(first, instants, t_end):
    """A source that changes state at each firing: one thyristor's gate is held until the other's begins."""
    level = first
    points = ["0", str(level)]
    for t in instants:
        points += [g(t), str(level)]
        level = 1 - level
        points += [g(t + 1e-8), str(level)]
    return f"PWL({' '.join(points)} {g(t_end + 1)} {level})"


def main():
    bad = False
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(temporary)
        folder.mkdir(parents=True, exist_ok=True)
        for r in json.loads((HERE / "step_of_load.json").read_text())["runs"]:
            if not (HERE / f"{r['name']}.csv").exists():
                continue
            want = np.loadtxt(HERE / f"{r['name']}.csv", delimiter=",", skiprows=1)
            p = dict(open_fixtures=0, supply_v_rms=1748.0, supply_hz=60.0, source_phase_rad=r["source_phase_rad"],
                     load_ohm=230 * r["load_ratio_after"])
            fires = [e["time_s"] for e in r["events"] if e["what"] == "gate"]
            t_end, step = want[-1, 0], want[1, 0]
            deck = ["* " + r["name"], *circuit(p, r["initial_state"]),
                    f"Vgp gp 0 {gate(0, fires, t_end)}", f"Vgn gn 0 {gate(1, fires, t_end)}",
                    ".options method=trap reltol=1e-6 abstol=1e-9 vntol=1e-6 chgtol=1e-14", ".control", "set wr_singlescale",
                    "set numdgt=10", f"tran {g(step)} {g(t_end)} 0 2u uic", "linearize i(Lout) v(c) i(Lctl)",
                    f"wrdata {r['name']}.txt i(Lout) v(c) i(Lctl)", "quit", ".endc", ".end"]
            (folder / f"{r['name']}.cir").write_text("\n".join(deck) + "\n")
            done = subprocess.run(["ngspice", "-b", f"{r['name']}.cir"], cwd=folder, capture_output=True, text=True, check=False)
            if done.returncode or not (folder / f"{r['name']}.txt").exists():
                raise SystemExit(done.stdout + done.stderr)
            got = np.loadtxt(folder / f"{r['name']}.txt")
            n = min(len(got), len(want))
            assert n >= len(want) - 1 and np.max(np.abs(got[:n, 0] - want[:n, 0])) < 1e-9
            worst = [100 * np.max(np.abs(got[:n, k] - want[:n, k])) / np.max(np.abs(want[:, k])) for k in (1, 2, 3)]
            print(r["name"], "worst of peak: i_o %.4f %%, v_c %.4f %%, i_ctl %.4f %%" % tuple(worst))
            bad |= max(worst[:2]) > 0.2
    sys.exit(1 if bad else 0)


if __name__ == "__main__":
    main()
