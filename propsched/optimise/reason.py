"""What is said of a task that is not placed."""

from dataclasses import dataclass

EFFORT = {
    "area": 0,
    "work": 0,
    "waiting": 1,
    "link": 1,
    "mode": 1,
    "work day": 2,
    "away": 2,
    "availability": 3,
    "gate": 4,
    "pins": 5,
    "late": 6,
}
"""Order in which a grower can most easily give way; judgement."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """The limit that has to give least. Days are the problem's, none before today."""

    kind: str
    """One of

    * "area": more room in ``space``; "areas": in several at once, ``why`` names them
    * "size": the batch is larger than any space that would do for ``stage``
    * "work": more minutes; "work day": more days of work; "away": somebody there
    * "availability": its material at another time, ``side`` telling which
    * "late": only with a start before today
    * "mode": ``space`` run in another way, ``text``, at a cost of ``short``
    * "link": a start nearer to another sowing of its row
    * "waiting", "gate", "pins"
    * "tables": no start its crop allows
    * "worth": it would fit and be worth nothing
    * "search": it would fit: the plan can still be bettered.
    """
    text: str
    """A plain piece of a sentence without dates."""
    space: int | None = None
    """Of "size": the largest that would do."""
    stage: int | None = None
    first_day: int | None = None
    last_day: int | None = None
    """From where to where it lacks; else first and last day of the way that would
    be open; of "work day" and "away" the days that would have to be worked."""
    short: int = 0
    """Area [10 cm²], minutes, or days that are lacking; of "mode" its cost in worth."""
    gain: int = 0
    """Worth if the limit gave way."""
    why: tuple[str, ...] = ()
    """Of "tables": what stands against a start, most frequent first; of "areas": the
    spaces, and the days of work if they are too short as well."""
    side: str = ""
    """Of "availability": "begins late" or "ends early", by ``short`` days."""
    needed: int = 0
    """Of "size": area of the whole batch, and the most there ever is. [10 cm²]"""
    largest: int = 0
