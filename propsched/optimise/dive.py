"""
Whole plans out of the linear programme: fix the surest routes, solve again.

After each step routes that no longer fit are barred and new ones are priced in the
room that is left, so that the programme speaks of what can still be had.
"""

from collections.abc import Callable

import numpy as np

from propsched.optimise.grid import no_prices
from propsched.optimise.master import Master, Shares
from propsched.optimise.network import Network
from propsched.optimise.routes import price, trace
from propsched.optimise.search import Plan, Search
from propsched.optimise.stays import Pool, fits

SURE = 0.95
"""Share from which a route is fixed without asking; else the largest alone."""


def dive(
    search: Search,
    network: Network,
    pool: Pool,
    master: Master,
    shares: Shares,
    stop: Callable[[], bool],
) -> Plan:
    """
    A plan that follows the shares of routes.

    ``master`` is left as it was, but for new routes; those are in ``pool``.
    """
    plan = search.empty()
    while not stop():
        fixed = _fix(plan, pool, shares)
        if not fixed:
            break
        master.fix(fixed)
        master.bar(
            [
                i
                for i, route in enumerate(pool.routes)
                if route.task not in plan.routes and not fits(plan.room, pool.uses[i])
            ]
        )
        _find(search, network, pool, shares, plan)
        shares = master.solve()
    master.release()
    search.fill(plan, no_prices(search.grid))
    return plan


def _fix(plan: Plan, pool: Pool, shares: Shares) -> list[int]:
    """Put the surest routes into the plan; their places in the pool."""
    order = np.argsort(-shares.share, kind="stable")
    fixed: list[int] = []
    for i in order:
        share = shares.share[i]
        if share < 1e-6 or (share < SURE and fixed):
            break
        route, use = pool.routes[i], pool.uses[i]
        if route.task not in plan.routes and fits(plan.room, use):
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
