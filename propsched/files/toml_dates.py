"""The dates of a season.toml moved to other years, all else left as it is."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

import tree_sitter_toml
from tree_sitter import Language, Node, Parser

from propsched.files.edits import edited


@dataclass(frozen=True, slots=True)
class TomlDate:
    """One date in the text of a TOML file."""

    table: str
    """``season``, ``work``, ``space`` …"""
    key: str
    """``start``, ``away`` …: the key of its line."""
    day: date
    first: int
    end: int
    """From where to where, in characters."""


def toml_dates(text: str) -> tuple[TomlDate, ...]:
    """Every date that stands for itself: not in remarks and not in strings."""
    raw = text.encode()
    root = Parser(Language(tree_sitter_toml.language())).parse(raw).root_node
    return tuple(_dates(root, raw, "", ""))


def _dates(node: Node, raw: bytes, table: str, key: str) -> Iterator[TomlDate]:
    if node.type == "local_date":
        first = len(raw[: node.start_byte].decode())
        said = raw[node.start_byte : node.end_byte].decode()
        day = date.fromisoformat(said)
        yield TomlDate(table, key, day, first, first + len(said))
        return
    children = [child for child in node.named_children if child.type != "comment"]
    if node.type in ("table", "table_array_element") and children:
        table = _said(children[0], raw)
    elif node.type == "pair" and children and not key:
        key = _said(children[0], raw)
    for child in children:
        yield from _dates(child, raw, table, key)


def _said(node: Node, raw: bytes) -> str:
    return raw[node.start_byte : node.end_byte].decode().strip("\"'")


def years_on(day: date, years: int) -> date:
    """The same day of the calendar; 29 February may become the 28th."""
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return day.replace(year=day.year + years, day=28)


def moved_dates(text: str, years: int, *, start: date, end: date) -> str:
    """
    The text with its dates so many years on, the season's own as told.

    Raises
    ------
    ValueError
        If a date has no such year.
    """
    own = {("season", "start"): start, ("season", "end"): end}
    return edited(
        text,
        [
            (
                one.first,
                one.end,
                str(own.get((one.table, one.key)) or years_on(one.day, years)),
            )
            for one in toml_dates(text)
        ],
    )
