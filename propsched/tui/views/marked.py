"""A line of text and what it is, for whoever places it."""

from dataclasses import dataclass
from typing import Literal

Mark = Literal["", "head", "warning", "error", "good", "muted"]


@dataclass(frozen=True, slots=True)
class Line:
    """The mark is for colour alone: the text says it too."""

    text: str = ""
    mark: Mark = ""
