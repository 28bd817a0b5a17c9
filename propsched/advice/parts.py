"""Halves of a batch that a plan splits, told apart by name."""

from dataclasses import replace

from propsched.domain.batch import part_name
from propsched.domain.plan import Placement, Plan, ways


def told_apart(plan: Plan) -> tuple[Plan, dict[str, tuple[str, int]]]:
    """
    The plan with each half of a split batch under a name of its own.

    Returns
    -------
    plan, and by each such name the batch and which half it is.
    """
    names: dict[str, tuple[str, int]] = {}
    placements: list[Placement] = []
    for batch, own in ways(plan.placements).items():
        for part, way in enumerate(own, 1):
            name = batch
            if len(own) > 1:
                name = part_name(batch, part)
                names[name] = (batch, part)
            placements += [replace(one, batch=name) for one in way]
    if not names:
        return plan, names
    placements.sort(key=lambda p: (p.start, p.batch, p.end))
    return replace(plan, placements=tuple(placements)), names
