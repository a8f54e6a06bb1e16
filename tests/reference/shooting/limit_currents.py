"""Prints, for full load at a supply 10 % low, the output RMS at delays near the end of the range (no control)."""

import numpy as np

from operating_points import digits, follow, rms_of, start
from resonant_source import BASE_OHM, Model

m = Model(load_ohm=BASE_OHM, supply_v_rms=0.9 * 1748)
p = start(m)
for delay_deg, parts in ((176.0, 30), (179.0, 10), (179.9, 30)):
    p = follow(p, m, "delay", np.radians(delay_deg), parts)
    print(f"{delay_deg:g} deg: {digits(rms_of(p)):.12g} A, residual {p.residual:.0e}")
