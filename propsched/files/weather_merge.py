"""Days taken into ``weather.csv`` or ``history.csv``, all else left as it is."""

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from propsched.errors import InputProblem, InvalidInputError
from propsched.files.cells import CellError, day, number
from propsched.files.disk import only_writer, replace_file
from propsched.files.series import WEATHER_COLUMNS, WEATHER_LIMITS, read_weather
from propsched.files.source import Faults, Source, read_source
from propsched.files.station_days import Values
from propsched.files.table import find_header

NEW_HEADER = ("date", "tmin_c", "tmax_c")
LAST_COLUMNS = ("kind", "note")
SAME = 0.051
"""Values no farther apart are the same one rounded otherwise."""


@dataclass(slots=True, kw_only=True)
class Merged:
    """What became of the days that were to be taken in."""

    added: list[date] = field(default_factory=list)
    replaced: list[date] = field(default_factory=list)
    """A forecast that is measured now, or a newer forecast; or as was asked for."""
    completed: list[date] = field(default_factory=list)
    """The same day, with more columns filled."""
    same: list[date] = field(default_factory=list)
    kept: list[tuple[date, str]] = field(default_factory=list)
    """Left as they were, and how they differ."""


@dataclass(slots=True)
class _Line:
    """One line of the file after its header."""

    text: str
    when: date | None = None
    cells: list[str] | None = None


def merge_days(
    path: Path,
    days: Mapping[date, Values],
    *,
    kind: str,
    note: str,
    replace: bool = False,
    gaps: bool = False,
) -> Merged:
    """
    Take days into a file of weather, all of them or none.

    Parameters
    ----------
    kind : str
        ``observed`` or ``forecast``, which never takes the place of an observed day.
    note : str
        Goes with every row that is written.
    replace : bool
        Whether days that were observed otherwise are overwritten.
    gaps : bool
        Whether long breaks are right, as in ``history.csv``.

    Raises
    ------
    InvalidInputError
        When the file is at fault or would be; then it is as it was.
    """
    with only_writer(path.parent, path):
        faults = Faults()
        source = read_source(path, faults, needed=False)
        faults.raise_if_any()
        old = path.read_bytes() if path.exists() else b""
        if source is None:
            heads = [*NEW_HEADER, *_filled(days), *LAST_COLUMNS]
            source = Source(str(path), ",".join(heads) + "\n", "")
        table = _Table(source, days, note)
        done = table.take(days, kind=kind, note=note, replace=replace)
        text = table.text()
        _refuse_faults(path, text, gaps=gaps)
        if done.added or done.replaced or done.completed:
            replace_file(path, _as_before(old, text))
    return done


def _refuse_faults(path: Path, text: str, *, gaps: bool) -> None:
    faults = Faults()
    read_weather(Source(str(path), text, ""), faults, gaps=gaps)
    if faults.found:
        first = faults.found[0]
        what = f"cannot take these days: {first.what}"
        problem = InputProblem(str(path), 0, what, f"{first.right}; nothing was taken")
        raise InvalidInputError([problem])


def _as_before(old: bytes, text: str) -> bytes:
    """The text with the byte order mark and the line endings that there were."""
    mark = b"\xef\xbb\xbf" if old.startswith(b"\xef\xbb\xbf") else b""
    ending = "\r\n" if b"\r\n" in old else "\n"
    return mark + text.replace("\n", ending).encode()


def _filled(days: Mapping[date, Values]) -> list[str]:
    given = {name for values in days.values() for name in values}
    return [n for n in WEATHER_LIMITS if n in given and n not in NEW_HEADER]


