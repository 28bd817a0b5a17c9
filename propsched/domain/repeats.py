"""Sowings one after another: one row of the batch list, several batches."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta

from propsched.domain.batch import Batch


def expanded_ids(batch: Batch) -> tuple[str, ...]:
    """Return the ids a row stands for: its own, or ``lettuce-1``, ``lettuce-2`` …"""
    if batch.repeat is None:
        return (batch.id,)
    return tuple(f"{batch.id}-{i + 1}" for i in range(batch.repeat.times))


def expand(batches: Iterable[Batch]) -> tuple[Batch, ...]:
    """Return the batches with every repeat written out, its dates moved along."""
    return tuple(single for batch in batches for single in _singles(batch))


def _singles(batch: Batch) -> Iterable[Batch]:
    if batch.repeat is None:
        yield batch
        return
    every = timedelta(days=batch.repeat.every_days)
    for i, name in enumerate(expanded_ids(batch)):
        later = every * i
        wanted_from = _moved(batch.wanted_from, later)
        if wanted_from is None and batch.wanted_by is not None and i > 0:
            # each is for after the one before, not for the same day
            wanted_from = batch.wanted_by + later - every
        yield replace(
            batch,
            id=name,
            repeat=None,
            available_from=_moved(batch.available_from, later),
            available_to=_moved(batch.available_to, later),
            wanted_from=wanted_from,
            wanted_by=_moved(batch.wanted_by, later),
        )


def _moved(when: date | None, later: timedelta) -> date | None:
    return None if when is None else when + later
