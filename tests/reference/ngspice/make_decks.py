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
# From a periodic state of ours, in the file of that name beside the deck.
FIELDS = ("field_two_groups",)
W = 2 * np.pi * 60
GRID, PERIODS = 720, 3


def g(v):
    return f"{v:.15g}"


def source(p, ic):
    """The source without gates and load. `ic` maps a state's name to its initial value."""
    k = g(2300 * np.sqrt(2) / W)
    return [
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


def circuit(p, ic):
    """Everything but the gate."""
    n = p["open_fixtures"]
    lines = source(p, ic)
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


def core(name, start, end, c, flux_wb):
    """A magnetising branch and its loss; the flux is the voltage of a capacitor."""
    u = f"(V(lam{name})/{g(c['knee_wb'])})"
    return [
        f"Rloss{name} {start} {end} {g(c['loss_ohm'])}",
        f"B{name} {start} {end} I={u}*({g(c['a'])}+{g(c['b'])}*({u}*{u})^4)",
        f"Bflux{name} 0 lam{name} I=V({start},{end})",
        f"Cflux{name} lam{name} 0 1 IC={g(flux_wb)}",
    ]


def field(p, ic):
    """Source and a field of one lit and one open group; the leakage's current is the reactor's."""
    return source(p, ic) + [
        f"Lleak o f1 {g(p['leakage_h'])} IC={g(ic['i_leakage_a'])}",
        "* one element for all lit fixtures: lamps beside their cores",
        f"Rlamps f1 f2 {g(p['lamps_ohm'])}",
        *core("lit", "f1", "f2", p["lit_core"], ic["lit_flux_wb"]),
        "* and one for all open ones",
        *core("open", "f2", "f3", p["open_core"], ic["open_flux_wb"]),
        f"Rwire f3 0 {g(p['wire_ohm'])}",
    ]


def deck(name, p):
    fields = name in FIELDS
    lines = (field if fields else circuit)(p, p["initial_state"])
    vectors = "i(Lout) v(c) i(Lctl)" + (" v(o)" if fields else "")
    t = 1 / p["supply_hz"]
    fire, back = p["firing_s"]
    width = g(back - fire - 10e-9)
    out = [f"* {p['id']}: three periods from the periodic state, gates at known instants"]
    out += lines
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
        f"linearize {vectors}",
        f"wrdata {name}.txt {vectors}",
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


def fields():
    """The decks of fields with their states, and both firing instants of the period."""
    for name in FIELDS:
        p = json.loads((HERE / f"{name}.json").read_text())
        yield name, {**p, "firing_s": (p["firing_in_s"], p["firing_in_s"] + 0.5 / p["supply_hz"])}


def main():
    for name, p in (*settings(), *fields()):
        deck(name, p)


if __name__ == "__main__":
    main()
