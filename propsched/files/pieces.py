"""A damaged text into its lines, with what a crash or a merge has left in them."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from propsched.errors import InputProblem
from propsched.files.source import CONFLICT, LONGEST_LINE

Side = Literal["", "ours", "before", "theirs"]
"""Of a conflict that version control has written into the file."""

_LINE = re.compile(rb"([^\r\n]*)(\r\n|\n|\r|\Z)")
_MARK = re.compile(r"([<|=>])\1{6}(?: .*)?")
MOST_ZERO_RUNS = 8
"""Zero bytes in more places than these come from no power cut: it is no text."""


@dataclass(frozen=True, slots=True, order=True, kw_only=True)
class Mend:
    """One thing that a crash or a merge has left, and what mends it."""

    path: str
    line: int
    what: str
    done: str
    """What mending does; blank: nothing, it is left to the user."""
    right: str = ""
    """What would be right, where it is left to the user."""

    def problem(self) -> InputProblem:
        """As a fault of the input."""
        right = f"`propsched check --repair`: {self.done}" if self.done else self.right
        return InputProblem(self.path, self.line, self.what, right)


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One line, or a part of one between zero bytes."""

    path: str
    line: int
    text: str
    ending: str
    harm: str = ""
    """Why it may be no row any more; blank: nothing speaks for that."""
    side: Side = ""

    @property
    def bare(self) -> str:
        return self.text.strip()


@dataclass(slots=True)
class Pieces:
    """The lines of a file, and what was found in them."""

    path: str
    lines: list[Piece] = field(default_factory=list)
    mends: list[Mend] = field(default_factory=list)
    mark: bytes = b""
    """The byte order mark it began with."""

    def told(self, line: int, what: str, done: str) -> None:
        self.mends.append(Mend(path=self.path, line=line, what=what, done=done))


def parted(raw: bytes, path: str) -> Pieces | None:
    """Return the lines of a file; None where it is no text."""
    found = Pieces(path)
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        try:
            raw = raw.decode("utf-16").encode()
        except UnicodeDecodeError:
            return None
        found.told(1, "is UTF-16 text", "written as UTF-8")
    if raw.startswith(b"\xef\xbb\xbf"):
        raw, found.mark = raw[3:], raw[:3]
    if len(re.findall(rb"\0+", raw)) > MOST_ZERO_RUNS:
        return None
    lines = _LINE.findall(raw)
    if any(len(content) > LONGEST_LINE for content, _ in lines):
        return None
    for number, (content, ending) in enumerate(lines, start=1):
        if content or ending:
            _add(found, number, content, ending.decode())
    if any(CONFLICT.fullmatch(piece.text) for piece in found.lines):
        found.lines = list(_without_marks(found))
    return found


def _add(found: Pieces, number: int, content: bytes, ending: str) -> None:
    zeros = content.count(b"\0")
    parts = [part for part in re.split(rb"\0+", content) if part.strip()]
    if not zeros:
        parts = [content]
    harm = "held zero bytes" if zeros else "" if ending else "is not ended"
    if zeros:
        many = "a zero byte" if zeros == 1 else f"{zeros} zero bytes"
        found.told(number, f"holds {many}, as a power cut leaves them", "taken out")
    for part in parts:
        text = _decoded(found, number, part, last=not ending)
        piece = Piece(path=found.path, line=number, text=text, ending=ending, harm=harm)
        found.lines.append(piece)
    if zeros and parts and not ending:
        found.lines[-1] = replace(found.lines[-1], ending="\n")


def _decoded(found: Pieces, number: int, content: bytes, *, last: bool) -> str:
    try:
        return content.decode()
    except UnicodeDecodeError as error:
        if last and error.end == len(content) and "end of data" in error.reason:
            text = content.decode(errors="backslashreplace")
            found.told(number, "ends in the middle of a letter", "written as a code")
            return text
        text = content.decode("cp1252", errors="backslashreplace")
        meant = content[error.start : error.end].decode("cp1252", "backslashreplace")
        what = f"byte 0x{content[error.start]:02x} is not UTF-8"
        found.told(number, what, f"read as “{meant}”")
        return text


def _without_marks(found: Pieces) -> Iterator[Piece]:
    """The lines of both sides, those that are the same in both once."""
    side: Side = ""
    region: list[Piece] = []
    for piece in found.lines:
        mark = _MARK.fullmatch(piece.text)
        sort = mark[1] if mark else ""
        if sort == "<":
            yield from _of_both(region)
            region, side = [], "ours"
            what = "two versions of the file met here (version control)"
            found.told(piece.line, what, "rows of both kept, its marks taken out")
        elif sort == "|" and side:
            side = "before"
        elif sort == "=" and side:
            side = "theirs"
        elif sort == ">":
            yield from _of_both(region)
            region, side = [], ""
        elif side:
            region.append(replace(piece, side=side))
        else:
            yield piece
    yield from _of_both(region)


def _of_both(region: Sequence[Piece]) -> Iterator[Piece]:
    ours = [piece for piece in region if piece.side == "ours"]
    had = {piece.bare for piece in ours}
    theirs = [p for p in region if p.side == "theirs" and p.bare not in had]
    had |= {piece.bare for piece in theirs}
    yield from ours
    yield from theirs
    # what both have changed or taken out is no row any more, but not lost either
    yield from (p for p in region if p.side == "before" and p.bare not in had)
