"""What a page says as long as there is nothing to show on it, and what to do next."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from propsched.tui.desk import Desk

EXAMPLE = (
    "batch,crop,method,wanted,wanted_by",
    "leek,leek,seed,200,2027-05-20",
)
"""Header and a row of ``batches.csv``."""


def first_steps(desk: "Desk") -> tuple[str, ...]:
    """Sentences that lead on; none where there is a plan."""
    opened = desk.opened
    if opened is None:
        if desk.problems:
            return ("The files have faults: x lists them, with file and line.",)
        return ("Reading the files …",)
    if not opened.files.batches:
        return (
            "No batches yet.",
            f"Write what you want to raise into {desk.folder / 'batches.csv'}, "
            "a row each, for instance:",
            *EXAMPLE,
            "Save it, and it is read at once; then p plans the season.",
        )
    if opened.plan is not None:
        return ()
    if desk.planning.busy:
        return ("The first plan is being made; its jobs come here.",)
    number = len(opened.whole)
    many = f"{number} batch{'' if number == 1 else 'es'}"
    stray = (opened.stray,) if opened.stray else ()
    return (*stray, f"No plan yet for {many}: p plans the season.")
