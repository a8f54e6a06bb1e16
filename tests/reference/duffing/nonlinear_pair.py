"""Writes nonlinear_pair.json: every symmetric period-one solution of two small nonlinear circuits, and where they fold.

duffing: x'' + k x' + x^3 = B cos t, k = 0.2.
series_ferroresonance: V cos t = R i + v_c + dphi/dt, dv_c/dt = i / C, i = 0.3 phi + 0.1 phi^9, R = 0.2, C = 0.5.

Shooting on half a period (x(pi) = -x(0)), DOP853 with variational equations, started from a grid of initial states
so that no solution is presupposed; each is then checked by a fixed-step classical Runge-Kutta run over a whole period.
"""

import json
import platform
from pathlib import Path

import numpy as np
import scipy
from scipy.integrate import solve_ivp

RTOL = ATOL = 1e-13
AVERAGE_TO_RMS_OF_A_SINE = np.pi / (2 * np.sqrt(2))


class Duffing:
    name, drive_name, k = "duffing", "drive", 0.2

    def f(self, t, x, b):
        return np.array([x[1], b * np.cos(t) - self.k * x[1] - x[0] ** 3])

    def jac(self, x):
        return np.array([[0.0, 1.0], [-3 * x[0] ** 2, -self.k]])

    def drive(self, t):
        return np.array([0.0, np.cos(t)])

    def output(self, x):
        return x[0]


class Ferro:
    name, drive_name, r, c = "series_ferroresonance", "source_peak", 0.2, 0.5

    def i(self, phi):
        return 0.3 * phi + 0.1 * phi**9

    def f(self, t, x, v):
        i = self.i(x[0])
        return np.array([v * np.cos(t) - self.r * i - x[1], i / self.c])

    def jac(self, x):
        g = 0.3 + 0.9 * x[0] ** 8
        return np.array([[-self.r * g, -1.0], [g / self.c, 0.0]])

    def drive(self, t):
        return np.array([np.cos(t), 0.0])

    def output(self, x):
        return self.i(x[0])


def half(sys, x0, b):
    """End of half a period, its derivative by the state, and by the drive."""
    def rhs(t, y):
        x, s = y[:2], y[2:].reshape(2, 3)
        d = sys.jac(x) @ s
        d[:, 2] += sys.drive(t)
        return np.concatenate([sys.f(t, x, b), d.ravel()])
    y = np.concatenate([x0, np.hstack([np.eye(2), np.zeros((2, 1))]).ravel()])
    y = solve_ivp(rhs, (0, np.pi), y, method="DOP853", rtol=RTOL, atol=ATOL).y[:, -1]
    s = y[2:].reshape(2, 3)
    return y[:2], s[:, :2], s[:, 2]


def newton(sys, x, b, tries=25):
    x = np.array(x, float)
    best = (np.inf, x)
    for _ in range(tries):
        e, s, _ = half(sys, x, b)
        r = e + x
        res = np.max(np.abs(r))
        if not np.isfinite(res) or np.max(np.abs(x)) > 20:
            return None
        if res < best[0]:
            best = (res, x.copy(), s)
        elif best[0] < 1e-11:
            break
        step = np.linalg.solve(s + np.eye(2), -r)
        x = x + step / max(1.0, 2 * np.max(np.abs(step)))
    return best if best[0] < 1e-11 else None


def all_solutions(sys, b, grid):
    found = []
    for a in grid:
        for c in grid:
            try:
                s = newton(sys, (a, c), b)
            except (RuntimeError, np.linalg.LinAlgError, FloatingPointError):
                s = None
            if s and not any(np.max(np.abs(s[1] - q[1])) < 1e-7 for q in found):
                found.append(s)
    return sorted(found, key=lambda s: -abs(s[1][0]))


def runge_kutta(sys, x, b, n):
    """Largest defect of a whole period with n equal classical steps."""
    h, y = 2 * np.pi / n, np.array(x)
    for k in range(n):
        t = k * h
        k1 = sys.f(t, y, b)
        k2 = sys.f(t + h / 2, y + h / 2 * k1, b)
        k3 = sys.f(t + h / 2, y + h / 2 * k2, b)
        k4 = sys.f(t + h, y + h * k3, b)
        y = y + h / 6 * (k1 + 2 * k2 + 2 * k3 + k4)
    return float(np.max(np.abs(y - x)))


def fold(sys, x, b):
    """Newton on: closes, and -M has the eigenvalue one, i.e. det(M + 1) = 0; derivative of det by differences."""
    z = np.array([x[0], x[1], b])
    def g(z):
        e, s, _ = half(sys, z[:2], z[2])
        return np.array([*(e + z[:2]), np.linalg.det(s + np.eye(2))])
    for _ in range(20):
        r = g(z)
        if np.max(np.abs(r)) < 1e-11:
            break
        j = np.column_stack([(g(z + h) - g(z - h)) / 2e-6 for h in np.eye(3) * 1e-6])
        z = z + np.linalg.solve(j, -r)
    return z, float(np.max(np.abs(g(z))))


