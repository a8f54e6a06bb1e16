"""Time to trip of a windowed detector on a sampled current, independent of loopcrest.

A sine of 50 or 60 Hz whose amplitude jumps at t = 0; the detector squares or rectifies the samples,
averages them over the last N half cycles (numpy.convolve, not a recursion), is looked at at the end
of every half cycle, picks up, and waits. numpy only. Writes trip_times.json beside itself.
"""
import json
import pathlib

import numpy as np

SAMPLES = 200  # per half cycle, midpoints


def trip_s(case):
    half_s = 0.5 / case["frequency_hz"]
    window = case["window_half_cycles"]
    before = window + 2
    after = int(np.ceil(case["delay_s"] / half_s)) + window + 3
    k = np.arange((before + after) * SAMPLES)
    t = (k + 0.5) / SAMPLES
    level = np.where(t < before, case["before_ratio"], case["after_ratio"])
    current = level * np.sqrt(2.0) * np.sin(np.pi * t)
    if case["law"] == "true-rms":
        quantity = current**2
    else:
        quantity = np.abs(current)
    mean = np.convolve(quantity, np.ones(window * SAMPLES) / (window * SAMPLES), "full")
    ends = np.arange(before + 1, before + after + 1) * SAMPLES - 1
    shown = mean[ends]
    shown = np.sqrt(shown) if case["law"] == "true-rms" else np.pi / (2 * np.sqrt(2)) * shown
    above = shown >= case["pickup_ratio"] * (1 - 1e-6)
    if not above.any():
        return None
    first = int(np.argmax(above))
    assert above[first:].all()
    waits = np.arange(len(above)) - first
    acts = np.nonzero(waits * half_s >= case["delay_s"] - 1e-9)[0][0]
    return float((acts + 1) * half_s)


def main():
    cases = []
    for frequency_hz in (50.0, 60.0):
        for law in ("true-rms", "average"):
            for window in (1, 2, 7, 20):
                for after_ratio in (1.02, 1.04, 1.1, 1.27, 1.9):
                    case = {
                        "frequency_hz": frequency_hz, "law": law, "window_half_cycles": window,
                        "before_ratio": 1.0 if window != 7 else 0.42, "after_ratio": after_ratio,
                        "pickup_ratio": 1.03, "delay_s": 0.33 if window < 20 else 0.0,
                    }
                    case["time_s"] = trip_s(case)
                    cases.append(case)
    text = {"numpy": np.__version__, "cases": cases}
    path = pathlib.Path(__file__).with_name("trip_times.json")
    path.write_text(json.dumps(text, indent=1) + "\n")


if __name__ == "__main__":
    main()
