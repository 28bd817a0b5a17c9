"""How long a season takes: 14 variants, 25 winters, 420 days, hour by hour."""

import sys
import time
from datetime import date
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from builders import make_outlook, make_site, make_space

from propsched.domain.space import Heat, Space, Variant
from propsched.thermal.simulate import simulate

DAYS = 420


def spaces() -> list[Space]:
    heat = Heat(set_c=20, w_per_m2=100)
    rows = [
        {"id": "open"},
        {"id": "turf", "cover": "turf"},
        {"id": "straw", "cover": "straw"},
        {"id": "fleece", "cover": "fleece"},
        {"id": "frame", "kind": "cold-frame"},
        {"id": "matted", "kind": "cold-frame", "night_mat": True},
        {"id": "house", "kind": "glasshouse"},
        {"id": "tunnel", "kind": "polytunnel"},
        {"id": "sill", "kind": "windowsill"},
        {"id": "bench", "kind": "heated-bench", "inside": "house", "heat": heat},
        {"id": "propagator", "kind": "propagator", "inside": "house", "heat": heat},
        {"id": "early", "kind": "hotbed", "make_up": date(2027, 2, 9)},
        {"id": "late", "kind": "hotbed", "make_up": date(2027, 3, 1)},
        {"id": "shed", "kind": "store"},
    ]
    return [make_space(**row) for row in rows]


def main() -> None:
    outlook = make_outlook(days=DAYS, winters=25, spread_k=3.0)
    variants = [Variant(s) for s in spaces()]
    for _ in range(3):
        begun = time.perf_counter()
        zone = simulate(
            make_site(), variants, outlook, work_day=np.ones(DAYS, dtype=bool)
        )
        steps = zone.root_c.size
        took = time.perf_counter() - begun
        print(f"{steps / 1e6:.1f} million column hours in {took:.2f} s")


if __name__ == "__main__":
    main()
