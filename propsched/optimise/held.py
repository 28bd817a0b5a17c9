"""A problem with its spaces run in given modes, which leaves only the routes open."""

from dataclasses import replace

from propsched.optimise.problem import Mode, Period, Problem


def run_as(problem: Problem, modes: tuple[int, ...]) -> Problem:
    """The problem with its spaces run in given modes, which are paid already."""
    return replace(
        problem,
        periods=tuple(
            _only(period, period.modes[mode])
            for period, mode in zip(problem.periods, modes, strict=True)
        ),
        manure=None,
    )


def _only(period: Period, mode: Mode) -> Period:
    return replace(period, modes=(Mode(name=mode.name, variants=mode.variants),))
