"""Plain pieces of which every report in the terminal is made."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rich.console import Console, ConsoleOptions, RenderableType, RenderResult
from rich.padding import Padding
from rich.segment import Segment
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


@dataclass(frozen=True, slots=True)
class Trimmed:
    """A report without the blanks that fill its lines up to the right."""

    inner: RenderableType

    def __rich_console__(
        self, console: Console, options: ConsoleOptions
    ) -> RenderResult:
        for line in console.render_lines(self.inner, options, pad=False):
            while line and not line[-1].text.strip():
                line.pop()
            if line:
                yield from line[:-1]
                yield Segment(line[-1].text.rstrip(), line[-1].style)
            yield Segment.line()
