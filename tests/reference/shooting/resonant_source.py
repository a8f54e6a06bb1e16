"""The resonant source with a phase-fired reactor, solved by event-located shooting.

Plain Python on numpy and scipy (DOP853). States are real and in SI units:

    0 i_in    current of the input reactor            A
    1 v_c     voltage of the shunt capacitor          V
    2 i_ctl   current of the phase-fired reactor      A (stays where it is while the triac is off)
    3 i_o     output current                          A
    4 lam     flux linkage of the iron branch         Wb
    5 lam_t   flux linkage of ONE open fixture        Wb (only when fixtures are open)

Time starts at a rising zero crossing of v_c. The source is
v_s = V [sin(wt + phi) + sum_h r_h sin(h (wt + phi) + psi_h)], so phi is the source's phase at that crossing.
The gate fires alpha/w after each zero crossing of v_c; the triac turns off when its own current is zero.

Every derivative (with respect to the initial state, phi and alpha) comes from the variational equations,
carried through the switching instants by the jump condition S+ = S- + (f- - f+) dtau/dp.
"""

from dataclasses import dataclass, field, replace

import numpy as np
from scipy.integrate import solve_ivp

BASE_OHM = 230.0
NOMINAL_HZ = 60.0
NOMINAL_W = 2 * np.pi * NOMINAL_HZ
RTOL = 1e-13
ATOL = 1e-13
AVERAGE_TO_RMS_OF_A_SINE = np.pi / (2 * np.sqrt(2))

I_IN, V_C, I_CTL, I_O, LAM, LAM_T = range(6)


@dataclass(frozen=True)
class Model:
    """One circuit: generic values, the load, the supply."""

    load_ohm: float
    open_fixtures: float = 0
    supply_v_rms: float = 1748.0
    supply_hz: float = NOMINAL_HZ
    supply_harmonics: tuple = ()  # (order, ratio, phase_rad), sines, phase at the fundamental's rising zero
    l_in_h: float = BASE_OHM / NOMINAL_W
    l_out_h: float = BASE_OHM / NOMINAL_W
    c_f: float = 1 / (BASE_OHM * NOMINAL_W)
    l_ctl_h: float = 80.5 / NOMINAL_W
    r_in_ohm: float = 4.6
    r_ctl_ohm: float = 4.6
    iron_a: float = 0.3
    iron_b: float = 0.5
    iron_n: int = 9
    iron_knee_wb: float = 2300.0 * np.sqrt(2) / NOMINAL_W
    open_a: float = 0.15
    open_b: float = 0.5
    open_n: int = 9
    open_knee_wb: float = 60.0 * np.sqrt(2) / NOMINAL_W
    open_loss_ohm: float = 150.0

    @property
    def w(self):
        return 2 * np.pi * self.supply_hz

    @property
    def half_s(self):
        return 0.5 / self.supply_hz

    @property
    def n(self):
        return 6 if self.open_fixtures else 5

    def source(self, t, phi):
        """v_s and its derivative with respect to phi."""
        th = self.w * t + phi
        peak = self.supply_v_rms * np.sqrt(2)
        v, dv = np.sin(th), np.cos(th)
        for h, r, psi in self.supply_harmonics:
            v += r * np.sin(h * th + psi)
            dv += r * h * np.cos(h * th + psi)
        return peak * v, peak * dv

    def f(self, t, x, on, phi):
        u = x[LAM] / self.iron_knee_wb
        i_m = self.iron_a * u + self.iron_b * u**self.iron_n
        v_s, _ = self.source(t, phi)
        d = np.empty(self.n)
        d[I_IN] = (v_s - x[V_C] - self.r_in_ohm * x[I_IN]) / self.l_in_h
        d[V_C] = (x[I_IN] - x[I_O] - x[I_CTL] - i_m) / self.c_f
        d[I_CTL] = (x[V_C] - self.r_ctl_ohm * x[I_CTL]) / self.l_ctl_h if on else 0.0
        field_v = 0.0
        if self.open_fixtures:
            v_t = self.open_fixture_v(x)
            d[LAM_T] = v_t
            field_v = self.open_fixtures * v_t
        d[I_O] = (x[V_C] - self.load_ohm * x[I_O] - field_v) / self.l_out_h
        d[LAM] = x[V_C]
        return d

    def open_fixture_v(self, x):
        """Voltage across one open fixture: what the magnetising branch does not take flows in the core loss."""
        u = x[LAM_T] / self.open_knee_wb
        return self.open_loss_ohm * (x[I_O] - self.open_a * u - self.open_b * u**self.open_n)

    def output_v(self, x):
        """Voltage behind L_out: lamps in plus open fixtures."""
        v = self.load_ohm * x[I_O]
        return v + self.open_fixtures * self.open_fixture_v(x) if self.open_fixtures else v

    def jac(self, x, on):
        u = x[LAM] / self.iron_knee_wb
        di_m = (self.iron_a + self.iron_b * self.iron_n * u ** (self.iron_n - 1)) / self.iron_knee_wb
        j = np.zeros((self.n, self.n))
        j[I_IN, I_IN] = -self.r_in_ohm / self.l_in_h
        j[I_IN, V_C] = -1 / self.l_in_h
        j[V_C, I_IN] = 1 / self.c_f
        j[V_C, I_O] = j[V_C, I_CTL] = -1 / self.c_f
        j[V_C, LAM] = -di_m / self.c_f
        if on:
            j[I_CTL, V_C] = 1 / self.l_ctl_h
            j[I_CTL, I_CTL] = -self.r_ctl_ohm / self.l_ctl_h
        j[I_O, V_C] = 1 / self.l_out_h
        j[I_O, I_O] = -self.load_ohm / self.l_out_h
        j[LAM, V_C] = 1.0
        if self.open_fixtures:
            u = x[LAM_T] / self.open_knee_wb
            g = (self.open_a + self.open_b * self.open_n * u ** (self.open_n - 1)) / self.open_knee_wb
            j[LAM_T, I_O] = self.open_loss_ohm
            j[LAM_T, LAM_T] = -self.open_loss_ohm * g
            j[I_O, I_O] -= self.open_fixtures * self.open_loss_ohm / self.l_out_h
            j[I_O, LAM_T] = self.open_fixtures * self.open_loss_ohm * g / self.l_out_h
        return j


