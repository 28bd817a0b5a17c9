"""Every key of season.toml has the line on which it stands."""

import tomllib
from typing import Any

from folders import SEASON

from propsched.files.positions import nearest_line, syntax_line, toml_lines

TEXT = """\
# remark
a.b = 1
"quoted" = { x = 1, y = [1,
  2] }

[[space]]
id = "one"
reserved = [
  { area_m2 = 1 },  # first
  { area_m2 = 2 },
]

[space.heat]
set_c = 1

[[space.reserved_too]]
area_m2 = 3

[[space]]
id = "é"
id2 = '''
two
lines'''
last = 1
"""


def test_lines_of_all_kinds_of_keys() -> None:
    lines = toml_lines(TEXT)
    assert lines["a", "b"] == 2
    assert lines["quoted", "x"] == 3
    assert lines["quoted", "y", 1] == 4
    assert lines["space", 0, "id"] == 7
    assert lines["space", 0, "reserved", 1, "area_m2"] == 10
    assert lines["space", 0, "heat", "set_c"] == 14
    assert lines["space", 0, "reserved_too", 0, "area_m2"] == 17
    assert lines["space", 1] == 19
    assert lines["space", 1, "last"] == 24


def test_what_is_missing_has_the_line_of_what_is_around_it() -> None:
    lines = toml_lines(TEXT)
    assert nearest_line(lines, ("space", 1, "heat", "set_c")) == 19
    assert nearest_line(lines, ("space", 0, "heat", "w")) == 13
    assert nearest_line(lines, ("nothing",)) == 1


def _keys(value: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    found = [path]
    if isinstance(value, dict):
        for name, inner in value.items():
            found += _keys(inner, (*path, name))
    if isinstance(value, list):
        for at, inner in enumerate(value):
            found += _keys(inner, (*path, at))
    return found


def test_no_key_that_tomllib_reads_is_without_a_line() -> None:
    """The two readers agree on what there is."""
    for text in (TEXT, SEASON):
        lines = toml_lines(text)
        missing = [key for key in _keys(tomllib.loads(text)) if key not in lines]
        assert missing == []


def test_the_line_of_a_slip_of_syntax() -> None:
    assert syntax_line("Invalid value (at line 4, column 14)", "") == 4
    assert syntax_line("Unclosed array (at end of document)", "a\nb\n\n") == 2
