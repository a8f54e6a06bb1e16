"""Writes step_of_load.json and step_of_load.csv: the delay stays, the load halves, twenty half cycles."""

import json
import platform
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import scipy

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE / "../shooting"))

from operating_points import follow, start  # noqa: E402
from resonant_source import BASE_OHM, I_CTL, I_O, V_C, Model  # noqa: E402
from switched_run import run  # noqa: E402

HALF_CYCLES, PER_HALF, FINE = 20, 60, 32
NAMES = ("i_in_a", "v_c_v", "i_ctl_a", "i_o_a", "flux_wb")


def simpson(y, h):
    return h / 3 * (y[0] + y[-1] + 4 * y[1:-1:2].sum() + 2 * y[2:-1:2].sum())


def one(name, before, after, step_a, table=True):
    m = Model(load_ohm=before * BASE_OHM)
    p = follow(start(m), m, "rms", step_a)
    n = PER_HALF * FINE
    t = np.arange(HALF_CYCLES * n + 1) * (m.half_s / n)
    # The new load is there from t = 0, a rising zero of v_c; the gate pulse of this zero is pending.
    x, events, end = run(replace(m, load_ohm=after * BASE_OHM), p.x0, p.phi, p.alpha, t[-1] * (1 + 1e-12),
                         crossings=(p.alpha / m.w,), polarity=1.0, t_eval=t)
    i_o = x[:, I_O]
    halves = []
    for k in range(HALF_CYCLES):
        y = i_o[k * n:(k + 1) * n + 1]
        halves.append(dict(rms_a=float(f"{np.sqrt(simpson(y**2, t[1]) / m.half_s):.10g}"),
                           mean_a=float(f"{simpson(y, t[1]) / m.half_s:.10g}"),
                           peak_abs_a=float(f"{np.max(np.abs(y)):.6g}")))
    lines = ["time_s,output_a,capacitor_v,control_a\n"]
    for k in range(0, len(t), FINE):
        lines.append(f"{t[k]:.12g},{x[k, I_O]:.11g},{x[k, V_C]:.11g},{x[k, I_CTL]:.11g}\n")
    if table:
        (HERE / f"{name}.csv").write_text("".join(lines))
    what = [dict(time_s=float(f"{e[0]:.12g}"), what=e[1]) for e in events if e[1] != "end"]
    assert all(e["what"] != "lost gate" for e in what)
    print(name, [h["rms_a"] for h in halves], len(what), "events")
    return dict(name=name, load_ratio_before=before, load_ratio_after=after, step_a=step_a, delay_rad=float(p.alpha),
                delay_deg=float(f"{np.degrees(p.alpha):.12g}"), source_phase_rad=float(p.phi),
                initial_state=dict(zip(NAMES, map(float, p.x0))), half_cycles=halves, events=what,
                final_state=dict(zip(NAMES, (float(f"{v:.12g}") for v in end))))


def main():
    doc = {"versions": {"python": platform.python_version(), "numpy": np.__version__, "scipy": scipy.__version__},
           "runs": [one("half_to_quarter", 0.5, 0.25, 4.1), one("half_to_full", 0.5, 1.0, 4.1), one("unchanged", 0.5, 0.5, 4.1, table=False)]}
    still = doc["runs"][-1]
    assert all(abs(h["rms_a"] / 4.1 - 1) < 1e-9 for h in still["half_cycles"]), "the unchanged circuit moved"
    (HERE / "step_of_load.json").write_text(json.dumps(doc, indent=1) + "\n")


if __name__ == "__main__":
    main()
