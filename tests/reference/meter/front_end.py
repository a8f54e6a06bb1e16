"""What a clamp's high-pass and a meter's poles make of a current, run in time by scipy's filters.

Writes front_end.json. No transform is used: the analogue transfer function is discretised (zero-order hold
and first-order hold beside each other) and run over whole periods from rest until it repeats.
"""

import json
import platform

import numpy as np
import scipy
from scipy import signal

MAINS_HZ = 60.0
SAMPLES = 72_000
TIME = (np.arange(SAMPLES) + 0.5) / SAMPLES


def phase_cut(delay_deg):
    angle = 2.0 * np.pi * TIME
    return np.where(angle % np.pi >= np.radians(delay_deg), np.sin(angle), 0.0)


def third(ratio, phase_deg):
    angle = 2.0 * np.pi * TIME
    return np.sin(angle) + ratio * np.sin(3.0 * angle + np.radians(phase_deg))


CURRENTS = {
    "phase-cut 120": phase_cut(120.0),
    "phase-cut 90": phase_cut(90.0),
    "third 0.2 at 180": third(0.2, 180.0),
}
# low cut-off in Hz or none, poles in Hz
FRONT_ENDS = [(None, [1000.0]), (5.0, []), (10.0, []), (10.0, [2000.0]), (5.0, [1000.0, 5000.0]), (2.0, [400.0])]


def transfer(low_hz, poles_hz):
    numerator, denominator = np.array([1.0]), np.array([1.0])
    if low_hz is not None:
        numerator = np.polymul(numerator, [1.0, 0.0])
        denominator = np.polymul(denominator, [1.0, 2.0 * np.pi * low_hz])
    for pole_hz in poles_hz:
        denominator = np.polymul(denominator, [1.0 / (2.0 * np.pi * pole_hz), 1.0])
    _, at_mains = signal.freqs(numerator, denominator, [2.0 * np.pi * MAINS_HZ])
    return numerator / abs(at_mains[0]), denominator


def periodic(current, low_hz, poles_hz, method):
    numerator, denominator = transfer(low_hz, poles_hz)
    step_s = 1.0 / (MAINS_HZ * SAMPLES)
    b, a, _ = signal.cont2discrete((numerator, denominator), step_s, method=method)
    b = b.flatten()
    state = np.zeros(max(len(b), len(a)) - 1)
    periods = 60 if low_hz is None else int(np.ceil(24.0 / (2.0 * np.pi * low_hz) * MAINS_HZ)) + 1
    output = np.zeros(SAMPLES)
    for _ in range(periods):
        before = output
        output, state = signal.lfilter(b, a, current, zi=state)
    return output, float(np.max(np.abs(output - before)))


def sums(output):
    return {
        "rms": float(np.sqrt(np.mean(output**2))),
        "arv": float(np.mean(np.abs(output))),
        "peak": float(np.max(np.abs(output))),
    }


def main():
    rows = []
    for name, current in CURRENTS.items():
        current = current / np.sqrt(np.mean(current**2))
        for low_hz, poles_hz in FRONT_ENDS:
            held, defect = periodic(current, low_hz, poles_hz, "zoh")
            sloped, _ = periodic(current, low_hz, poles_hz, "foh")
            level = 0.8 * float(np.max(np.abs(held)))
            rows.append(
                {
                    "current": name,
                    "low_hz": low_hz,
                    "poles_hz": poles_hz,
                    "whole": sums(held),
                    "first_order_hold": sums(sloped),
                    "clip_at": level,
                    "clipped": sums(np.clip(held, -level, level)),
                    "repeats_to": defect,
                }
            )
    versions = {"python": platform.python_version(), "numpy": np.__version__, "scipy": scipy.__version__}
    with open("front_end.json", "w") as file:
        json.dump({"versions": versions, "mains_hz": MAINS_HZ, "samples": SAMPLES, "rows": rows}, file, indent=1)
        file.write("\n")


main()