def run_to(rhs, t0, y0, t1, event=None, direction=0, max_step=np.inf, dense=None):
    """Integrate to t1 or to the first zero of event(y), whichever comes first.

    The zero found on the interpolant is polished by integrating again up to it until its time has settled, so
    the event is as exact as the integrator. Returns (t, y, hit).
    """
    events = None
    if event is not None:
        def g(t, y):
            return event(y)
        g.terminal = True
        g.direction = direction
        events = [g]
    sol = solve_ivp(rhs, (t0, t1), y0, method="DOP853", rtol=RTOL, atol=ATOL, events=events,
                    max_step=max_step, dense_output=dense is not None)
    if not sol.success:
        raise RuntimeError(sol.message)
    hit = sol.status == 1
    t, y = sol.t[-1], sol.y[:, -1]
    if hit:
        # From the last accepted step: one or two Newton corrections of the time.
        ta, ya = sol.t[-2], sol.y[:, -2]
        for _ in range(6):
            s = solve_ivp(rhs, (ta, t), ya, method="DOP853", rtol=RTOL, atol=ATOL)
            y = s.y[:, -1]
            eps = 1e-9
            slope = (event(y + eps * rhs(t, y)) - event(y - eps * rhs(t, y))) / (2 * eps)
            if not slope * direction > 0:
                raise RuntimeError("an event is touched, not crossed")
            dt = -event(y) / slope
            t += dt
            if abs(dt) < 1e-18 + 4e-16 * abs(t):
                break
    if dense is not None:
        dense.append((t0, t, sol.sol))
    return t, y, hit


@dataclass
class HalfPeriod:
    """The end of half a period and its derivatives."""

    x: np.ndarray
    s: np.ndarray  # n x (n + 2): initial state, phi, alpha
    square_a2s: float
    square_d: np.ndarray
    abs_as: float
    abs_d: np.ndarray
    off_s: float
    segments: list = field(default_factory=list)


