"""Writes coexisting.json: period-one solutions WITHOUT half-wave symmetry beside the symmetric ones, same delay, same circuit.

The flux is given an offset, forty half cycles let the fast disturbances die, then Newton on the whole-period map
(differences of the event-located run, no variational equations) goes to the nearest solution.
"""

import json
import platform
import sys
from pathlib import Path

import numpy as np
import scipy

import resonant_source
import switched_run
from resonant_source import AVERAGE_TO_RMS_OF_A_SINE, I_CTL, I_IN, I_O, LAM, V_C, Model

HERE = Path(__file__).parent
ROWS = [f"load-{load}-step-{step}" for load in ("0.02", "0.5", "1.0") for step in ("2.8", "4.1", "6.6")]
OFFSETS_WB = (5.0, 6.0, 8.0)
N = 5


def tolerance(value):
    resonant_source.RTOL = resonant_source.ATOL = switched_run.RTOL = switched_run.ATOL = value


def crossing(m, alpha, z):
    """From a rising zero of v_c to the falling one, sign turned: z = i_in, i_ctl, i_o, flux, source phase."""
    x = np.array([z[0], 0.0, z[1], z[2], z[3]])
    _, events, _ = switched_run.run(m, x, z[4], alpha, 0.75 / m.supply_hz, crossings=(alpha / m.w,), polarity=1.0)
    assert all(e[1] != "lost gate" for e in events)
    t, _, x = next(e for e in events if e[1] == "crossing")
    return np.array([-x[I_IN], -x[I_CTL], -x[I_O], -x[LAM], z[4] + m.w * t - np.pi])


def defect(m, alpha, z):
    return crossing(m, alpha, crossing(m, alpha, z)) - z


def jacobian(m, alpha, z, h):
    return np.column_stack([(defect(m, alpha, z + e) - defect(m, alpha, z - e)) / (2 * h) for e in np.eye(N) * h])


def newton(m, alpha, z, h, limit, tries=14):
    for _ in range(tries):
        r = defect(m, alpha, z)
        if np.max(np.abs(r)) < limit:
            return z
        step = np.linalg.solve(jacobian(m, alpha, z, h), -r)
        z = z + step / max(1.0, np.max(np.abs(step)))
    raise RuntimeError("not converged")


def describe(m, alpha, z):
    r = float(np.max(np.abs(defect(m, alpha, z))))
    mu = np.linalg.eigvals(jacobian(m, alpha, z, 1e-5) + np.eye(N)).astype(complex)
    n, period = 4096, 1 / m.supply_hz
    t = np.arange(n) * (period / n)
    x0 = np.array([z[0], 0.0, z[1], z[2], z[3]])
    x, events, _ = switched_run.run(m, x0, z[4], alpha, period, crossings=(alpha / m.w,), polarity=1.0, t_eval=t)
    assert len(x) == n
    s = lambda v, k=10: float(f"{v:.{k}g}")
    fired = [e[0] for e in events if e[1] == "gate"]
    i_o = x[:, I_O]
    line = np.abs(np.fft.rfft(i_o)) * 2 / n
    rms, arv = np.sqrt(np.mean(i_o**2)), np.mean(np.abs(i_o))
    return dict(
        initial_state=dict(zip(("i_in_a", "v_c_v", "i_ctl_a", "i_o_a", "flux_wb"), map(float, x0))),
        source_phase_rad=float(z[4]), firing_s=[s(v, 12) for v in fired], output_rms_a=s(rms), crest_factor=s(np.max(np.abs(i_o)) / rms, 6),
        average_responding_error_ratio=s(AVERAGE_TO_RMS_OF_A_SINE * arv / rms - 1, 6),
        second_harmonic_ratio=s(line[2] / line[1], 8), thd_h2_to_h59_ratio=s(np.sqrt(np.sum(line[2:60] ** 2)) / line[1], 8),
        mean_flux_wb=s(np.mean(x[:, LAM]), 8), capacitor_rms_v=s(np.sqrt(np.mean(x[:, V_C] ** 2)), 8),
        period_multipliers=[[s(v.real, 6), s(v.imag, 6)] for v in sorted(mu, key=lambda v: (-abs(v), v.imag))],
        stable=bool(np.max(np.abs(mu)) < 1), residual=float(f"{r:.1e}"))


def main():
    points = {p["id"]: p for p in json.loads((HERE / "operating_points.json").read_text())["points"]}
    out = []
    for key in ROWS:
        p = points[key]
        m, alpha = Model(load_ohm=p["load_ohm"]), p["delay_rad"]
        i = p["initial_state"]
        home = np.array([i["i_in_a"], i["i_ctl_a"], i["i_o_a"], i["flux_wb"], p["source_phase_rad"]])
        found, starts = [], []
        for offset in OFFSETS_WB:
            tolerance(1e-9)
            try:
                z = home + np.array([0, 0, 0, offset, 0])
                for _ in range(40):
                    z = crossing(m, alpha, z)
                z = newton(m, alpha, z, 1e-5, 1e-6)
                if np.max(np.abs(z - home)) < 1e-3:
                    starts.append([offset, "symmetric"])
                    continue
                if any(np.max(np.abs(z - q)) < 1e-3 for q in found):
                    starts.append([offset, "found before"])
                    continue
                tolerance(1e-13)
                z = newton(m, alpha, z, 1e-5, 1e-11)
                found.append(z)
                starts.append([offset, "asymmetric"])
            except (RuntimeError, AssertionError, StopIteration, np.linalg.LinAlgError) as e:
                starts.append([offset, f"none: {e or type(e).__name__}"])
        tolerance(1e-13)
        rows = [describe(m, alpha, z) for z in found]
        out.append(dict(beside=key, load_ratio=p["load_ratio"], load_ohm=p["load_ohm"], delay_deg=p["delay_deg"], delay_rad=alpha,
                        symmetric_output_rms_a=p["output_rms_a"], flux_offsets_tried_wb=starts, asymmetric=rows))
        print(key, starts, *[(r["output_rms_a"], r["crest_factor"], r["second_harmonic_ratio"], r["mean_flux_wb"],
                              r["period_multipliers"][0], r["residual"]) for r in rows], flush=True)
        doc = {"versions": {"python": platform.python_version(), "numpy": np.__version__, "scipy": scipy.__version__}, "points": out}
        (HERE / "coexisting.json").write_text(json.dumps(doc, indent=1) + "\n")


if __name__ == "__main__":
    sys.exit(main())
