"""Plain pieces of which every report in the terminal is made."""

from collections.abc import Iterable, Sequence

from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from propsched.report.words import clean


def heading(words: str) -> Text:
    return Text(f"\n{words}", style="bold")


def grid(*heads: str, right: Sequence[str] = ()) -> Table:
    """A table without lines; figures to the right, long text wraps."""
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="dim")
    for head in heads:
        table.add_column(
            Text(head),
            justify="right" if head in right else "left",
            no_wrap=head in right,
            overflow="fold",
            vertical="top",
        )
    return table


def add(table: Table, *cells: str) -> None:
    """A row of plain text: nothing in it is markup or a control character."""
    table.add_row(*(Text(clean(cell)) for cell in cells))


def points(lines: Iterable[str], mark: str) -> list[Padding]:
    """Lines behind a mark, hanging, so that wrapped text keeps its margin."""
    found = []
    for line in lines:
        table = Table.grid(padding=(0, 1, 0, 0))
        table.add_column(no_wrap=True)
        table.add_column(overflow="fold")
        table.add_row(Text(mark), Text(clean(line)))
        found.append(Padding(table, 0))
    return found
