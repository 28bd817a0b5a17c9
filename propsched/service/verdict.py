"""Two spaces compared, in one plain sentence."""

from collections.abc import Sequence

from propsched.service.comparison import CompareRow
from propsched.service.pairs import Pairs, When
from propsched.thermal.compare import LEAST_DAYS, Interval, Slope

FEW = 30
"""Below so many independent days the interval itself is rough (Zwiers & von Storch)."""
TELLING_K = 0.1
"""A difference smaller than a probe shows is not told."""
_PLURAL: dict[When | None, str] = {
    None: "days", "morning": "mornings", "afternoon": "afternoons", "night": "nights",
}  # fmt: skip


def verdict(
    first: str,
    second: str,
    whole: CompareRow,
    by_time: Sequence[CompareRow],
    wanted_k: float,
    more: int | None,
) -> str:
    """
    What the readings say, or that they do not say it yet.

    Parameters
    ----------
    first, second : str
        Names as people are to read them.
    whole : CompareRow
    by_time : sequence of CompareRow
    wanted_k : float
        Half width at which the mean is known well enough. [K]
    more : int or None
        Days still wanted for that.
    """
    interval = whole.interval
    if interval is None:
        missing = LEAST_DAYS - whole.days
        if not whole.pairs:
            return (
                f"not enough readings yet: {first} and {second} were never read "
                "within 90 minutes of one another"
            )
        return (
            f"not enough readings yet: both were read on {_days(whole.days)}, "
            f"at least {_days(missing)} more are needed"
        )
    wait = _wait(more, wanted_k)
    if not interval.tells:
        if interval.half > wanted_k:
            return f"not enough readings yet: {wait}"
        return (
            f"no difference to be seen: {first} less {second} is "
            f"{_between(interval)}" + _turns(interval, whole, by_time)
        )
    warm = "warmer" if interval.mean > 0 else "colder"
    low, high = sorted((abs(interval.low), abs(interval.high)))
    said = (
        f"{first} is {warm} than {second} by {abs(interval.mean):.1f} °C, "
        f"between {low:.1f} and {high:.1f}"
    )
    said += _turns(interval, whole, by_time)
    return said + (f"; {wait}" if interval.half > wanted_k else "")


def _days(number: int) -> str:
    return f"{number} day" if number == 1 else f"{number} days"


def _between(interval: Interval) -> str:
    return f"between {interval.low:+.1f} and {interval.high:+.1f} °C"


def _wait(more: int | None, wanted_k: float) -> str:
    if more is None:
        return "days like these would not tell it this season"
    days = "day" if more == 1 else "days"
    return f"about {more} more {days} like these would tell it to ±{wanted_k:.1f} °C"


def _turns(interval: Interval, whole: CompareRow, by_time: Sequence[CompareRow]) -> str:
    """Where the difference has the other sign: in weather, or at a time of day."""
    several = len(by_time) > 1
    rows = [*(by_time if several else ()), whole]
    sign = 1.0 if interval.mean > 0 else -1.0
    found = []
    for row in rows:
        name = _PLURAL[row.when if several else _only(by_time)]
        other = row.interval
        opposed = other is not None and other.tells and other.mean * sign < 0
        if several and row.when is not None and opposed and other is not None:
            found.append(f"{_word(other.mean)} in the {name}")
            continue
        clause = _with_weather(row.slope, sign, name)
        if clause and not (row.when is None and found):
            found.append(clause)
    return "; " + ", ".join(found) if found else ""


def _only(by_time: Sequence[CompareRow]) -> When | None:
    return by_time[0].when if len(by_time) == 1 else None


def _word(difference_k: float) -> str:
    return "warmer" if difference_k > 0 else "colder"


def _with_weather(slope: Slope | None, sign: float, name: str) -> str:
    if slope is None or not slope.tells:
        return ""
    for at, what, by in (
        (slope.at_mild, "mild", "above"),
        (slope.at_cold, "cold", "below"),
    ):
        if at * sign < -TELLING_K:
            return f"{_word(at)} on {what} {name} ({by} {slope.zero_c:.0f} °C)"
    return ""


def remarks(
    first: str,
    second: str,
    pairs: Pairs,
    whole: CompareRow,
    by_time: Sequence[CompareRow],
) -> tuple[str, ...]:
    """What the reader must know about the readings to trust the verdict."""
    if not whole.pairs:
        return ()
    said = []
    if pairs.one_probe:
        said.append("Each pair was read with one probe: its offset cancels.")
    else:
        said.append(
            "Different probes: the interval holds "
            f"{pairs.systematic_sd_k:.1f} °C of doubt about their offsets."
        )
    a, b = pairs.depths_cm
    if abs(a - b) >= 1:
        said.append(
            f"{first} was read at {a:g} cm, {second} at {b:g} cm: part of the "
            "difference is that of depth."
        )
    only = _only(by_time)
    if only is not None:
        said.append(f"All readings are from {_PLURAL[only]}: other times may differ.")
    if whole.interval is not None and whole.interval.n_eff < FEW:
        said.append(
            f"{whole.days} days that resemble their neighbours say as much as "
            f"{whole.interval.n_eff:.0f} independent ones; with fewer than {FEW} of "
            "those the interval itself is rough."
        )
    return tuple(said)
