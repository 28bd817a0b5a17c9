"""
How long the season of all spaces takes, and how exact one column is.

    python tests/benchmarks/simulate_season.py

Three sizes, hour by hour: ten spaces in 40 winters of 212 days (once before anything
else has run, then twice warm), 40 variants of them (make-up dates, heat on and off,
covers) in the same winters, and 14 variants in 25 winters of 420 days. Nothing is
compiled; the only one-off cost is a new process importing the model, timed as well.

Then one column under a daily wave of 10 K, whose solution is known (Carslaw & Jaeger
1959): the program's step of an hour, and ``scipy.integrate.solve_ivp`` on the same
layers, both against the analytic wave at three depths; and the time of a column's hour.
"""

import subprocess
import sys
import time
from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from builders import make_outlook, make_site, make_space
from scipy.integrate import solve_ivp

from propsched.domain.space import Heat, Space, Variant
from propsched.thermal.column import (
    STEP_S,
    Columns,
    Mesh,
    growing_layers,
    surface_flow,
)
from propsched.thermal.ground import damping_depth
from propsched.thermal.simulate import simulate

PROJECT = Path(__file__).resolve().parents[2]
HEAT = Heat(set_c=20, w_per_m2=100)
OFF = Heat(set_c=20, w_per_m2=100, when="never")
FIRST = date(2026, 11, 1)


def ten_spaces() -> list[Space]:
    rows = [
        {"id": "open"},
        {"id": "straw", "cover": "straw"},
        {"id": "fleece", "cover": "fleece"},
        {"id": "frame", "kind": "cold-frame"},
        {"id": "house", "kind": "glasshouse"},
        {"id": "tunnel", "kind": "polytunnel"},
        {"id": "sill", "kind": "windowsill"},
        {"id": "bench", "kind": "heated-bench", "inside": "house", "heat": HEAT},
        {"id": "propagator", "kind": "propagator", "inside": "house", "heat": HEAT},
        {"id": "bed", "kind": "hotbed", "make_up": date(2027, 2, 9)},
    ]
    return [make_space(**row) for row in rows]


def forty_variants() -> list[Variant]:
    """The ten as set, and thirty other states of them."""
    spaces = {s.id: s for s in ten_spaces()}
    out = [Variant(s) for s in spaces.values()]

    def add(name: str, base: str, **over: object) -> None:
        plain = {k: getattr(spaces[base], k) for k in Space.__dataclass_fields__}
        out.append(Variant(Space(**{**plain, **over}), name))

    for week in range(14):
        made = date(2027, 1, 15) + timedelta(days=7 * week)
        add(f"made {made}", "bed", make_up=made)
    for bench in ("bench", "propagator"):
        add("off", bench, heat=OFF)
        for start in (date(2027, 1, 1), date(2027, 2, 1), date(2027, 3, 1)):
            later = Heat(set_c=20, w_per_m2=100, start=start)
            add(f"from {start}", bench, heat=later)
    for cover in ("turf", "leaf-mould", "compost", "fleece", "mat"):
        add(cover, "open", cover=cover)
    add("mat", "frame", night_mat=True)
    add("mat", "house", night_mat=True)
    add("fleece", "tunnel", cover="fleece")
    return out


def timed(label: str, variants: Sequence[Variant], winters: int, days: int) -> float:
    outlook = make_outlook(first=FIRST, days=days, winters=winters, spread_k=3.0)
    work = np.ones(days, dtype=bool)
    begun = time.perf_counter()
    zone = simulate(make_site(), variants, outlook, work_day=work)
    took = time.perf_counter() - begun
    each = took / zone.root_c.size * 1e9
    print(f"{label:<64}{took:6.2f} s {each:7.0f} ns a column's hour")
    return each


def column() -> Mesh:
    return Mesh(
        dz_m=growing_layers(0.012, 2.0, 16),
        k_w_mk=np.ones(16),
        c_j_m3k=np.full(16, 2e6),
        water=np.zeros(16),
        base_w_m2k=0.0,
        side_w_m3k=np.zeros(16),
        probe_m=0.10,
        heater_m=0.10,
    )


