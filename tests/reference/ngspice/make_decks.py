"""Writes the decks from the periodic states in ../shooting/operating_points.json."""

import json
from pathlib import Path

import numpy as np

HERE = Path(__file__).parent
DECKS = {
    "light": "load-0.02-step-4.1",
    "half": "load-0.5-step-2.8",
    "full": "load-1.0-step-4.1",
    "one_open": "open-1-of-50-step-4.1",
    "five_open": "open-5-of-50-step-2.8",
}
# Without half-wave symmetry, beside the symmetric solution at the same delay: (point, which in the file).
ASYMMETRIC = {"asymmetric_light": ("load-0.02-step-2.8", 1), "asymmetric_half": ("load-0.5-step-2.8", 1)}
W = 2 * np.pi * 60
GRID, PERIODS = 720, 3


def g(v):
    return f"{v:.15g}"


def circuit(p, ic):
    """Everything but the gate. `ic` maps a state's name to its initial value."""
    k = g(2300 * np.sqrt(2) / W)
    n = p["open_fixtures"]
    lines = [
        f"Vs s 0 SIN(0 {g(p['supply_v_rms'] * np.sqrt(2))} {g(p['supply_hz'])} 0 0 {g(np.degrees(p['source_phase_rad']))})",
        "Rin s a 4.6",
        f"Lin a c {g(230 / W)} IC={g(ic['i_in_a'])}",
        f"C c 0 {g(1 / (230 * W))} IC={g(ic['v_c_v'])}",
        "* iron: the flux is the voltage of a 1 F capacitor charged with v_c amperes",
        "Bflux 0 lam I=V(c)",
        f"Cflux lam 0 1 IC={g(ic['flux_wb'])}",
        f"Biron c 0 I=(V(lam)/{k})*(0.3+0.5*((V(lam)/{k})*(V(lam)/{k}))^4)",
        "* phase-fired reactor; two thyristors, each a gate switch and a diode",
        f"Lctl c r {g(80.5 / W)} IC={g(ic['i_ctl_a'])}",
        "Rctl r m 4.6",
        "Sp m p gp 0 gate",
        "Dp p 0 block",
        "Dn 0 n block",
        "Sn n m gn 0 gate",
        ".model gate SW(VT=0.5 VH=0 RON=1m ROFF=1e8)",
        ".model block D(IS=1e-12 N=0.02)",
        f"Lout c o {g(230 / W)} IC={g(ic['i_o_a'])}",
    ]
    if n:
        kt = g(60 * np.sqrt(2) / W)
        lines += [
            f"Rload o f {g(p['load_ohm'])}",
            f"* {n:g} open fixtures in series",
            f"Rloss f 0 {g(150 * n)}",
            f"Bopen f 0 I=(V(lamt)/{kt})*(0.15+0.5*((V(lamt)/{kt})*(V(lamt)/{kt}))^4)",
            f"Bfluxt 0 lamt I=V(f)/{n:g}",
            f"Cfluxt lamt 0 1 IC={g(ic['open_flux_wb'])}",
        ]
    else:
        lines.append(f"Rload o 0 {g(p['load_ohm'])}")
    return lines


def deck(name, p):
    t = 1 / p["supply_hz"]
    fire, back = p["firing_s"]
    width = g(back - fire - 10e-9)
    out = [f"* {p['id']}: three periods from the periodic state, gates at known instants"]
    out += circuit(p, p["initial_state"])
    out += [
        "* each gate is held from its firing instant to the other's; the diode ends the conduction",
        f"Vgp gp 0 PULSE(0 1 {g(fire)} 10n 10n {width} {g(t)})",
        f"Vgn gn 0 PULSE(1 0 {g(fire)} 10n 10n {width} {g(t)})",
        ".options method=trap reltol=1e-6 abstol=1e-9 vntol=1e-6 chgtol=1e-14",
        ".control",
        "set wr_singlescale",
        "set wr_vecnames",
        "set numdgt=10",
        f"tran {g(t / GRID)} {g(PERIODS * t)} 0 2u uic",
        "linearize i(Lout) v(c) i(Lctl)",
        f"wrdata {name}.txt i(Lout) v(c) i(Lctl)",
        "quit",
        ".endc",
        ".end",
    ]
    (HERE / f"{name}.cir").write_text("\n".join(out) + "\n")


def load(name):
    return json.loads((HERE / "../shooting" / f"{name}.json").read_text())


def settings():
    """Every deck's name and point, with both firing instants of the period."""
    points = {p["id"]: p for p in load("operating_points")["points"]}
    for name, key in DECKS.items():
        p = points[key]
        fire = p["delay_rad"] / W
        yield name, {**p, "firing_s": (fire, fire + 0.5 / p["supply_hz"])}
    beside = {p["beside"]: p["asymmetric"] for p in load("coexisting")["points"]}
    for name, (key, k) in ASYMMETRIC.items():
        yield name, {**points[key], **beside[key][k], "id": f"beside {key}, without half-wave symmetry"}


def main():
    for name, p in settings():
        deck(name, p)


if __name__ == "__main__":
    main()
