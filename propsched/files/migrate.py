"""Which format a file is in, and how an older one is carried to this program's."""

from collections.abc import Callable, Mapping
from typing import Any

from propsched.errors import InputProblem

FORMAT = 1
"""The format of ``season.toml`` and ``plan.json`` that this program reads."""

Document = dict[str, Any]
Step = Callable[[Document], Document]

SEASON_STEPS: Mapping[int, Step] = {}
"""What carries a season from the format that is the key to the next; none yet."""
PLAN_STEPS: Mapping[int, Step] = {}
"""The same for plans."""

_NEWER = "of a newer propsched"


class FormatError(ValueError):
    """A document that cannot be carried to this format: what, and what is right."""

    def __init__(self, what: str, right: str) -> None:
        self.what, self.right = what, right
        self.is_newer = what.endswith(_NEWER)
        super().__init__(what, right)


def carried(
    document: Document,
    steps: Mapping[int, Step],
    *,
    to: int = FORMAT,
    unsaid: int | None = None,
) -> Document:
    """
    Return a document in this program's format, step by step from its own.

    Parameters
    ----------
    steps : mapping
        By format, what carries a document of that format to the next one; the
        document handed to it is not used afterwards.
    unsaid : int, optional
        Format of a document that names none; None: it has to name it.

    Raises
    ------
    FormatError
        When there is no way.
    """
    found = document.get("format", unsaid)
    named = f"must be format = {to}, at the top"
    if found is None:
        raise FormatError("is missing", named)
    if type(found) is not int:
        raise FormatError(f"is {found}", named)
    if found > to:
        right = f"this one reads format {to}: update it, or take the folder back there"
        raise FormatError(f"is {found}, {_NEWER}", right)
    while found < to:
        if found not in steps:
            right = f"{named}; there is no way here from an older one"
            raise FormatError(f"is {found}", right)
        document = {**steps[found](document), "format": found + 1}
        found += 1
    return document


def is_newer(fault: InputProblem) -> bool:
    """Whether a fault is that of a file made by a newer program."""
    return fault.what.endswith(_NEWER)
