"""Writes operating_points.json and the three waveform tables beside it."""

import json
import platform
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import scipy

from resonant_source import (AVERAGE_TO_RMS_OF_A_SINE, BASE_OHM, I_CTL, I_IN, I_O, LAM, V_C, Model, Target, multipliers,
                             peak_of, sample, solve, starting_guess)

HERE = Path(__file__).parent
LOADS = (0.02, 0.1, 0.25, 0.5, 0.75, 1.0)
STEPS_A = (2.8, 3.4, 4.1, 5.2, 6.6)
GRID = 4096
NAMES = ("i_in_a", "v_c_v", "i_ctl_a", "i_o_a", "flux_wb", "open_flux_wb")


def digits(v):
    return float(f"{v:.12g}")


def rms_of(p):
    return np.sqrt(p.end.square_a2s / p.model.half_s)


def follow(p, model, kind, value, parts=6):
    """From one solution to a neighbouring setting in a few stages of the held quantity."""
    if kind == "rms":
        at = rms_of(p)
    elif kind == "average":
        at = AVERAGE_TO_RMS_OF_A_SINE * p.end.abs_as / p.model.half_s
    else:
        at = p.alpha
    for v in np.linspace(at, value, parts)[1:]:
        p = solve(model, (p.x0, p.phi, p.alpha), Target(kind, v))
    return p


def start(model, delay_deg=131.0):
    a = np.radians(delay_deg)
    return solve(model, starting_guess(model, a), Target("delay", a))


def pairs(values):
    return [[digits(z.real), digits(z.imag)] for z in values]


