"""Every figure says what it rests on."""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass

import pytest

from propsched.domain.crop import BASES
from propsched.thermal import materials
from propsched.thermal.materials import Value


def figures(thing: object, name: str) -> Iterator[tuple[str, Value]]:
    if isinstance(thing, Value):
        yield name, thing
    elif isinstance(thing, dict):
        for key, inner in thing.items():
            yield from figures(inner, f"{name}.{key}")
    elif is_dataclass(thing) and not isinstance(thing, type):
        for field in fields(thing):
            yield from figures(getattr(thing, field.name), f"{name}.{field.name}")


ALL = [
    found
    for name, thing in vars(materials).items()
    if name[0] != "_"
    for found in figures(thing, name)
]


def test_there_are_many():
    """The walk above finds them, those inside tables as well."""
    assert len(ALL) > 100


@pytest.mark.parametrize(("name", "figure"), ALL, ids=[name for name, _ in ALL])
def test_a_figure_has_a_basis_and_published_ones_a_source(name, figure):
    """Basis words as in the crop table; published and derived name their source."""
    assert figure.basis in BASES
    if figure.basis in ("published", "derived"):
        assert len(figure.source) > 10, name
