"""Coverage factors, global risks and a Monte Carlo run by numpy and scipy.

Other random numbers (PCG64), other quadrature (QUADPACK) and other quantiles than the library's.
Run: python3 check.py > check.json
"""

import json
import sys

import numpy as np
import scipy
from scipy import integrate, optimize, stats


def rectangular_with_normal(a, sigma, p):
    """Half-width that holds p of a rectangle ± a plus a normal of standard deviation sigma."""
    def covered(y):
        value, _ = integrate.quad(
            lambda x: (stats.norm.cdf((y - x) / sigma) - stats.norm.cdf((-y - x) / sigma)) / (2 * a),
            -a, a, epsabs=1e-13, epsrel=1e-12, limit=400)
        return value - p
    y = optimize.brentq(covered, 0, a + 10 * sigma, xtol=1e-14)
    return y / np.hypot(a / np.sqrt(3), sigma)


def trapezoidal(a1, a2, p):
    """Coverage factor of the sum of two rectangles."""
    a, beta = a1 + a2, abs(a1 - a2) / (a1 + a2)
    law = stats.trapezoid((1 - beta) / 2, (1 + beta) / 2, loc=-a, scale=2 * a)
    return law.ppf((1 + p) / 2) / law.std()


def risk(law, u, tolerance, acceptance):
    """False accept and false reject by splitting the line at every limit."""
    (tl, tu), (al, au) = tolerance, acceptance

    def accept(eta):
        return stats.norm.cdf((au - eta) / u) - stats.norm.cdf((al - eta) / u)

    def over(f, low, high):
        low, high = max(low, law.ppf(0)), min(high, law.ppf(1))
        if low >= high:
            return 0.0
        inner = [law.ppf(q) for q in (1e-9, .01, .25, .5, .75, .99, 1 - 1e-9)] + [al, au]
        cuts = [low] + sorted(x for x in inner if low < x < high) + [high]
        return sum(integrate.quad(lambda x: law.pdf(x) * f(x), a, b, epsabs=1e-14, limit=400)[0]
                   for a, b in zip(cuts, cuts[1:]))

    far = 12 * u
    false_accept = over(accept, tu, au + far) + over(accept, al - far, tl)
    return false_accept, over(lambda x: 1 - accept(x), tl, tu)


def monte_carlo(n, seed):
    """(shown (1 + gain) + offset) / (1 + law) with the inputs of the Rust test."""
    rng = np.random.default_rng(seed)
    shown = 6.58 + 0.012 * rng.standard_t(9, n)
    accuracy = rng.uniform(-0.066, 0.066, n)
    resolution = rng.uniform(-0.005, 0.005, n)
    position = rng.uniform(-0.01, 0.01, n)
    certificate = rng.normal(0, 0.004, n)
    temperature = 0.003 * np.sin(rng.uniform(-np.pi / 2, np.pi / 2, n))
    bandwidth = rng.triangular(-0.006, 0, 0.006, n)
    law = np.exp(rng.normal(-3.9, 0.3, n))
    y = (shown + accuracy + resolution) * (1 + position + certificate + temperature + bandwidth)
    y = np.sort(y / (1 - law))
    k = round(0.95 * n)
    widths = y[k:] - y[: n - k]
    at = int(np.argmin(widths))
    return {
        "trials": n,
        "mean": y.mean(), "standard_uncertainty": y.std(ddof=1),
        "symmetric": [float(q) for q in np.quantile(y, [0.025, 0.975])],
        "shortest": [y[at], y[at + k]],
    }


RISKS = [
    ("normal", stats.norm(6.6, 0.08), 0.03, (6.4, 6.7), (6.45, 6.65)),
    ("normal", stats.norm(0, 1 / stats.norm.ppf(0.975)), 0.25 / stats.norm.ppf(0.975), (-1, 1), (-1, 1)),
    ("rectangular", stats.uniform(6.3, 0.5), 0.05, (6.4, 6.7), (6.4, 6.7)),
    ("triangular", stats.triang(0.5, 6.3, 0.5), 0.02, (6.4, 6.7), (6.42, 6.68)),
    ("gamma", stats.gamma(4, scale=0.25), 0.25, (0.1, 2), (0.1, 1.67183)),
    ("log-normal", stats.lognorm(0.2, scale=np.exp(1.0)), 0.1, (2, 3.5), (2.1, 3.4)),
    ("student-t", stats.t(5, 6.55, 0.05), 0.04, (6.4, 6.7), (6.36, 6.74)),
]

print(json.dumps({
    "versions": {"python": sys.version.split()[0], "numpy": np.__version__, "scipy": scipy.__version__},
    "student": [[nu, p, stats.t.ppf((1 + p) / 2, nu)] for nu in (1, 2.5, 7, 30, 1000) for p in (.6827, .95, .9973)],
    "trapezoidal": [[a, b, p, trapezoidal(a, b, p)] for a, b in ((.05, .011), (1, 1), (1, .01)) for p in (.5, .95, .99)],
    "rectangular_with_normal": [[a, s, p, rectangular_with_normal(a, s, p)]
                                for a, s in ((.05, .0065), (1, .5), (1, .05), (1, 3)) for p in (.5, .95, .99)],
    "risks": [{"law": name, "u": u, "tolerance": t, "acceptance": a,
               **dict(zip(("false_accept", "false_reject"), risk(law, u, t, a)))}
              for name, law, u, t, a in RISKS],
    "monte_carlo": monte_carlo(20_000_000, 20261125),
}, indent=1))
