"""The line of every key of a TOML text; loaded only once a fault is found."""

import re

import tree_sitter_toml
from tree_sitter import Language, Node, Parser

Key = tuple[str | int, ...]


def toml_lines(text: str) -> dict[Key, int]:
    """Return the line of every key, such as ``("space", 1, "kind")``."""
    parser = Parser(Language(tree_sitter_toml.language()))
    lines: dict[Key, int] = {(): 1}
    counts: dict[Key, int] = {}
    for node in parser.parse(text.encode()).root_node.named_children:
        if node.type == "pair":
            _pair(node, (), lines)
        elif node.type in ("table", "table_array_element"):
            _table(node, lines, counts)
    return lines


def nearest_line(lines: dict[Key, int], key: Key) -> int:
    """Return the line of a key, or of the nearest thing around it."""
    while key not in lines:
        key = key[:-1]
    return lines[key]


def _table(node: Node, lines: dict[Key, int], counts: dict[Key, int]) -> None:
    head, *pairs = [n for n in node.named_children if n.type != "comment"]
    # keys on the way may themselves be arrays of tables: take their last element
    path: Key = ()
    names = _names(head)
    for at, name in enumerate(names, start=1):
        path = (*path, name)
        last = at == len(names)
        if last and node.type == "table_array_element":
            counts[path] = counts.get(path, -1) + 1
            lines.setdefault(path, _line(node))
        if path in counts:
            path = (*path, counts[path])
        lines.setdefault(path, _line(node))
    for pair in pairs:
        _pair(pair, path, lines)


def _pair(node: Node, path: Key, lines: dict[Key, int]) -> None:
    if node.type != "pair":
        return
    key, *values = [n for n in node.named_children if n.type != "comment"]
    for name in _names(key):
        path = (*path, name)
        lines.setdefault(path, _line(key))
    for value in values:
        _value(value, path, lines)


def _value(node: Node, path: Key, lines: dict[Key, int]) -> None:
    if node.type == "inline_table":
        for pair in node.named_children:
            _pair(pair, path, lines)
    elif node.type == "array":
        items = [n for n in node.named_children if n.type != "comment"]
        for at, item in enumerate(items):
            lines[*path, at] = _line(item)
            _value(item, (*path, at), lines)


def _names(node: Node) -> list[str]:
    if node.type == "dotted_key":
        return [name for part in node.named_children for name in _names(part)]
    text = (node.text or b"").decode(errors="replace")
    return [text.strip("\"'")]


def _line(node: Node) -> int:
    return int(node.start_point[0]) + 1


def syntax_line(message: str, text: str) -> int:
    """Return the line that ``tomllib`` names in its message."""
    match = re.search(r"at line (\d+)", message)
    return int(match[1]) if match else max(1, len(text.rstrip("\n").split("\n")))
