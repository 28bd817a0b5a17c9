"""What a crash, a merge or a synced folder has left in a season, and its mending."""

import tomllib
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from propsched.domain.batch import part_name
from propsched.errors import InputProblem, InvalidInputError
from propsched.files.batch_rules import Names
from propsched.files.batches import batch_names
from propsched.files.copies import (
    KNOWN,
    PLAN,
    PREVIOUS,
    SEASON,
    Copy,
    copy_of,
    named_like,
)
from propsched.files.disk import PART, only_writer, replace_file
from propsched.files.mend import mended
from propsched.files.migrate import is_newer
from propsched.files.pieces import Mend, parted
from propsched.files.plan_json import plan_from_json
from propsched.files.season_toml import read_season_toml
from propsched.files.sheets import SHEETS
from propsched.files.source import CONFLICT, LARGEST_BYTES, Faults, read_source

KEPT = "before-repair"
"""Folder in which files are kept as they were, one folder for each repair."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A file that mending writes anew or moves away."""

    path: Path
    before: bytes
    after: bytes | None
    """None: it is moved to where the files are kept as they were."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Repair:
    """All that was found in a season folder."""

    mends: tuple[Mend, ...] = ()
    """What mending does, in order of file and line."""
    left: tuple[Mend, ...] = ()
    """What only the user can decide."""
    changes: tuple[Change, ...] = ()


def look_over(folder: Path) -> Repair:
    """
    Find what a crash, a merge or a synced folder has left; nothing is changed.

    In a folder of a newer program nothing is found, as its rows may be others.
    """
    known, newer = _names(folder)
    if newer:
        return Repair()
    look = _Look(folder, known)
    copies = list(_copies(folder))
    for name in SHEETS:
        look.at_table(name, [copy for copy in copies if copy.of == name])
    for copy in copies:
        if copy.of not in SHEETS:
            look.at_other_copy(copy)
    look.at_season()
    look.at_plan()
    look.at_parts()
    return Repair(
        mends=tuple(sorted(mend for mend in look.mends if mend.done)),
        left=tuple(sorted(mend for mend in look.mends if not mend.done)),
        changes=tuple(look.changes),
    )


def _copies(folder: Path) -> Iterator[Copy]:
    for path, name in named_like(folder):
        own, raw = _raw(folder / name), _raw(path)
        if own is None or raw is None:
            continue
        if name in SHEETS:
            copy = copy_of(path, name, own)
            if copy is not None:
                yield copy
        elif raw == own or _is_like(name, raw, path):
            yield Copy(path=path, of=name, ours=name != SEASON or raw == own)


def _raw(path: Path) -> bytes | None:
    """What an ordinary file of ordinary size holds."""
    try:
        if path.is_file() and path.stat().st_size <= LARGEST_BYTES:
            return path.read_bytes()
    except OSError:
        return None  # reading the season will say so
    return None


def _is_like(name: str, raw: bytes, path: Path) -> bool:
    """Whether a file holds a plan, or a season."""
    text = raw.decode("utf-8-sig", errors="replace")
    if name != SEASON:
        return not _fault_of_plan(text, path)
    try:
        return "season" in tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError):
        return False


def _fault_of_plan(text: str, path: Path) -> tuple[InputProblem, ...]:
    try:
        plan_from_json(text, str(path))
    except InvalidInputError as error:
        return error.problems
    return ()


def _names(folder: Path) -> tuple[dict[str, set[str] | Names], bool]:
    """Spaces and batches that can be known, and whether a newer program made them."""
    found: dict[str, set[str] | Names] = {}
    faults = Faults()
    season = read_source(folder / SEASON, faults, needed=False)
    spaces = read_season_toml(season, faults)[1] if season else set()
    if spaces:
        found["space"] = spaces
    batches = read_source(folder / "batches.csv", faults, needed=False)
    names = batch_names(batches) if batches else None
    if names is not None:
        halves = {part_name(one, part) for one in names for part in (1, 2)}
        found["batch"] = Names(halves, names)
    return found, any(is_newer(fault) for fault in faults.found)


class _Look:
    """A folder being looked over."""

    def __init__(self, folder: Path, known: dict[str, set[str] | Names]) -> None:
        self.folder, self._known = folder, known
        self.mends: list[Mend] = []
        self.changes: list[Change] = []

    def _told(self, path: Path, line: int, what: str, **rest: str) -> None:
        mend = Mend(path=str(path), line=line, what=what, **{"done": "", **rest})
        self.mends.append(mend)

    def _move_away(self, path: Path, what: str, done: str = "") -> None:
        before = _raw(path)
        if before is not None:
            done = f"{done}moved to {KEPT}"
            self._told(path, 0, what, done=done)
            self.changes.append(Change(path=path, before=before, after=None))

    def at_table(self, name: str, copies: Sequence[Copy]) -> None:
        path = self.folder / name
        raw = _raw(path)
        if raw is None:
            return
        taken = [copy for copy in copies if copy.ours]
        more = [row for copy in taken for row in copy.rows]
        whole = mended(raw, str(path), SHEETS[name], more, self._known)
        if whole is None:
            taken = []
        else:
            self.mends += whole.mends
            if whole.content != raw:
                self.changes.append(Change(path=path, before=raw, after=whole.content))
        for copy in copies:
            if copy in taken:
                self._take_over(copy)
            else:
                what = f"has the columns of {name} and may be a copy of it"
                right = "move rows that belong there, then give it another name"
                self._told(copy.path, 0, what, right=right)

    def _take_over(self, copy: Copy) -> None:
        what = f"is another copy of {copy.of}"
        if not copy.rows:
            self._move_away(copy.path, f"{what} with no row of its own")
            return
        one = len(copy.rows) == 1
        many = "1 row" if one else f"{len(copy.rows)} rows"
        done = f"{'this is' if one else 'these are'} taken over, the copy is "
        self._move_away(copy.path, f"{what} with {many} that it has not", done)

    def at_other_copy(self, copy: Copy) -> None:
        what = f"is another copy of {copy.of}"
        if copy.ours:
            self._move_away(copy.path, what, f"{copy.of} stays as it is, the copy is ")
        else:
            right = f"keep what is right in {copy.of} and delete the copy"
            self._told(copy.path, 0, what, right=right)

    def at_season(self) -> None:
        """Settings that differ are for the user to decide."""
        path = self.folder / SEASON
        raw = _raw(path)
        found = parted(raw, str(path)) if raw else None
        if raw is None or found is None or not found.mends:
            return
        text = raw.decode("utf-8", errors="replace").replace("\r\n", "\n")
        if CONFLICT.search(text):
            return  # reading the season will say so
        mended_text = "".join(piece.text + piece.ending for piece in found.lines)
        try:
            tomllib.loads(mended_text.replace("\r\n", "\n"))
        except (tomllib.TOMLDecodeError, RecursionError):
            return
        self.mends += found.mends
        after = found.mark + mended_text.encode()
        self.changes.append(Change(path=path, before=raw, after=after))

    def at_plan(self) -> None:
        """A plan is made anew in a minute, so half a one is not pieced together."""
        path = self.folder / PLAN
        raw = _raw(path)
        if raw is None:
            return
        faults = _fault_of_plan(raw.decode("utf-8-sig", errors="replace"), path)
        if not faults or any(is_newer(fault) for fault in faults):
            return
        line, what = faults[0].line, faults[0].what
        previous = self.folder / PREVIOUS
        other = _raw(previous)
        usable = other is not None and not _fault_of_plan(
            other.decode("utf-8-sig", errors="replace"), previous
        )
        if usable:
            done = f"moved to {KEPT}, {PREVIOUS} put in its place"
            self._told(path, line, what, done=done)
        else:
            self._told(path, line, what, done=f"moved to {KEPT}: plan anew")
        after = other if usable else None
        self.changes.append(Change(path=path, before=raw, after=after))

    def at_parts(self) -> None:
        for path in sorted(self.folder.glob(f".*{PART}")):
            if any(path.name.startswith(f".{name}.") for name in KNOWN):
                what = "was left by a program that was stopped while it wrote"
                self._move_away(path, what)


def carry_out(folder: Path, seen: Repair, now: datetime) -> Path | None:
    """
    Mend what was seen, and keep every file that is touched as it was.

    Returns
    -------
    Path or None
        Where they are kept; None: there was nothing to mend.

    Raises
    ------
    InvalidInputError
        When the folder cannot be written to, or has changed since it was looked
        over; then everything is as it was.
    """
    if not seen.changes:
        return None
    kept = folder / KEPT / f"{now:%Y-%m-%d-%H%M%S}"
    with only_writer(folder, folder):
        if look_over(folder) != seen:
            what, right = "has changed meanwhile", "look again; nothing was mended"
            raise InvalidInputError([InputProblem(str(folder), 0, what, right)])
        done: list[Change] = []
        try:
            kept.mkdir(parents=True)
            for change in seen.changes:
                replace_file(kept / change.path.name, change.before)
            for change in seen.changes:
                done.append(change)
                _carry_out(change)
        except OSError:
            _take_back(done, kept)
            raise
    return kept


def _carry_out(change: Change) -> None:
    if change.after is None:
        change.path.unlink()
    else:
        replace_file(change.path, change.after)


def _take_back(done: Sequence[Change], kept: Path) -> None:
    """The files as they were; what cannot be put back stays among those kept."""
    for change in done:
        if _raw(change.path) != change.before:
            with suppress(OSError):
                replace_file(change.path, change.before)
    if all(_raw(change.path) == change.before for change in done):
        with suppress(OSError):
            for path in kept.iterdir():
                path.unlink()
            kept.rmdir()
            kept.parent.rmdir()
