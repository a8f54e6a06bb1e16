"""The same circuit run forward in time with no periodicity assumed: every zero crossing of v_c schedules a gate pulse."""

import numpy as np
from scipy.integrate import solve_ivp

from resonant_source import ATOL, I_CTL, RTOL, V_C, run_to


def run(model, x, phi, alpha, t_end, t=0.0, on=True, crossings=(), polarity=None, t_eval=None, load=None):
    """Returns (samples at t_eval, list of events (t, what, state), final state).

    `crossings` are pending gate instants. A pulse that meets a conducting triac is lost and reported as such.
    `polarity` is the sign v_c has just after t; `load` is a list of (t, model) replacing the circuit at instants.
    """
    x = np.array(x, float)
    pending = sorted(crossings)
    changes = list(load or [])
    events, samples, want = [], [], None if t_eval is None else list(t_eval)
    sign = polarity or (1.0 if x[V_C] >= 0 else -1.0)
    last_sign_ctl = np.sign(x[I_CTL])
    k = 0
    while t < t_end:
        stop, what = t_end, "end"
        if pending and pending[0] < stop:
            stop, what = pending[0], "gate"
        if changes and changes[0][0] < stop:
            stop, what = changes[0][0], "change"
        m = model

        def rhs(t_, y):
            return m.f(t_, y, on, phi)

        found = []
        v_zero = lambda y: y[V_C] * sign
        t1, y1, crossed = run_to(rhs, t, x, stop, v_zero, -1, dense=found)
        if crossed:
            stop, what = t1, "crossing"
        if on:
            i_zero = lambda y: y[I_CTL] * last_sign_ctl
            part = []
            t2, y2, off = run_to(rhs, t, x, stop, i_zero, -1, dense=part)
            if off and t2 < stop:
                t1, y1, what, found = t2, y2, "off", part
            elif what != "crossing":
                t1, y1 = t2, y2
        if want is not None:
            m0 = k
            while k < len(want) and want[k] < t1:
                k += 1
            if k > m0:
                s = solve_ivp(rhs, (t, t1), x, method="DOP853", rtol=RTOL, atol=ATOL, max_step=1 / m.w / 160,
                              t_eval=want[m0:k])
                samples.append(s.y.T)
        t, x = t1, np.array(y1)
        if what == "crossing":
            sign = -sign
            x[V_C] = 0.0
            pending.append(t + alpha / model.w)
        elif what == "off":
            on = False
            x[I_CTL] = 0.0
        elif what == "gate":
            pending.pop(0)
            if on:
                what = "lost gate"
            else:
                on = True
                last_sign_ctl = np.sign(x[V_C])
        elif what == "change":
            model = changes.pop(0)[1]
        events.append((t, what, x.copy()))
    return (np.vstack(samples) if samples else None), events, x
