"""Pins and daybook rows that cannot all be met, in words."""

from datetime import date, timedelta

import numpy as np

from propsched.errors import PinsImpossibleError
from propsched.optimise.must import MustConflictError
from propsched.optimise.problem import AREA_SCALE, NEVER, WHY, Problem
from propsched.service.reasons import spoken


def pins_told(
    error: MustConflictError, problem: Problem, first: date
) -> PinsImpossibleError:
    """
    The same trouble in dates: what is pinned or under way and cannot all be met.

    Parameters
    ----------
    first : date
        First day of the season.
    """
    clash = error.clash
    names = ", ".join(f'"{problem.tasks[b].name}"' for b in clash.tasks)
    if clash.first_day is None or clash.last_day is None:
        faults = [_fault(problem, b, first) for b in clash.tasks]
        told = "; ".join(dict.fromkeys(fault for fault in faults if fault))
        if told:
            return PinsImpossibleError(f"{names}: {told} – look at its pins")
        return PinsImpossibleError(
            f"{names}: pinned or under way, and no way through its stages from there "
            "even with every space to itself – look at its pins and daybook rows"
        )
    days = (
        f"from {spoken(first + timedelta(clash.first_day))} "
        f"to {spoken(first + timedelta(clash.last_day))}"
    )
    if clash.space is None:
        lack = f"{clash.short} minutes of work are lacking {days}"
    else:
        lack = (
            f"{problem.space_names[clash.space]} is short of "
            f"{clash.short / AREA_SCALE:.2f} m² {days}"
        )
    all_of = "all " if len(clash.tasks) > 1 else ""
    found = f"cannot {all_of}be met"
    if not clash.proven:
        found = f"could not {all_of}be met in the time"
    return PinsImpossibleError(f"{names}: what is pinned or under way {found}: {lack}")


def _fault(problem: Problem, b: int, first: date) -> str:
    """What stands against the pins of a batch, each by itself or all together."""
    task = problem.tasks[b]
    if task.under_way or not task.pins:
        return ""
    told = []
    for pin in sorted(task.pins, key=lambda pin: pin.stage):
        table = problem.stages(task)[pin.stage]
        rows = list(pin.variants or range(len(problem.space_of)))
        days = slice(pin.start, None if pin.start is None else pin.start + 1)
        starts = (table.length[rows] < NEVER) | (table.over_success[rows] >= 0)
        spaces = dict.fromkeys(problem.space_names[problem.space_of[v]] for v in rows)
        where = f" in {next(iter(spaces))}" if len(spaces) == 1 else ""
        on = "" if pin.start is None else f" on {spoken(first + timedelta(pin.start))}"
        pinned = f"{table.name}{where}{on}"
        if not starts[:, days].any():
            why = table.why[rows][:, days]
            bits = [int((why >> bit & 1).sum()) for bit in range(len(WHY))]
            cause = WHY[int(np.argmax(bits))] if any(bits) else "not through in time"
            return f"pinned to {pinned}: {cause}"
        told.append(pinned)
    return (
        f"pinned to {', '.join(told)}: the rest of its stages does not fit round that, "
        "even with every space to itself"
    )
