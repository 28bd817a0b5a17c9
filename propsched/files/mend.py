"""One table mended: no row is ever dropped, what is none becomes a remark."""

import csv
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from propsched.domain.undone import is_taken_back
from propsched.files.batch_rules import Names
from propsched.files.pieces import Mend, Piece, Pieces, parted
from propsched.files.sheets import Sheet
from propsched.files.table import Header, find_header

Known = Mapping[str, set[str] | Names]
"""By column, the names that there are."""
LONGEST_CELL_LINES = 50
"""A quoted cell over more lines than these has lost its closing quote."""
FEW_SHORT = 5
"""So many rows that are too short may have been cut; more are so for another reason."""
COUNTED_TWICE = ("lost", "undone")
"""Events of which two alike in the daybook may both be meant."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mended:
    """A file as it would be after mending."""

    content: bytes
    mends: tuple[Mend, ...] = ()


class _Turns:
    """
    How often something was taken back and noted again so far.

    What is noted again after it was taken back is no row told twice.
    """

    def __init__(self) -> None:
        self._undone: dict[tuple[str, ...], bool] = {}
        self._turns: dict[tuple[str, ...], int] = {}

    def of(self, row: Mapping[str, str]) -> int:
        event = row.get("event", "").casefold()
        undone = event == "undone" or is_taken_back(row.get("note", ""))
        cells = ("batch", "space", "count") if event else ("time", "space", "temp_c")
        what = tuple(row.get(name, "") for name in cells)
        if undone != self._undone.get(what, False):
            self._turns[what] = self._turns.get(what, 0) + 1
            self._undone[what] = undone
        return self._turns.get(what, 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One record, with the lines it stands on."""

    pieces: tuple[Piece, ...]
    cells: tuple[str, ...] | None
    """None: it cannot be parted into cells."""
    harm: str = ""

    @property
    def line(self) -> int:
        return self.pieces[0].line

    @property
    def side(self) -> str:
        return self.pieces[0].side


def mended(
    raw: bytes,
    path: str,
    sheet: Sheet,
    more: Sequence[Piece] = (),
    known: Known | None = None,
) -> Mended | None:
    """
    Return a table without what a crash or a merge has left in it.

    Parameters
    ----------
    more : sequence of Piece
        Rows of other copies of the file, in its layout, to take in.
    known : mapping, optional
        By column, the names that a row which is too short has to use.

    Returns
    -------
    Mended or None
        None where it is no text, or its header cannot be found.
    """
    found = parted(raw, path)
    if found is None:
        return None
    plain = "\n".join(p.text for p in found.lines if p.side != "before")
    header = find_header(plain, sheet.columns)
    if header is None:
        return None
    at = next(
        n
        for n, piece in enumerate(found.lines)
        if piece.side != "before" and find_header(piece.text, sheet.columns)
    )
    table = _Table(sheet, found, header, found.lines[at].text, known or {})
    body = [*found.lines[at + 1 :], *more]
    if any(table.is_other_header(piece) for piece in body):
        return None
    lines = [*found.lines[: at + 1], *table.mended(body)]
    text = "".join(piece.text + piece.ending for piece in lines)
    if not more and not any(mend.done for mend in found.mends):
        return Mended(content=raw, mends=tuple(found.mends))
    return Mended(content=found.mark + text.encode(), mends=tuple(found.mends))