def half_period(m, x0, phi, alpha):
    """Carry state, sensitivities and the two current integrals over half a period from v_c = 0 rising."""
    n, p = m.n, m.n + 2
    k = n + n * p

    def make(on, sign):
        def rhs(t, y):
            x = y[:n]
            s = y[n:k].reshape(n, p)
            d = np.empty_like(y)
            d[:n] = m.f(t, x, on, phi)
            ds = m.jac(x, on) @ s
            ds[I_IN, n] += m.source(t, phi)[1] / m.l_in_h
            d[n:k] = ds.ravel()
            d[k] = x[I_O] ** 2
            d[k + 1:k + 1 + p] = 2 * x[I_O] * s[I_O]
            d[k + 1 + p] = sign * x[I_O]
            d[k + 2 + p:] = sign * s[I_O]
            return d
        return rhs

    y = np.zeros(k + 2 * (1 + p))
    y[:n] = x0
    y[n:k] = np.hstack([np.eye(n), np.zeros((n, 2))]).ravel()
    t, t_fire, t_end = 0.0, alpha / m.w, m.half_s
    sign = -1.0 if x0[I_O] < 0 else 1.0
    on, fired, off_s, marks = True, False, None, []

    def jump(tau_d, on_before, on_after):
        x = y[:n]
        s = y[n:k].reshape(n, p) + np.outer(m.f(t, x, on_before, phi) - m.f(t, x, on_after, phi), tau_d)
        y[n:k] = s.ravel()

    while t < t_end:
        stop = t_end if fired else min(t_fire, t_end)
        turn_off = on and not fired  # conducting from the half cycle before
        t_a = t
        def current_zero(v):
            return v[I_O] * sign
        def control_zero(v):
            return v[I_CTL]
        # Whichever of the two comes first: product event would lose the slope, so run one and look at the other.
        rhs = make(on, sign)
        if turn_off:
            t1, y1, hit = run_to(rhs, t, y, stop, control_zero, 1)
            if not hit:
                raise RuntimeError("triac still conducting when it should fire again")
            t2, y2, crossed = run_to(rhs, t, y, t1, current_zero, -1)
            if crossed and t2 < t1:
                t, y, sign = t2, y2.copy(), -sign
                marks.append((t_a, t, on))
                continue
            t, y = t1, y1.copy()
            marks.append((t_a, t, on))
            x = y[:n]
            tau_d = -y[n:k].reshape(n, p)[I_CTL] / m.f(t, x, True, phi)[I_CTL]
            jump(tau_d, True, False)
            y[I_CTL] = 0.0
            y[n:k].reshape(n, p)[I_CTL] = 0.0
            on, off_s = False, t
            continue
        t, y, crossed = run_to(rhs, t, y, stop, current_zero, -1)
        y = y.copy()
        marks.append((t_a, t, on))
        if crossed:
            sign = -sign
        elif not fired and t >= t_fire:
            tau_d = np.zeros(p)
            tau_d[n + 1] = 1 / m.w
            jump(tau_d, False, True)
            on, fired = True, True
    s = y[n:k].reshape(n, p).copy()
    return HalfPeriod(y[:n].copy(), s, y[k], y[k + 1:k + 1 + p].copy(), y[k + 1 + p], y[k + 2 + p:].copy(), off_s, marks)


@dataclass
class Target:
    """What the control holds: `rms` or `average` (rectified mean scaled by 1.1107) in ampere, or `delay` in radian."""

    kind: str
    value: float


@dataclass
class Point:
    """A periodic solution with its firing delay."""

    model: Model
    x0: np.ndarray
    phi: float
    alpha: float
    residual: float
    iterations: int
    end: HalfPeriod


def scales(m):
    s = np.array([10.0, 1000.0, 10.0, 10.0, m.iron_knee_wb, m.open_knee_wb])
    return s[:m.n]


def solve(m, guess, target, max_iter=40, tol=3e-14):
    """Newton on x(T/2) + x(0) = 0 with v_c(0) = 0, phi unknown, and alpha unknown if a current is held."""
    x, phi, alpha = guess
    x = np.array(x, float)
    x[V_C] = 0.0
    n = m.n
    free = [i for i in range(n) if i != V_C]
    sc = scales(m)
    if target.kind == "delay":
        alpha = target.value
    best = None
    for it in range(max_iter):
        e = half_period(m, x, phi, alpha)
        r = (e.x + x) / sc
        cols = (e.s[:, :n] + np.eye(n))[:, free]
        j = np.column_stack([cols, e.s[:, n], e.s[:, n + 1]]) / sc[:, None]
        if target.kind == "delay":
            j = j[:, :-1]
        elif target.kind == "rms":
            # Mean square instead of RMS: its derivative needs no root.
            ms = e.square_a2s / m.half_s
            r = np.append(r, (ms - target.value**2) / target.value**2)
            row = e.square_d / m.half_s / target.value**2
            j = np.vstack([j, np.append(row[free], row[n:])])
        else:
            k = AVERAGE_TO_RMS_OF_A_SINE / m.half_s / target.value
            r = np.append(r, e.abs_as * k - 1)
            row = e.abs_d * k
            j = np.vstack([j, np.append(row[free], row[n:])])
        res = np.max(np.abs(r))
        if best is None or res < best.residual:
            best = Point(m, x.copy(), phi, alpha, res, it, e)
        if res < tol:
            return best
        if it > 8 and res > 0.3 * last and best.residual < 1e-12:
            return best
        last = res
        step = np.linalg.solve(j, -r)
        cap = 0.25 / max(0.25, np.max(np.abs(step[:n - 1] / sc[free])), abs(step[n - 1]) * 2)
        if target.kind != "delay":
            cap = min(cap, 0.1 / max(0.1, abs(step[n])))
        step *= cap
        x[free] += step[:n - 1]
        phi += step[n - 1]
        if target.kind != "delay":
            alpha += step[n]
            if not (np.radians(60) < alpha < np.radians(179.9)):
                raise RuntimeError(f"delay left its range: {np.degrees(alpha):.3f} deg")
    if best.residual < 1e-11:
        return best
    raise RuntimeError(f"not converged: residual {best.residual:.3e}")


