"""What the methods came to, as lines of a table."""

from benchmarks.trial import Trial

from propsched.optimise.problem import WORTH_SCALE

NEAR = 0.01
"""A plan counts as good once it is this near the planner's own final bound."""


def print_head() -> None:
    print(
        f"  {'method':14}{'worth':>10}{'its bound':>11}{'own gap':>9}{'best gap':>9}"
        f"{'first s':>9}{'1 % s':>8}{'s':>8}{'placed':>8}{'MiB':>7}  checked"
    )


def print_trials(name: str, trials: list[Trial]) -> None:
    """One line a method; the first is the planner's."""
    bounds = [trial.bound for trial in trials if trial.bound is not None]
    for trial in trials:
        first = trial.trace[0][0] if trial.trace else None
        near = _near(trials[0], trial)
        print(
            f"  {trial.method:14}{_worth(trial.worth):>10}{_worth(trial.bound):>11}"
            f"{_gap(trial.worth, trial.bound):>9}"
            f"{_gap(trial.worth, min(bounds, default=None)):>9}"
            f"{_seconds(first):>9}{_seconds(near):>8}{trial.seconds:>8.1f}"
            f"{trial.placed or '–':>8}{trial.peak_mib:>7.0f}  {_checked(trial)}",
            flush=True,
        )


def print_beside(trials: list[Trial]) -> None:
    """The time to a good plan, and what rivals have by then."""
    ours, *rivals = trials
    bounds = [trial.bound for trial in trials if trial.bound is not None]
    if ours.bound is None or not bounds:
        return
    mine = _near(ours, ours)
    if mine is None:
        print("  the planner is within 1 % of its bound at no time")
        return
    times = [(near, r) for r in rivals if (near := _near(ours, r)) is not None]
    if times:
        near, best = min(times, key=lambda one: one[0])
        said = (
            f"{near / max(mine, 1e-3):.1f} times as long: {best.method}, {near:.1f} s"
        )
    else:
        least = max(rival.limit_s for rival in rivals)
        said = f"more than {least / max(mine, 1e-3):.0f} times as long: none reached it"
    print(f"  to within 1 % of the planner's bound: {mine:.2f} s; best rival {said}")
    then = [
        f"{rival.method} {_gap(rival.worth_at(mine), min(bounds))}" for rival in rivals
    ]
    print(f"  gaps of rivals after the same {mine:.2f} s: " + ", ".join(then))


def _near(ours: Trial, trial: Trial) -> float | None:
    if ours.bound is None:
        return None
    return trial.reached(ours.bound - NEAR * abs(ours.bound))


def _worth(worth: float | None) -> str:
    return "–" if worth is None else f"{worth / WORTH_SCALE:.3f}"


def _gap(worth: float | None, bound: float | None) -> str:
    if worth is None or bound is None:
        return "–"
    return f"{100 * (bound - worth) / max(WORTH_SCALE, abs(bound)):.2f} %"


def _seconds(seconds: float | None) -> str:
    return "–" if seconds is None else f"{seconds:.2f}"


def _checked(trial: Trial) -> str:
    if trial.faults:
        said = f"FAULTS: {'; '.join(trial.faults[:3])}"
    elif trial.checked:
        said = "yes"
    else:
        said = "no plan" if trial.worth is None else "plan lost"
    return f"{said}; {trial.note}" if trial.note else said
