"""Bytes of one file to text, or the reason why not, and the list of faults."""

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from hashlib import sha256
from pathlib import Path

from propsched.errors import InputProblem, InvalidInputError

LARGEST_BYTES = 20_000_000
"""No file of a season is nearly as large; a larger one is the wrong file."""
LONGEST_LINE = 100_000
"""No line of a table is nearly as long; what parts cells gives up at such a one."""
_LONG = re.compile(rf"[^\n]{{{LONGEST_LINE + 1}}}")
CONFLICT = re.compile(r"^(?:<{7}|>{7})(?: .*)?$", re.MULTILINE)
"""A line that version control writes where two versions of a file meet."""
REPAIR = "`propsched check --repair` mends what a crash or a merge has left"


class Faults:
    """Every fault found so far, over all files."""

    def __init__(self) -> None:
        self.found: list[InputProblem] = []

    def add(self, path: str, line: int, what: str, right: str = "") -> None:
        problem = InputProblem(path, line, what, right)
        if problem not in self.found:
            self.found.append(problem)

    def shorten(self, path: str, most: int = 10) -> None:
        """Keep the first faults of a long table and count the rest."""
        mine = sorted(p for p in self.found if p.path == path)
        if len(mine) > most:
            rest = mine[most:]
            self.found = [p for p in self.found if p not in rest]
            self.add(path, rest[0].line, f"… and {len(rest)} more faults from here on")

    def of(self, path: str) -> bool:
        """Whether this file has any."""
        return any(p.path == path for p in self.found)

    def raise_if_any(self) -> None:
        if self.found:
            raise InvalidInputError(self.found)


@dataclass(frozen=True, slots=True)
class Source:
    """The text of a file, lines ending in a bare newline."""

    path: str
    text: str
    digest: str


def did_you_mean(typed: str, known: Iterable[str]) -> str:
    """Return ``did you mean "x"?`` or nothing."""
    names = {name.casefold(): name for name in known}
    close = get_close_matches(typed.casefold(), names, n=1, cutoff=0.6)
    return f'did you mean "{names[close[0]]}"?' if close else ""


def one_of(typed: str, known: Iterable[str]) -> str:
    """Return what would be right for a word out of a list."""
    listed = list(known)
    shown = ", ".join(listed[:15]) + (" …" if len(listed) > 15 else "")
    hint = did_you_mean(typed, listed)
    if not shown:
        return ""
    return f"{hint} One of {shown}" if hint else f"must be one of {shown}"


def name_fault(name: str) -> tuple[str, str] | None:
    """What is wrong with the name of a batch, space or probe, and what is right."""
    if name != name.strip() or not name:
        return f'is "{name}"', "must be a name without spaces around"
    # a row of another table could not hold these as they are
    hidden = (c for c in name if unicodedata.category(c) in ("Cc", "Zl", "Zp"))
    if any(hidden) or "\xa0" in name or "\ufeff" in name:
        what = "has a character in it that cannot be seen"
        return what, "must be of letters, digits, signs and plain spaces"
    return None


def long_line(text: str) -> int:
    """Line that is too long to be one of a table; 0: there is none."""
    found = _LONG.search(text) if len(text) > LONGEST_LINE else None
    return text.count("\n", 0, found.start()) + 1 if found else 0


def read_source(path: Path, faults: Faults, *, needed: bool) -> Source | None:
    """Return the text; None where there is none to use, with a fault if it matters."""
    name = str(path)
    if not path.exists():
        if needed:
            faults.add(name, 0, "is missing", "`propsched new` makes a folder with it")
        return None
    raw = _bytes(path, faults)
    if raw is None:
        return None
    text = _decoded(raw, name, faults)
    if text is None:
        return None
    if _is_no_file_of_a_season(text, name, faults):
        return None
    if not text.strip():
        if needed:
            faults.add(name, 0, "is empty", "`propsched new` shows what goes in it")
        return None
    return Source(name, text, sha256(raw).hexdigest())


def _is_no_file_of_a_season(text: str, name: str, faults: Faults) -> bool:
    """Whether it is another file, or two versions of one."""
    long, mark = long_line(text), CONFLICT.search(text)
    if long:
        what = f"is longer than {LONGEST_LINE:,} characters"
        faults.add(name, long, what, "must be a text file with a line for each row")
    elif mark:
        line = text.count("\n", 0, mark.start()) + 1
        what = "holds two versions of the file, one below the other (version control)"
        right = "keep what is right of both, without the lines of < = >"
        faults.add(name, line, what, f"{right}; {REPAIR}")
    return bool(long or mark)


def _bytes(path: Path, faults: Faults) -> bytes | None:
    """Return what the file holds, unless it is no file or far too large."""
    name = str(path)
    try:
        if not path.is_file():
            faults.add(name, 0, "is no ordinary file", "must be a text file")
            return None
        size = path.stat().st_size
        if size <= LARGEST_BYTES:
            return path.read_bytes()
        faults.add(
            name, 0, f"is {size / 1e6:.0f} MB large", "must be below 20 MB; wrong file?"
        )
    except OSError as error:
        faults.add(name, 0, f"cannot be read: {error.strerror}")
    return None


def _decoded(raw: bytes, name: str, faults: Faults) -> str | None:
    right = "save it as UTF-8 text"
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        faults.add(name, 1, "is UTF-16 text", right)
        return None
    if b"\0" in raw:
        line = _line_of(raw, raw.index(b"\0"))
        faults.add(name, line, "holds a zero byte", f"{right}; {REPAIR}")
        return None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        # the offset counts from after a byte order mark
        at = error.start + (3 if raw.startswith(b"\xef\xbb\xbf") else 0)
        byte = raw[at]
        guess = bytes([byte]).decode("cp1252", errors="replace")
        what = f"byte 0x{byte:02x} is not UTF-8 (perhaps meant as “{guess}”)"
        faults.add(name, _line_of(raw, at), what, right)
        return None
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _line_of(raw: bytes, offset: int) -> int:
    before = raw[:offset].replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    return before.count(b"\n") + 1
