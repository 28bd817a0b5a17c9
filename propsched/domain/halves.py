"""A batch raised in two halves, each with its own name, numbers and daybook rows."""

from collections.abc import Iterable
from dataclasses import replace

from propsched.domain.batch import Batch, Event, Pin, part_name


def half_names(batch: Batch) -> tuple[str, ...]:
    """Names of its halves; none of a batch that stays together."""
    if not batch.split or batch.repeat is not None or batch.wanted < 2:
        return ()
    return part_name(batch.id, 1), part_name(batch.id, 2)


def half_of(number: int, part: int) -> int:
    """The first half has the odd one; never none."""
    return max(1, (number + 2 - part) // 2)


def halves_of(batch: Batch) -> tuple[Batch, ...]:
    """Its halves as batches of their own; none of a batch that stays together."""
    return tuple(
        replace(
            batch,
            id=name,
            wanted=half_of(batch.wanted, part),
            sown=None if batch.sown is None else half_of(batch.sown, part),
            portion=half_of(batch.wanted, part) / batch.wanted,
            split=False,
        )
        for part, name in enumerate(half_names(batch), 1)
    )


def noted_in_halves(
    batches: Iterable[Batch], daybook: Iterable[Event], pins: Iterable[Pin]
) -> tuple[tuple[Batch, ...], tuple[Event, ...], tuple[Pin, ...]]:
    """
    Everything with halves of their own for batches of which the daybook names a half.

    What was noted of the whole before holds for both, with half of what was counted.
    """
    batches, daybook, pins = tuple(batches), tuple(daybook), tuple(pins)
    named = {event.batch for event in daybook}
    apart = {
        batch.id: halves_of(batch)
        for batch in batches
        if not named.isdisjoint(half_names(batch))
    }
    if not apart:
        return batches, daybook, pins
    return (
        tuple(one for batch in batches for one in apart.get(batch.id, (batch,))),
        tuple(
            one
            for event in daybook
            for one in (_events(event) if event.batch in apart else (event,))
        ),
        tuple(
            replace(pin, batch=half.id) if half else pin
            for pin in pins
            for half in apart.get(pin.batch, (None,))
        ),
    )


def _events(event: Event) -> Iterable[Event]:
    for part in (1, 2):
        count = event.count
        if count is not None:
            count = (count + 2 - part) // 2
        yield replace(event, batch=part_name(event.batch, part), count=count)
