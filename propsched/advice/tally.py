"""How many are left of a batch, as far as the daybook says."""

from dataclasses import dataclass, replace

from propsched.domain.batch import Event

BEGINS = frozenset({"sown", "struck", "divided", "started"})
GROWN = frozenset(
    {"emerged", "rooted", "established", "pricked-out", "potted-up", "potted-on"}
)
"""From here on plants are counted, no longer what was started."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """Seeds, cuttings or pieces; from the first sign of roots or leaves on, plants."""

    count: int | None = None
    """Left; None: not known."""
    most: int | None = None
    """No more than so many are left; None: not known."""
    plants: bool = False
    short: bool = False
    """Losses were counted since the last count of the whole."""
    out: int = 0
    """Planted out so far."""

    def after(self, event: Event, wanted: int | None) -> "Tally":
        """
        Once the event has happened.

        Parameters
        ----------
        wanted : int or None
            Plants wanted: of so many at most room is kept once they grow.
        """
        name, number = event.event, event.count
        if name == "lost":
            return self._less(number)
        if name == "planted-out":
            known = self.count if number is None else number
            return replace(self._less(number), out=self.out + (known or 0))
        grown = self
        if name in GROWN and not self.plants:
            grown = self._grown(wanted)
        if number is None:
            return grown
        return replace(grown, count=number, most=number, short=False)

    def _less(self, number: int | None) -> "Tally":
        """So many fewer, or none left; what is not known is counted from the most."""
        if number is None:
            return replace(self, count=0, most=0)
        left = self.most if self.count is None else self.count
        if left is None:
            return self
        left = max(0, left - number)
        return replace(self, count=left, most=left, short=True)

    def _grown(self, wanted: int | None) -> "Tally":
        """How many came up is not known; losses that were counted are not forgotten."""
        known = [n for n in (self.most, wanted) if n is not None]
        most = min(known, default=None)
        return replace(self, plants=True, most=most, count=most if self.short else None)


def begun(event: Event, sown: int | None) -> Tally:
    """Of a start; without a number as many as were to be started."""
    number = sown if event.count is None else event.count
    return Tally(count=number, most=number)