def trace(sys, x, b, way, length, ds=0.02):
    """Arclength continuation; returns the folds passed."""
    z = np.array([*x, b])
    tangent, folds, last = np.array([0, 0, way], float), [], None
    for _ in range(int(length / ds)):
        _, s, d = half(sys, z[:2], z[2])
        det = np.linalg.det(s + np.eye(2))
        if last is not None and det * last[1] < 0:
            folds.append(fold(sys, *((0.5 * (last[0] + z))[:2], 0.5 * (last[0] + z)[2])))
        last = (z.copy(), det)
        a = np.column_stack([s + np.eye(2), d])
        t = np.linalg.svd(a)[2][-1]
        tangent = t if t @ tangent > 0 else -t
        guess = z + ds * tangent
        z = guess.copy()
        for _ in range(8):
            e, s, d = half(sys, z[:2], z[2])
            r = np.array([*(e + z[:2]), (z - guess) @ tangent])
            if np.max(np.abs(r)) < 1e-12:
                break
            z = z + np.linalg.solve(np.vstack([np.column_stack([s + np.eye(2), d]), tangent]), -r)
        if z[2] < 0.01:
            break
    return folds, z[2]


def describe(sys, s, b):
    res, x0, m = s
    n = 8192
    t = np.arange(n // 2) * (2 * np.pi / n)
    sol = solve_ivp(lambda t, x: sys.f(t, x, b), (0, np.pi), x0, method="DOP853", rtol=RTOL, atol=ATOL,
                    max_step=np.pi / 1024, t_eval=t)
    y = np.concatenate([sol.y, -sol.y], axis=1)
    out = np.array([sys.output(v) for v in y.T])
    line = np.abs(np.fft.rfft(out)) * 2 / n
    rms, arv = np.sqrt(np.mean(out**2)), None
    # Rectified mean: one zero per half period, cut there on a cubic so that the kink costs nothing.
    k = int(np.argmax(np.sign(out[1:]) != np.sign(out[:-1])))
    w = [(k + j) % n for j in (-1, 0, 1, 2)]
    c = np.polyfit([-1, 0, 1, 2], out[w], 3)
    z = next(v.real for v in np.roots(c) if abs(v.imag) < 1e-9 and -1e-9 <= v.real <= 1 + 1e-9)
    start = 2 * np.pi / n * (k + z)
    e = solve_ivp(lambda t, v: [*sys.f(t, v[:2], b), sys.output(v)], (0, start), [*x0, 0.0], method="DOP853", rtol=RTOL, atol=ATOL).y[:, -1]
    e = solve_ivp(lambda t, v: [*sys.f(t, v[:2], b), sys.output(v)], (start, start + np.pi), [*e[:2], 0.0], method="DOP853", rtol=RTOL, atol=ATOL).y[:, -1]
    arv = abs(e[2]) / np.pi
    crossings = int(np.sum(np.sign(out) != np.sign(np.roll(out, 1))))
    i = int(np.argmax(np.abs(out)))
    five = [abs(out[(i + j) % n]) for j in range(-2, 3)]
    p = np.polyfit(range(-2, 3), five, 4)
    peak = max(np.polyval(p, v.real) for v in np.roots(np.polyder(p)) if abs(v.imag) < 1e-9 and abs(v.real) <= 1)
    mu = np.linalg.eigvals(m @ m)
    g = lambda v: float(f"{v:.12g}")
    d = {
        "initial_state": [g(x0[0]), g(x0[1])],
        "output_rms": g(rms), "output_peak": g(peak), "crest_factor": g(peak / rms),
        "harmonics_peak": {str(h): g(line[h]) for h in (1, 3, 5, 7, 9)},
        "thd_h2_to_h59_ratio": g(np.sqrt(np.sum(line[2:60] ** 2)) / line[1]),
        "second_state_rms": g(np.sqrt(np.mean(y[1] ** 2))),
        "period_multipliers": [[g(z.real), g(z.imag)] for z in sorted(mu.astype(complex), key=lambda z: (abs(z), z.imag))],
        "stable": bool(np.max(np.abs(mu)) < 1),
        "residual": float(f"{res:.2e}"),
        "runge_kutta_8000_steps_defect": float(f"{runge_kutta(sys, x0, b, 8000):.2e}"),
    }
    if crossings == 2:
        d.update(output_arv=g(arv), form_factor=g(rms / arv),
                 average_responding_error_ratio=g(AVERAGE_TO_RMS_OF_A_SINE * arv / rms - 1))
    return d


def main():
    doc = {"versions": {"python": platform.python_version(), "numpy": np.__version__, "scipy": scipy.__version__}}
    cases = ((Duffing(), (0.3,), np.linspace(-1.5, 1.5, 9), 6), (Ferro(), (1.0, 0.2), np.linspace(-2, 2, 9), 8))
    for sys, drives, grid, length in cases:
        part = {"cases": [{sys.drive_name: b, "solutions": [describe(sys, s, b) for s in all_solutions(sys, b, grid)]}
                          for b in drives]}
        low = newton(sys, (0.0, 0.0), 0.02)
        folds, reached = trace(sys, low[1], 0.02, 1.0, length)
        part["folds_from_weak_drive_upward"] = [
            {sys.drive_name: float(f"{z[2]:.10g}"), "initial_state": [float(f"{v:.9g}") for v in z[:2]],
             "residual": float(f"{r:.1e}")} for z, r in folds]
        part["followed_to"] = float(f"{reached:.6g}")
        doc[sys.name] = part
        print(sys.name, json.dumps(part, indent=1), flush=True)
    (Path(__file__).parent / "nonlinear_pair.json").write_text(json.dumps(doc, indent=1) + "\n")


if __name__ == "__main__":
    main()
