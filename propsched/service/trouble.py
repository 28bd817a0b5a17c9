"""What the grower should look at: batches in trouble, heat on nothing, late beds."""

import numpy as np
from numpy.typing import NDArray

from propsched.advice.by_itself import SAID, to_note
from propsched.biology.bolting import cold_days
from propsched.domain.crop import UNSTARTED
from propsched.optimise.problem import NEVER
from propsched.optimise.solution import Solution
from propsched.service.chosen import NOT_THERE, kwh_by_day
from propsched.service.prepare import Prepared
from propsched.service.reasons import spoken

MANY_COLD_DAYS = 10
"""From about so many on a crop that minds may run to seed (common practice)."""
MOST_NAMED = 6
"""Batches named in one sentence."""
SMALL_COST = 1.0
"""Idle heat below this is not worth a word, in units of the currency."""


def warnings(
    ready: Prepared,
    solution: Solution,
    used: NDArray[np.int64],
    states: NDArray[np.int64],
) -> tuple[str, ...]:
    """
    One sentence for each thing to look at.

    Parameters
    ----------
    used : array of shape (S, D)
        Standing area in use. [10 cm²]
    states : array of shape (S, D)
        Variant each space is in, ``NOT_THERE`` where it is in none.
    """
    return (
        *ready.overfull,
        *_stuck(ready, solution),
        *_bolting(ready, solution),
        *_nowhere(ready),
        *_not_noted(ready),
        *_late_beds(ready),
        *_left_cold(ready, states),
        *_idle_heat(ready, used, states),
        *_early_wanted(ready),
    )


def _stuck(ready: Prepared, solution: Solution) -> list[str]:
    """Under way, and not coming through where they stand."""
    found = []
    for route in solution.routes:
        task = ready.problem.tasks[route.task]
        last = route.stops[-1]
        table = ready.problem.stages(task)[last.stage]
        at = (last.variant, last.start)
        if not (task.pins and route.over):
            continue
        if table.over_success[at] == 0 and table.length[at] == NEVER:
            space = ready.ground.zone.variants[last.variant].space.id
            found.append(
                f"{task.name} finds no way on from where it stands ({space}): move it, "
                "or note it as planted out or lost"
            )
    return found


def _bolting(ready: Prepared, solution: Solution) -> list[str]:
    """Crops that run to seed after cold, and how much of it is to be expected."""
    climate, offset, found = ready.ground.climate, ready.ground.offset, []
    for route in solution.routes:
        crop, name = ready.raised[route.task].crop, ready.raised[route.task].batch.id
        if crop.bolts_below_c is None or climate is None:
            continue
        stays = [
            (stop.variant, offset + stop.start, offset + stop.end)
            for stop in route.stops
            if crop.stages[stop.stage].stage not in UNSTARTED | {"seedling"}
        ]
        days = cold_days(climate, stays, crop.bolts_below_c)
        if days >= MANY_COLD_DAYS:
            found.append(
                f"{name} will have stood about {days} days under "
                f"{crop.bolts_below_c:g} °C after pricking out and may bolt"
            )
    return found


def _nowhere(ready: Prepared) -> list[str]:
    return [
        f"the daybook does not say where {name} stands: it is planned as if it could "
        "still go anywhere – note where it is"
        for name, state in ready.states.items()
        if state.standing and not state.space
    ]


def _not_noted(ready: Prepared) -> list[str]:
    """Starts that count as over by the calendar."""
    if not ready.counted:
        return []
    told = ", ".join(
        f"{one.batch} ({SAID[one.event]} by {spoken(one.since)}, {one.space})"
        for one in ready.counted[:MOST_NAMED]
    )
    more = len(ready.counted) - MOST_NAMED
    told += f" and {more} more, which the jobs list" if more > 0 else ""
    one = ready.counted[0]
    return [
        f"due where they stand, and counted as so though not noted: {told} – look, and "
        f"note it, as in {to_note(one.batch, one.event, one.since)}, or what is lost"
    ]


def _late_beds(ready: Prepared) -> list[str]:
    """Beds that should be made up by now, of which the daybook knows nothing."""
    made = {e.space for e in ready.loaded.files.daybook if e.event == "bed-made-up"}
    return [
        f"{space.id} counts as made up on {spoken(space.make_up)}, as season.toml has "
        "it – note bed-made-up when it is done, or change make_up"
        for space in ready.loaded.season.spaces
        if space.kind == "hotbed"
        and space.make_up is not None
        and space.make_up <= ready.loaded.today
        and space.id not in made
    ]


def _left_cold(ready: Prepared, states: NDArray[np.int64]) -> list[str]:
    """Beds the plan might have made up and does not."""
    found = []
    for s, space in enumerate(ready.loaded.season.spaces):
        if not space.make_up_open or not (
            states[s, -1] == NOT_THERE or _over(ready, s)
        ):
            continue
        why = (
            "what it would warm is not worth its room elsewhere, or there is no manure"
        )
        if _over(ready, s):
            why = (
                "the days to make it up are over – give later ones, or note bed-made-up"
            )
        found.append(f"{space.id} is not made up: {why}")
    return found


def _over(ready: Prepared, s: int) -> bool:
    """Whether none of a bed's days is left."""
    return all(period.space != s for period in ready.problem.periods)


def _idle_heat(
    ready: Prepared, used: NDArray[np.int64], states: NDArray[np.int64]
) -> list[str]:
    """Heat from today on in spaces in which nothing stands."""
    season, today = ready.loaded.season, ready.ground.today_day
    cost, found = kwh_by_day(ready.ground, states) * season.heat.price_per_kwh, []
    for s, space in enumerate(season.spaces):
        idle = (used[s] == 0) & (cost[s] > 0)
        idle[:today] = False
        spent = float(cost[s][idle].sum())
        if spent >= SMALL_COST and space.area_m2 > 0:
            told = (
                f"{space.id} is heated for {int(idle.sum())} days with nothing "
                f"on it, {season.heat.currency}{spent:.2f}: turn it off on those days"
            )
            if space.heat is not None and not space.by_week:
                told += ', or leave it to the plan with when = "by-week" in its heat'
            found.append(told)
    return found


def _early_wanted(ready: Prepared) -> list[str]:
    """Wanted before nights are safe: they are for somewhere under cover."""
    horizon, early = ready.ground.season.horizon, []
    for one in ready.raised:
        if one.part:
            continue
        wanted, gate = one.batch.wanted_by, ready.gates[one.batch.id]
        if wanted is None or gate <= horizon.day(wanted):
            continue
        safe = "after the season"
        if gate < ready.ground.days:
            safe = f"from {spoken(horizon.date(gate))}"
        early.append(f"{one.batch.id} by {spoken(wanted)} (safe {safe})")
    if not early:
        return []
    return [
        "wanted before nights are safe outdoors nine years in ten, so keep under cover "
        f"till then: {', '.join(early)}"
    ]