def multipliers(p):
    """Eigenvalues of x -> -x(T/2): gate timed from v_c's own crossing, and gate clock frozen."""
    m, n, s = p.model, p.model.n, p.end.s
    frozen = -s[:, :n]
    slope = m.f(0.0, p.x0, True, p.phi)[V_C]
    e = np.zeros(n)
    e[V_C] = 1.0
    # A perturbation of v_c moves the crossing by -dv/slope, and the firing instant with it.
    timed = frozen + np.outer(s[:, n + 1] * m.w, e / slope)
    order = lambda v: sorted(v, key=lambda z: (-round(abs(z), 9), round(z.real, 9), z.imag))
    return order(np.linalg.eigvals(timed)), order(np.linalg.eigvals(frozen))


def sample(p, per_period, extra=16):
    """States on a uniform grid of one whole period; the second half by symmetry. Steps are kept short so that the
    interpolant is as good as the integrator."""
    m = p.model
    half = per_period // 2
    t = np.arange(half) * (m.half_s / half)
    out = np.empty((half, m.n))
    y = p.x0.copy()
    edges = [0.0, p.end.off_s, p.alpha / m.w, m.half_s]
    for a, b, on in zip(edges[:-1], edges[1:], (True, False, True)):
        if on is False:
            y[I_CTL] = 0.0
        s = solve_ivp(lambda t_, x_: m.f(t_, x_, on, p.phi), (a, b), y, method="DOP853", rtol=RTOL, atol=ATOL,
                      max_step=m.half_s / 512, dense_output=True)
        k = (t >= a) & (t < b)
        out[k] = s.sol(t[k]).T
        y = s.y[:, -1].copy()
    return np.concatenate([t, t + m.half_s]), np.vstack([out, -out])


def peak_of(values):
    """Largest absolute value of a periodic, half-wave symmetric series, by a quartic through the five nearest samples."""
    a = np.abs(values)
    i = int(np.argmax(a))
    w = [abs(values[(i + k) % len(values)]) for k in range(-2, 3)]
    c = np.polyfit(np.arange(-2, 3), w, 4)
    z = np.roots(np.polyder(c))
    z = z[(np.abs(z.imag) < 1e-9) & (np.abs(z.real) <= 1)].real
    return max(np.polyval(c, z)) if len(z) else a[i]


def starting_guess(m, alpha):
    """Fundamental phasors with the fired reactor as its fundamental susceptance: a start for Newton, nothing more."""
    w = m.w
    b = (2 * (np.pi - alpha) + np.sin(2 * alpha)) / np.pi / (w * m.l_ctl_h)
    y_c = 1j * w * m.c_f - 1j * b - 1j * m.iron_a / (m.iron_knee_wb * w)
    z_o = m.load_ohm + 1j * w * m.l_out_h
    z_in = m.r_in_ohm + 1j * w * m.l_in_h
    y = y_c + 1 / z_o
    v_s = m.supply_v_rms * np.sqrt(2)
    v_c = v_s / (1 + z_in * y)
    i_in, i_o = (v_s - v_c) / z_in, v_c / z_o
    turn = v_c / abs(v_c)
    at = lambda z: (z / turn).imag
    x = np.zeros(m.n)
    x[I_IN], x[I_O] = at(i_in), at(i_o)
    x[I_CTL] = -abs(v_c) / (w * m.l_ctl_h) * (1 + np.cos(alpha))
    x[LAM] = -abs(v_c) / w
    if m.open_fixtures:
        x[LAM_T] = np.sign(x[I_O]) * m.open_knee_wb
    return x, np.angle(v_s / turn), alpha