def row(p, held, **more):
    m = p.model
    _, x = sample(p, GRID)
    line = np.abs(np.fft.rfft(x[:, I_O])) * 2 / GRID
    rms = rms_of(p)
    arv = p.end.abs_as / m.half_s
    v_out = np.array([m.output_v(v) for v in x])
    crossings = int(np.sum(np.signbit(x[1:GRID // 2, V_C]) != np.signbit(x[1, V_C])))
    assert crossings == 0, "v_c crosses zero inside the half period"
    timed, frozen = multipliers(p)
    out = dict(more)
    out.update(
        held=held,
        load_ratio=digits(m.load_ohm / BASE_OHM),
        load_ohm=digits(m.load_ohm),
        open_fixtures=m.open_fixtures,
        supply_v_rms=m.supply_v_rms,
        supply_hz=m.supply_hz,
        supply_harmonics=[{"order": h, "ratio": r, "phase_deg": digits(np.degrees(q))} for h, r, q in m.supply_harmonics],
        delay_deg=digits(np.degrees(p.alpha)),
        turn_off_deg=digits(np.degrees(m.w * p.end.off_s)),
        source_phase_deg=digits(np.degrees(p.phi)),
        output_rms_a=digits(rms),
        output_arv_a=digits(arv),
        average_responding_error_ratio=digits(AVERAGE_TO_RMS_OF_A_SINE * arv / rms - 1),
        form_factor=digits(rms / arv),
        crest_factor=digits(peak_of(x[:, I_O]) / rms),
        thd_h2_to_h59_ratio=digits(np.sqrt(np.sum(line[2:60] ** 2)) / line[1]),
        output_harmonics_peak_a={str(h): digits(line[h]) for h in (1, 3, 5, 7, 9, 11, 13)},
        capacitor_rms_v=digits(np.sqrt(np.mean(x[:, V_C] ** 2))),
        capacitor_peak_v=digits(peak_of(x[:, V_C])),
        output_rms_v=digits(np.sqrt(np.mean(v_out**2))),
        output_peak_v=digits(peak_of(v_out)),
        input_rms_a=digits(np.sqrt(np.mean(x[:, I_IN] ** 2))),
        control_rms_a=digits(np.sqrt(np.mean(x[:, I_CTL] ** 2))),
        flux_peak_wb=digits(peak_of(x[:, LAM])),
        # Full precision: these are for restarting.
        initial_state=dict(zip(NAMES, (float(v) for v in p.x0))),
        delay_rad=float(p.alpha),
        source_phase_rad=float(p.phi),
        half_cycle_multipliers=pairs(timed),
        period_multiplier_magnitudes=[digits(abs(z) ** 2) for z in timed],
        half_cycle_multipliers_gate_clock_frozen=pairs(frozen),
        residual=float(f"{p.residual:.2e}"),
    )
    if m.c_f != Model(1.0).c_f:
        out["capacitor_f"] = digits(m.c_f)
    print(f"{out['id']:44s} {out['delay_deg']:9.4f} deg {rms:.6f} A {100 * out['average_responding_error_ratio']:+.4f} % "
          f"CF {out['crest_factor']:.5f} THD {100 * out['thd_h2_to_h59_ratio']:.4f} % residual {p.residual:.0e}", flush=True)
    return out


def waveform(p, path):
    t, x = sample(p, 720)
    with open(path, "w") as f:
        f.write("angle_deg,output_a,capacitor_v\n")
        for k, v in enumerate(x):
            f.write(f"{k / 2:g},{v[I_O]:.11g},{v[V_C]:.11g}\n")


def with_open(model, count, rms_a):
    """Open fixtures raised from a small share of one to `count` at constant current."""
    p = follow(start(model), model, "rms", rms_a)
    x = np.append(p.x0, np.sign(p.x0[I_O]) * 1.1 * model.open_knee_wb)
    for f in np.linspace(0.02, 1, 25) * count:
        p = solve(replace(model, open_fixtures=float(f)), (x, p.phi, p.alpha), Target("rms", rms_a))
        x = p.x0
    return p


def main():
    rows, at = [], {}
    for load in LOADS:
        m = Model(load_ohm=load * BASE_OHM)
        first = start(m)
        for ladder in (reversed(STEPS_A[:3]), STEPS_A[3:]):
            p = first
            for step in ladder:
                p = follow(p, m, "rms", step)
                at[load, step] = p
        for step in STEPS_A:
            rows.append(row(at[load, step], "rms", id=f"load-{load}-step-{step}", step_a=step))

    for name, load, step in (("light", 0.02, 4.1), ("half", 0.5, 2.8), ("full", 1.0, 4.1)):
        waveform(at[load, step], HERE / f"waveform_{name}.csv")

    for count, step in ((1, 4.1), (5, 2.8)):
        p = with_open(Model(load_ohm=0.6 * BASE_OHM * (1 - count / 50)), count, step)
        at["open", count] = p
        rows.append(row(p, "rms", id=f"open-{count}-of-50-step-{step}", step_a=step))

    for load in (0.02, 0.5, 1.0):
        for step in (2.8, 4.1, 6.6):
            p = follow(at[load, step], at[load, step].model, "average", step)
            rows.append(row(p, "average", id=f"average-sensing-load-{load}-step-{step}", step_a=step))

    base = Model(1.0)
    changes = {
        "supply-minus-10-percent": lambda s: {"supply_v_rms": 1748 - 174.8 * s},
        "supply-plus-10-percent": lambda s: {"supply_v_rms": 1748 + 174.8 * s},
        "supply-59-hz": lambda s: {"supply_hz": 60.0 - s},
        "supply-61-hz": lambda s: {"supply_hz": 60.0 + s},
        "supply-h5-3-percent-0-deg": lambda s: {"supply_harmonics": ((5, 0.03 * s, 0.0),)},
        "supply-h5-3-percent-180-deg": lambda s: {"supply_harmonics": ((5, 0.03 * s, np.pi),)},
        "capacitor-minus-5-percent": lambda s: {"c_f": base.c_f * (1 - 0.05 * s)},
        "capacitor-plus-5-percent": lambda s: {"c_f": base.c_f * (1 + 0.05 * s)},
    }
    for name, change in changes.items():
        for load in (0.02, 0.5, 1.0):
            for held in ("rms", "delay"):
                nominal = at[load, 4.1]
                p = nominal
                value = 4.1 if held == "rms" else nominal.alpha
                try:
                    for s in (0.25, 0.5, 0.75, 1.0):
                        m = replace(nominal.model, **change(s))
                        p = solve(m, (p.x0, p.phi, p.alpha), Target(held, value))
                    rows.append(row(p, held, id=f"{name}-load-{load}-{held}-held", step_a=4.1))
                except RuntimeError as e:
                    print(f"{name} load {load} {held}: no solution followed: {e}", flush=True)
                    rows.append(dict(id=f"{name}-load-{load}-{held}-held", step_a=4.1, held=held, load_ratio=load,
                                     not_followed=str(e)))

    # What each load can reach: current against delay, followed from 131 degrees both ways.
    reach = []
    for load in LOADS:
        m = Model(load_ohm=load * BASE_OHM)
        line = {}
        for way in (np.arange(130, 89, -1.0), np.arange(131, 180, 1.0)):
            p = start(m)
            for d in way:
                try:
                    p = solve(m, (p.x0, p.phi, p.alpha), Target("delay", np.radians(d)))
                except RuntimeError as e:
                    line[d] = str(e)
                    break
                line[d] = digits(rms_of(p))
        ends = {f"{d:g}": line[d] for d in sorted(line) if d % 10 == 0 or isinstance(line[d], str) or d in (91, 175, 179)}
        reach.append({"load_ratio": load, "output_rms_a_at_delay_deg": ends})
        print(load, ends, flush=True)

    # A step nothing can hold: full load at a supply 10 % low. 179.9 degrees is as good as never firing.
    m = Model(load_ohm=BASE_OHM, supply_v_rms=0.9 * 1748)
    p = follow(start(m), m, "delay", np.radians(179.9), 50)
    beyond = [{"load_ratio": 1.0, "supply_v_rms": m.supply_v_rms, "step_a": 6.6, "largest_rms_a": digits(rms_of(p)),
               "at_delay_deg": 179.9}]
    print(beyond)

    doc = {
        "method": "half-period shooting, Newton with variational equations, DOP853 rtol 1e-13 atol 1e-13, events located",
        "versions": {"python": platform.python_version(), "numpy": np.__version__, "scipy": scipy.__version__},
        "state": "at the rising zero crossing of v_c; the triac still carries the half cycle before",
        "points": rows,
        "reach": reach,
        "out_of_reach": beyond,
    }
    (HERE / "operating_points.json").write_text(json.dumps(doc, indent=1) + "\n")


if __name__ == "__main__":
    sys.exit(main())
