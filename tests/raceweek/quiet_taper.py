"""Usual weeks and a quiet taper behind them, which no rule of panic catches."""

from __future__ import annotations

from build import leg

# 50 min a day, 75 min every seventh day, and one hard session of 15 to 20 min a week.
USUAL = [
    leg(k, hours=1.25 if k % 7 == 0 else 50 / 60, hard_min=(15 + k % 6) if k % 7 == 3 else 0)
    for k in range(-56, -10)
]
# A quiet taper: half the time, a short hard session, an opener.
QUIET = [leg(k, hours=0.4, hard_min={-5: 9, -1: 2}.get(k, 0)) for k in range(-10, 0)]
