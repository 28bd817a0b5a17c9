"""
Whole plans out of the linear programme: fix the surest routes, solve again.

After each step routes that no longer fit are barred and new ones are priced in the
room that is left, so that the programme speaks of what can still be had.
"""

from collections.abc import Callable

import numpy as np

from propsched.optimise.levels import Floats
from propsched.optimise.master import Master, Shares
from propsched.optimise.network import Network
from propsched.optimise.partial import Plan
from propsched.optimise.prices import no_prices
from propsched.optimise.problem import Route
from propsched.optimise.routes import price, trace
from propsched.optimise.search import Search
from propsched.optimise.stays import Pool

SURE = 0.95
"""Share from which a route is fixed without asking; else the largest alone."""


def dive(
    search: Search,
    network: Network,
    pool: Pool,
    master: Master,
    shares: Shares | None,
    stop: Callable[[], bool],
    keep: tuple[Route, ...] = (),
    *,
    shake: bool = False,
) -> Plan:
    """
    A plan that follows the shares of routes.

    ``master`` is left as it was, but for new routes; those are in ``pool``.

    Parameters
    ----------
    shares : Shares, optional
        To begin with; without them, and without ``keep``, the optimum over the pool.
    keep : tuple of Route
        Routes that fit together and stay; the others are found anew.
    shake : bool
        Shake the shares a little, so that it is not the same each time.
    """
    plan = search.empty()
    fixed = []
    for route in keep:
        i = pool.place(route)
        plan.put(route, pool.uses[i])
        fixed.append(i)
    if not fixed and shares is None:
        shares = master.solve()
    while not stop():
        if shares is not None:
            rng = search.rng if shake else None
            settled = settle(plan, shares.mode, rng)
            fixed = [] if settled else _fix(plan, pool, shares, rng)
            if not (fixed or settled):
                break
        master.fix(fixed)
        master.fix_modes([int(m) for m in plan.room.chosen if m >= 0])
        master.bar(
            [
                i
                for i, route in enumerate(pool.routes)
                if route.task not in plan.routes and not plan.fits(route, pool.uses[i])
            ]
        )
        if shares is not None:
            _find(search, network, pool, shares, plan)
        shares = master.solve(tighten=False)
    master.release()
    plan.room.undecide()
    search.fill(plan, no_prices(search.problem, search.grid))
    return plan


def settle(plan: Plan, share: Floats, rng: np.random.Generator | None) -> bool:
    """
    Decide how spaces are run, the surest modes first; whether there was any left.

    How spaces are run decides what fits, so it comes before any route.

    Parameters
    ----------
    share : array
        Of each mode. (M,)
    rng : Generator, optional
        Shakes the shares.
    """
    room = plan.room
    modes = room.modes
    left = room.chosen[modes.period] < 0 if modes.period.size else np.zeros(0, bool)
    if not left.any():
        return False
    sure = share.copy()
    if rng is not None:
        sure *= rng.uniform(1.0, 1.5, sure.size)
    sure[~left] = -1.0
    order = np.argsort(-sure, kind="stable")
    done = 0
    for m in order:
        if sure[m] < 0.0 or (done and sure[m] < SURE):
            break
        if room.open()[m] and room.chosen[modes.period[m]] < 0:
            room.decide(int(m))
            done += 1
    return done > 0


def _fix(
    plan: Plan, pool: Pool, shares: Shares, rng: np.random.Generator | None
) -> list[int]:
    """Put the surest routes into the plan; their places in the pool."""
    sure = shares.share
    if rng is not None:
        shaken = np.minimum(SURE - 1e-3, sure * rng.uniform(1.0, 1.5, sure.size))
        sure = np.where(sure < SURE, shaken, sure)
    order = np.argsort(-sure, kind="stable")
    fixed: list[int] = []
    for i in order:
        share = sure[i]
        if share < 1e-6 or (share < SURE and fixed):
            break
        route, use = pool.routes[i], pool.uses[i]
        if plan.fits(route, use):
            plan.put(route, use)
            fixed.append(int(i))
    return fixed


def _find(
    search: Search, network: Network, pool: Pool, shares: Shares, plan: Plan
) -> None:
    """New routes for the tasks still open, in the room left, at the prices."""
    priced = price(network, shares.prices, plan.room)
    for chain in np.flatnonzero(np.isfinite(priced.best)):
        if int(network.task_of[chain]) in plan.routes:
            continue
        route = trace(network, search.grid, priced, int(chain))
        if route is not None:
            pool.add(route)
