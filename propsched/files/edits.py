"""Changes of a table's text by the places of its cells, all other bytes left alone."""

from collections.abc import Sequence

from propsched.files.spans import Layout, Record, Span

Edit = tuple[int, int, str]
"""From where to where, and what stands there instead."""


def edited(text: str, edits: Sequence[Edit]) -> str:
    """All edits made, the last in the text first, so that places stay right."""
    order = sorted(enumerate(edits), key=lambda one: (one[1][0], one[0]), reverse=True)
    for _, (first, end, instead) in order:
        text = text[:first] + instead + text[end:]
    return text


def filled(layout: Layout, row: Record, cells: dict[str, str]) -> list[Edit]:
    """The cells into a row; columns that the header lacks are added to it."""
    delimiter = layout.header.delimiter
    edits: list[Edit] = []
    heads = list(layout.header.cells)
    missing = [name for name, cell in cells.items() if cell and name not in heads]
    if missing:
        end = layout.head.stop
        edits.append((end, end, "".join(delimiter + name for name in missing)))
        heads += missing
    told = {heads.index(name): cell for name, cell in cells.items() if name in heads}
    more = ""
    for at in range(max(told, default=-1) + 1):
        if at < len(row.cells):
            if at in told:
                edits.append(_in_place(row.cells[at], told[at], delimiter, at))
        else:
            more += delimiter + _typed(told.get(at, ""), delimiter, at)
    if more.strip(delimiter):
        end = row.stop
        edits.append((end, end, more))
    return edits


def _in_place(span: Span, cell: str, delimiter: str, at: int) -> Edit:
    """A cell for another; blanks round it stay, and its quotes."""
    return span.first, span.end, _typed(cell, delimiter, at, quoted=span.quoted)


def _typed(cell: str, delimiter: str, at: int, *, quoted: bool = False) -> str:
    plain = " ".join(cell.replace("\0", "").split())
    needs = delimiter in plain or '"' in plain or (at == 0 and plain.startswith("#"))
    if quoted or needs:
        return '"' + plain.replace('"', '""') + '"'
    return plain


def added(layout: Layout, cells: dict[str, str]) -> list[Edit]:
    """One more row after the last."""
    delimiter = layout.header.delimiter
    heads = list(layout.header.cells)
    missing = [name for name, cell in cells.items() if cell and name not in heads]
    edits: list[Edit] = []
    if missing:
        end = layout.head.stop
        edits.append((end, end, "".join(delimiter + name for name in missing)))
        heads += missing
    row = delimiter.join(
        _typed(cells.get(name, ""), delimiter, at) for at, name in enumerate(heads)
    )
    last = layout.rows[-1] if layout.rows else layout.head
    ending = layout.head.ending or "\n"
    text = row + ending if last.ending else ending + row + ending
    return [*edits, (last.end, last.end, text)]