DEPTHS_M = (0.05, 0.10, 0.20)
TURN = 2 * np.pi / 86_400


def wave(depth_m: np.ndarray | float, time_s: np.ndarray | float) -> np.ndarray:
    """10 K at the face, after Carslaw & Jaeger 1959."""
    z = np.asarray(depth_m) / damping_depth(1.0 / 2e6, 86_400)
    return 10 * np.exp(-z) * np.sin(TURN * np.asarray(time_s) - z)


def by_the_hour(mesh: Mesh, hours: int) -> np.ndarray:
    """The program's own step. (hours, layers)"""
    columns = Columns([mesh], 1)
    start = np.append(wave(mesh.middle_m, 0.0), [0.0, 0.0])
    columns.spread(start[None, :, None], np.zeros((1, 16, 1)), 1)
    g, none = np.full((1, 1), 1 / mesh.skin_m2k_w), np.zeros((1, 1))
    out = np.empty((hours, 16))
    for t in range(hours):
        y = columns.predict()
        face = np.full((1, 1), wave(0.0, STEP_S * (t + 0.5)))
        flow, _ = surface_flow(columns, y, g, face, none)
        columns.finish(flow, None, slice(0, 0))
        out[t] = columns.temp_c[0, :16, 0]
    return out


def by_scipy(mesh: Mesh, hours: int) -> np.ndarray:
    """The same layers in continuous time. (hours, layers)"""
    half = mesh.dz_m / (2 * mesh.k_w_mk)
    between, store = 1 / (half[:-1] + half[1:]), mesh.c_j_m3k * mesh.dz_m

    def change(t: float, temp: np.ndarray) -> np.ndarray:
        down = between * (temp[:-1] - temp[1:])
        into = np.append((wave(0.0, t) - temp[0]) / half[0], down)
        return (into - np.append(down, 0.0)) / store

    ends = STEP_S * np.arange(1, hours + 1)
    start = wave(mesh.middle_m, 0.0)
    solved = solve_ivp(
        change, (0, ends[-1]), start, method="LSODA", t_eval=ends, rtol=1e-6, atol=1e-6
    )
    return np.asarray(solved.y.T)


def exactness(each_ns: float) -> None:
    mesh, hours = column(), 24 * 30
    print("\nDaily wave of 10 K, greatest error of the last ten days [K]")
    rate = {}
    for name, solve in (("program, one hour", by_the_hour), ("solve_ivp", by_scipy)):
        begun = time.perf_counter()
        temp = solve(mesh, hours)
        took = time.perf_counter() - begun
        ends = STEP_S * np.arange(1, hours + 1)
        errors = [
            np.abs(temp @ mesh.share_at(z) - wave(z, ends))[-240:].max()
            for z in DEPTHS_M
        ]
        cells = "  ".join(
            f"{100 * z:.0f} cm {e:.3f}" for z, e in zip(DEPTHS_M, errors, strict=True)
        )
        rate[name] = took / hours * 1e9
        print(f"  {name:<20}{cells}   {rate[name] / 1000:8.1f} µs a column's hour")
    print(
        f"  solve_ivp takes {rate['solve_ivp'] / each_ns:,.0f} times as long as the "
        f"season's mean of {each_ns:.0f} ns (all spaces and winters together)"
    )


def main() -> None:
    begun = time.perf_counter()
    code = "import propsched.thermal.simulate"
    subprocess.run([sys.executable, "-c", code], check=True, cwd=PROJECT)
    print(f"{'a new process that imports the model':<64}", end="")
    print(f"{time.perf_counter() - begun:6.2f} s")
    ten = [Variant(s) for s in ten_spaces()]
    timed("10 spaces, 40 winters, 212 days, first run of all", ten, 40, 212)
    for _ in range(2):
        each = timed("10 spaces, 40 winters, 212 days", ten, 40, 212)
    forty = forty_variants()
    timed(f"{len(forty)} variants, 40 winters, 212 days", forty, 40, 212)
    timed("14 variants, 25 winters, 420 days", forty[:14], 25, 420)
    exactness(each)


if __name__ == "__main__":
    main()
