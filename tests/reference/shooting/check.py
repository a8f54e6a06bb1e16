"""Checks the oracle against methods it does not use. Prints every figure; a failed check raises."""

import numpy as np
from scipy.integrate import solve_ivp

from operating_points import follow, rms_of, start
from resonant_source import (BASE_OHM, I_CTL, I_IN, I_O, V_C, Model, Target, half_period, multipliers, sample, solve)
from switched_run import run


def must(name, value, limit, why):
    print(f"{name}: {value:.3e} (limit {limit:.0e}: {why})", flush=True)
    assert abs(value) < limit, name


def main():
    m = Model(load_ohm=0.5 * BASE_OHM)
    p = follow(start(m), m, "rms", 2.8)

    # An implicit method (Radau IIA, order 5) and the published switching instants: same end of the half period.
    y, edges = p.x0.copy(), [0.0, p.end.off_s, p.alpha / m.w, m.half_s]
    for a, b, on in zip(edges[:-1], edges[1:], (True, False, True)):
        if not on:
            must("control current at turn-off, A", y[I_CTL], 1e-7, "Radau at rtol 1e-11")
            y[I_CTL] = 0.0
        y = solve_ivp(lambda t, x: m.f(t, x, on, p.phi), (a, b), y, method="Radau", rtol=1e-11, atol=1e-11).y[:, -1]
    must("Radau: x(T/2) + x(0), of 1000 V", np.max(np.abs(y + p.x0)) / 1000, 1e-9, "100 x its tolerance")

    # Variational derivatives against central differences.
    h, worst = 1e-5, 0.0
    for i in (0, 3, 4):
        d = np.zeros(m.n)
        d[i] = h
        fd = (half_period(m, p.x0 + d, p.phi, p.alpha).x - half_period(m, p.x0 - d, p.phi, p.alpha).x) / (2 * h)
        worst = max(worst, np.max(np.abs(fd - p.end.s[:, i])) / np.max(np.abs(fd)))
    fd = (half_period(m, p.x0, p.phi, p.alpha + h).x - half_period(m, p.x0, p.phi, p.alpha - h).x) / (2 * h)
    worst = max(worst, np.max(np.abs(fd - p.end.s[:, -1])) / np.max(np.abs(fd)))
    must("sensitivities against differences", worst, 1e-6, "difference error h^2 and 1e-13/h")

    # Multipliers against the map crossing -> next crossing of the free-running switched model (no linearisation).
    def section(z):
        x = np.array([z[0], 0.0, z[1], z[2], z[3]])
        _, ev, _ = run(m, x, z[4], p.alpha, 0.6 / m.supply_hz, crossings=(p.alpha / m.w,), polarity=1.0)
        t, _, x = next(e for e in ev if e[1] == "crossing")
        return np.array([-x[0], -x[2], -x[3], -x[4], z[4] + m.w * t - np.pi])
    z0 = np.array([p.x0[0], p.x0[2], p.x0[3], p.x0[4], p.phi])
    must("section map closes", np.max(np.abs(section(z0) - z0)), 1e-10, "integrator")
    jac = np.empty((5, 5))
    for i in range(5):
        d = np.zeros(5)
        d[i] = 1e-5
        jac[:, i] = (section(z0 + d) - section(z0 - d)) / 2e-5
    got = sorted(np.abs(np.linalg.eigvals(jac)))
    want = sorted(np.abs(multipliers(p)[0]))
    print("multipliers by differences", got, "by variation", want)
    must("multipliers", np.max(np.abs(np.array(got) - want)), 1e-6, "differences")

    # Power: what the source gives is what the load, R_in and R_ctl take (the iron is lossless).
    t, x = sample(p, 8192)
    v_s = np.array([m.source(v, p.phi)[0] for v in t])
    given = np.mean(v_s * x[:, I_IN])
    taken = m.r_in_ohm * np.mean(x[:, I_IN] ** 2) + m.r_ctl_ohm * np.mean(x[:, I_CTL] ** 2) + m.load_ohm * np.mean(x[:, I_O] ** 2)
    must("energy balance over a period", given / taken - 1, 1e-7, "sampling of kinks in i_ctl, grid 8192")
    must("RMS from samples against quadrature", np.sqrt(np.mean(x[:, I_O] ** 2)) / rms_of(p) - 1, 1e-11, "smooth i_o")

    # Closed form: iron and triac out of the way, no winding resistance: I = V / X whatever the load, 90 deg behind.
    lin = Model(load_ohm=115.0, iron_a=0.0, iron_b=0.0, r_in_ohm=0.0, l_ctl_h=1e9)
    a = np.radians(150)
    v_c = (115 + 230j) * -7.6j * np.sqrt(2)
    i_o = -7.6j * np.sqrt(2)
    i_in = i_o + v_c / -230j
    turn = v_c / abs(v_c)
    # Flux and control current are not tied down without iron and resistance, so integrate the closed form only.
    x0 = np.array([(i_in / turn).imag, 0.0, -1e-9, (i_o / turn).imag, 0.0])
    e = half_period(lin, x0, np.angle(1 / turn), a)
    must("T network, RMS against V/X", np.sqrt(e.square_a2s / lin.half_s) / 7.6 - 1, 1e-8, "reactor of 1e9 H instead of none")
    must("T network, half period closes", np.max(np.abs(e.x + x0)[[0, 1, 3]]) / 1000, 1e-9, "the same")


if __name__ == "__main__":
    main()
