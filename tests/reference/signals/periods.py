"""One-cycle RMS, half-cycle RMS and harmonic groups of a current given by a formula.

The formula is integrated on a dense grid (20,000 points a cycle, Simpson's rule of scipy) and
transformed on its own exact grid (numpy): neither samples nor interpolation of the program take part.
The program is given 6400 samples a second of the same formula.

    python3 periods.py > periods.json      (numpy 2.4.6, scipy 1.17.1)
"""

import json

import numpy as np
from scipy.integrate import simpson

F = 50.0
CYCLES = 10
ORDERS = 40
W = 2 * np.pi * F


def current(t):
    """Amperes at a time in seconds."""
    shape = (
        np.sin(W * t + 0.3)
        + 0.12 * np.sin(3 * W * t + 1.0)
        + 0.05 * np.sin(5 * W * t - 0.7)
        + 0.03 * np.sin(7 * W * t + 2.0)
    )
    slow = 1 + 0.05 * np.sin(2 * np.pi * 3.0 * t)
    between = 0.2 * np.sqrt(2) * np.sin(2 * np.pi * 178.0 * t + 0.4)
    return 6.6 * np.sqrt(2) * slow * shape + between + 0.1


def rms(start, length):
    t = np.linspace(start, start + length, 20001)
    return float(np.sqrt(simpson(current(t) ** 2, x=t) / length))


def mean(start, length):
    t = np.linspace(start, start + length, 20001)
    return float(simpson(current(t), x=t) / length)


def rectified_without_mean(start, length):
    t = np.linspace(start, start + length, 20001)
    i = current(t)
    return float(simpson(np.abs(i - mean(start, length)), x=t) / length)


def peak(start, length):
    t = np.linspace(start, start + length, 200001)
    return float(np.max(np.abs(current(t))))


def groups(start):
    n = 8192
    t = start + np.arange(n) * (CYCLES / F / n)
    lines = np.abs(np.fft.rfft(current(t))) / n * np.sqrt(2)
    square = lines**2
    order = range(1, ORDERS + 1)
    half = CYCLES // 2
    out = {"line_35_rms_a": float(lines[35]), "line_36_rms_a": float(lines[36])}
    out["group_rms_a"] = [
        float(np.sqrt(
            0.5 * square[CYCLES * h - half]
            + np.sum(square[CYCLES * h - half + 1 : CYCLES * h + half])
            + 0.5 * square[CYCLES * h + half]
        ))
        for h in order
    ]
    out["subgroup_rms_a"] = [
        float(np.sqrt(np.sum(square[CYCLES * h - 1 : CYCLES * h + 2]))) for h in order
    ]
    out["interharmonic_subgroup_rms_a"] = [
        float(np.sqrt(np.sum(square[CYCLES * h + 2 : CYCLES * h + CYCLES - 1])))
        for h in range(ORDERS)
    ]
    first = out["subgroup_rms_a"][0]
    rest = np.sqrt(np.sum(np.square(out["subgroup_rms_a"][1:])))
    out["subgroup_thd_ratio"] = float(rest / first)
    return out


def main():
    period = 1 / F
    starts = [k * period for k in range(24)]
    json.dump(
        {
            "cycle_rms_a": [rms(s, period) for s in starts],
            "cycle_mean_a": [mean(s, period) for s in starts],
            "cycle_arv_ac_a": [rectified_without_mean(s, period) for s in starts],
            "cycle_peak_a": [peak(s, period) for s in starts],
            "half_cycle_rms_a": [rms(k * period / 2, period) for k in range(46)],
            "windows": [
                {"rms_a": float(np.sqrt(np.mean([rms(s, period) ** 2 for s in starts[w : w + 10]]))),
                 **groups(starts[w])}
                for w in (0, 10)
            ],
        },
        indent=1,
        fp=__import__("sys").stdout,
    )
    print()


if __name__ == "__main__":
    main()