class _Table:
    """A table being mended."""

    def __init__(
        self,
        sheet: Sheet,
        found: Pieces,
        header: Header,
        first: str,
        known: Known,
    ) -> None:
        self.sheet, self.found, self.header = sheet, found, header
        self.first, self.known = first, known
        endings = [piece.ending for piece in found.lines if piece.ending]
        self.ending = endings[0] if endings else "\n"

    def is_other_header(self, piece: Piece) -> bool:
        """Whether a merge has left a second header, under which rows are others."""
        other = find_header(piece.text, self.sheet.columns)
        if other is None or other.cells == self.header.cells:
            return False
        return set(self.sheet.columns.needed) <= set(other.cells)

    def mended(self, body: Sequence[Piece]) -> Iterator[Piece]:
        rows = list(self._rows(body))
        short = [row for row in rows if row.harm == "is cut short"]
        if len(short) > FEW_SHORT:
            torn = {row.line for row in short if not row.pieces[0].harm}
            rows = [replace(r, harm="") if r.line in torn else r for r in rows]
        rows = [*self._without_doubles(rows)]
        for row in rows:
            yield from self._kept(row)

    def _rows(self, body: Sequence[Piece]) -> Iterator[Row]:
        at = 0
        while at < len(body):
            piece = body[at]
            if not piece.bare or piece.text.startswith("#"):
                yield Row(pieces=(piece,), cells=())
                at += 1
                continue
            end, cells = self._cells(body, at)
            pieces = tuple(body[at:end])
            yield Row(pieces=pieces, cells=cells, harm=self._harm(pieces, cells))
            at = end

    def _cells(
        self, body: Sequence[Piece], at: int
    ) -> tuple[int, tuple[str, ...] | None]:
        """Where the record ends, and its cells."""
        most = min(len(body), at + LONGEST_CELL_LINES)
        for end in range(at + 1, most + 1):
            if end > at + 1 and self._is_row(body[end - 1].text):
                break  # a whole row is no part of a cell
            lines = [f"{piece.text}\n" for piece in body[at:end]]
            try:
                records = csv.reader(
                    lines, delimiter=self.header.delimiter, strict=True,
                    skipinitialspace=True,
                )  # fmt: skip
                return end, tuple(cell.strip() for cell in next(records))
            except csv.Error as error:
                if "end of data" not in str(error):
                    return at + 1, None
        return at + 1, None

    def _is_row(self, text: str) -> bool:
        return self.sheet.is_row(self.first, text)

    def _harm(self, pieces: tuple[Piece, ...], cells: Sequence[str] | None) -> str:
        """Why the record is no row, if a crash or a merge may have done that."""
        first = pieces[0]
        if first.side == "before":
            return "both versions have changed or taken out"
        if self._is_header(cells):
            return "is the header once more"
        short = cells is None or len(cells) < len(self.header.cells)
        suspect = short or any(p.harm for p in pieces) or bool(first.side)
        if not suspect:
            return ""
        whole = self._is_row("\n".join(piece.text for piece in pieces))
        if whole and not (short and self._is_strange(cells or ())):
            return ""
        return "is cut short" if short else "is no row"

    def _is_strange(self, cells: Sequence[str]) -> bool:
        """Whether a short row names a batch or a space that there is not."""
        named = zip(self.header.cells, cells, strict=False)
        return any(
            cell and name in self.known and cell not in self.known[name]
            for name, cell in named
        )

    def _is_header(self, cells: Sequence[str] | None) -> bool:
        plain = [cell.casefold() for cell in cells or ()]
        return plain == list(self.header.cells)

    def _without_doubles(self, rows: Sequence[Row]) -> Iterator[Row]:
        seen: dict[tuple[int, frozenset[tuple[str, str]]], Row] = {}
        turns = _Turns()
        keys = self._keys(rows)
        observed = self._observed(rows)
        for row in rows:
            if not row.cells or row.harm:
                yield row
                continue
            named = self._named(row)
            same = seen.setdefault((turns.of(named), frozenset(named.items())), row)
            first = keys.get(self._key(row), row)
            day = named.get("date", "")
            if same is not row:
                yield self._double(row, same, named)
            elif named.get("kind", "").casefold() == "forecast" and day in observed:
                where = _where(row, observed[day])
                yield replace(row, harm=f"is a forecast of a day observed in {where}")
            elif first is not row and (row.side or first.side or row.pieces[0].harm):
                where = _where(row, first)
                yield replace(row, harm=f"is told otherwise in {where}")
            else:
                yield row

    def _keys(self, rows: Sequence[Row]) -> dict[tuple[str, ...], Row]:
        """The row that stays of those with one key: the first without any harm."""
        found: dict[tuple[str, ...], Row] = {}
        if self.sheet.key:
            for row in sorted(rows, key=lambda row: bool(row.pieces[0].harm)):
                if row.cells and not row.harm:
                    found.setdefault(self._key(row), row)
        return found

    def _key(self, row: Row) -> tuple[str, ...]:
        named = self._named(row)
        return tuple(named.get(name, "").casefold() for name in self.sheet.key)

    def _named(self, row: Row) -> dict[str, str]:
        cells = zip(self.header.cells, row.cells or (), strict=False)
        return {name: cell for name, cell in cells if name and cell}

    def _observed(self, rows: Sequence[Row]) -> dict[str, Row]:
        """Rows of days of which there is no doubt that they were measured."""
        if "date" not in self.sheet.key:
            return {}
        found: dict[str, Row] = {}
        for row in rows:
            named = self._named(row)
            if named.get("kind", "").casefold() != "forecast" and not row.harm:
                found.setdefault(named.get("date", ""), row)
        return found

    def _double(self, row: Row, same: Row, named: dict[str, str]) -> Row:
        what = f"is {_where(row, same)} once more"
        if named.get("event", "").casefold() in COUNTED_TWICE and not row.side:
            doubt = Mend(
                path=row.pieces[0].path, line=row.line, what=what, done="",
                right="if it did not happen twice, delete one",
            )  # fmt: skip
            self.found.mends.append(doubt)
            return row
        return replace(row, harm=what)

    def _kept(self, row: Row) -> Iterator[Piece]:
        *_, last = row.pieces
        if row.harm:
            told = Mend(
                path=row.pieces[0].path, line=row.line, what=row.harm,
                done="kept as a remark",
            )  # fmt: skip
            self.found.mends.append(told)
            for piece in row.pieces:
                text = f"# kept ({row.harm}): {piece.text}"
                yield replace(piece, text=text, ending=piece.ending or self.ending)
            return
        short = row.cells and len(row.cells) < len(self.header.cells)
        if not last.ending and short:
            what = "does not end and may be cut short"
            self.found.told(last.line, what, "ended; look whether it is whole")
            row = replace(row, pieces=(*row.pieces[:-1], self._ended(last)))
        elif not last.ending:
            row = replace(row, pieces=(*row.pieces[:-1], self._ended(last)))
        yield from row.pieces

    def _ended(self, piece: Piece) -> Piece:
        return replace(piece, ending=self.ending)


def _where(row: Row, other: Row) -> str:
    """The line of another row, with its file where that is another one."""
    here, there = row.pieces[0], other.pieces[0]
    if here.path == there.path:
        return f"line {there.line}"
    return f"line {there.line} of {there.path.rpartition('/')[2]}"