class _Table:
    """A file of weather by its lines."""

    def __init__(self, source: Source, days: Mapping[date, Values], note: str) -> None:
        header = find_header(source.text, WEATHER_COLUMNS)
        if header is None:
            what, right = "has no header", f"must name {', '.join(NEW_HEADER)}"
            raise InvalidInputError([InputProblem(source.path, 1, what, right)])
        lines = source.text.removesuffix("\n").split("\n")
        self._path, self._header = source.path, header
        self._comma = header.delimiter != ","
        self._before = lines[: header.line - 1]
        self._first = lines[header.line - 1]
        self._heads = list(header.cells)
        self._lines = [
            self._line(n, text)
            for n, text in enumerate(lines[header.line :], start=header.line + 1)
        ]
        needed = [*_filled(days), "kind", *(["note"] if note else [])]
        for name in needed:
            if name not in self._heads:
                self._add_column(name)

    def _line(self, number_: int, text: str) -> _Line:
        if not text.strip() or text.startswith("#"):
            return _Line(text)
        try:
            (cells,) = csv.reader(
                [text], delimiter=self._header.delimiter, strict=True,
                skipinitialspace=True,
            )  # fmt: skip
            at = self._heads.index("date")
            return _Line(text, day(cells[at].strip()), [c.strip() for c in cells])
        except (csv.Error, CellError, ValueError, IndexError) as error:
            what = f"cannot be read ({getattr(error, 'what', error)})"
            right = "`propsched check` says what would be right"
            problem = InputProblem(self._path, number_, what, right)
            raise InvalidInputError([problem]) from None

    def _add_column(self, name: str) -> None:
        """A column at the end, blank in every row."""
        self._heads.append(name)
        self._first += f"{self._header.delimiter}{name}"
        for line in self._lines:
            if line.cells is not None:
                line.text += self._header.delimiter
                line.cells.append("")

    def take(
        self, days: Mapping[date, Values], *, kind: str, note: str, replace: bool
    ) -> Merged:
        done = Merged()
        there = {line.when: line for line in self._lines if line.when is not None}
        for when, values in sorted(days.items()):
            line = there.get(when)
            if line is None:
                self._insert(when, self._row(when, values, kind, note))
                done.added.append(when)
            elif self._is_forecast(line):
                self._write(line, values, kind, note, keep=False)
                done.replaced.append(when)
            elif kind == "forecast":
                done.kept.append((when, "observed already"))
            else:
                self._take_observed(line, when, values, note, done, replace=replace)
        return done

    def _take_observed(
        self,
        line: _Line,
        when: date,
        values: Values,
        note: str,
        done: Merged,
        *,
        replace: bool,
    ) -> None:
        had = {name: self._value(line, name) for name in values}
        differs = {
            name: value
            for name, value in values.items()
            if (old := had[name]) is not None and abs(old - value) > SAME
        }
        if differs and not replace:
            told = (f"{n} {had[n]:g}, not {v:g}" for n, v in differs.items())
            done.kept.append((when, ", ".join(told)))
        elif differs:
            self._write(line, values, "observed", note, keep=True)
            done.replaced.append(when)
        elif any(old is None for old in had.values()):
            blank = {n: v for n, v in values.items() if had[n] is None}
            self._write(line, blank, "observed", "", keep=True)
            done.completed.append(when)
        else:
            done.same.append(when)

    def _is_forecast(self, line: _Line) -> bool:
        return self._cell(line, "kind").casefold() == "forecast"

    def _cell(self, line: _Line, name: str) -> str:
        at = self._heads.index(name) if name in self._heads else -1
        cells = line.cells or []
        return cells[at] if 0 <= at < len(cells) else ""

    def _value(self, line: _Line, name: str) -> float | None:
        text = self._cell(line, name)
        try:
            return number(text, decimal_comma=self._comma, largest=999)
        except CellError:
            return None

    def _row(self, when: date, values: Values, kind: str, note: str) -> dict[str, str]:
        shown = {name: self._shown(value) for name, value in values.items()}
        return {"date": when.isoformat(), **shown, "kind": kind, "note": note}

    def _shown(self, value: float) -> str:
        text = f"{value:.10g}"
        return text.replace(".", ",") if self._comma else text

    def _write(
        self, line: _Line, values: Values, kind: str, note: str, *, keep: bool
    ) -> None:
        """Fill cells of a row; the others stay if ``keep``."""
        assert line.when is not None
        row = self._row(line.when, values, kind, note)
        old = {name: self._cell(line, name) for name in self._heads if name}
        if keep:
            row = {**old, **{name: cell for name, cell in row.items() if cell}}
        self._put(line, row)

    def _put(self, line: _Line, row: Mapping[str, str]) -> None:
        line.cells = [row.get(name, "") for name in self._heads]
        text = io.StringIO()
        csv.writer(text, delimiter=self._header.delimiter, lineterminator="").writerow(
            line.cells
        )
        line.text = text.getvalue()

    def _insert(self, when: date, row: Mapping[str, str]) -> None:
        """Before the first later day, so that people find it where they look."""
        new = _Line("", when)
        self._put(new, row)
        # most files grow at their end
        at = len(self._lines)
        while at and (self._lines[at - 1].when or date.max) > when:
            at -= 1
        later = [n for n in range(at, len(self._lines)) if self._lines[n].when]
        self._lines.insert(later[0] if at == 0 and later else at, new)

    def text(self) -> str:
        lines = [*self._before, self._first, *(line.text for line in self._lines)]
        return "\n".join(lines) + "\n"
