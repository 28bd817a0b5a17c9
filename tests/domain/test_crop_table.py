"""A crop is found under every name people type, and under no other."""

import pytest

from propsched.domain.container import Container
from propsched.domain.crop import Crop, Needs
from propsched.domain.crop_names import plain_name
from propsched.domain.crop_table import CropTable
from propsched.errors import UnknownNameError


def crop(name: str, method: str = "seed", **over: object) -> Crop:
    stage = Needs(stage="start", container=Container(name="tray"))
    return Crop(name=name, method=method, stages=(stage,), **over)  # type: ignore[arg-type]


TABLE = CropTable(
    crops=(
        crop("tomato", latin="Solanum lycopersicum", also=("love apple",)),
        crop("French bean", also=("haricot", "dwarf bean")),
        crop("bay", "evergreen", latin="Laurus nobilis", also=("sweet bay",)),
        crop("dahlia", "tuber"),
        crop("dahlia", "basal"),
        crop("cherry", "hardwood"),
        crop("chervil", also=("bay",)),
        crop("Chinese cabbage", also=("pe-tsai",)),
        crop("asparagus"),
        crop("holly", "evergreen"),
        crop("sea kale", "root", also=("Séakale",)),
    )
)


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("tomato", "tomato"),
        ("Tomatoes", "tomato"),
        ("  TOMATO ", "tomato"),
        ("love apples", "tomato"),
        ("solanum lycopersicum", "tomato"),
        ("french beans", "French bean"),
        ("bean, french", "French bean"),
        ("French-bean", "French bean"),
        ("haricots", "French bean"),
        ("cherries", "cherry"),
        ("hollies", "holly"),
        ("pe tsai", "Chinese cabbage"),
        ("asparagus", "asparagus"),
        ("seakale", "sea kale"),
        ("bay", "bay"),
    ],
)
def test_names_as_people_type_them(typed: str, name: str) -> None:
    assert {crop.name for crop in TABLE.find(typed)} == {name}


@pytest.mark.parametrize("typed", ["", "tom", "bean", "s", "potato", "unknown"])
def test_other_words_find_nothing(typed: str) -> None:
    assert TABLE.find(typed) == ()


def test_a_method_narrows_the_rows() -> None:
    assert [c.method for c in TABLE.find("dahlias")] == ["tuber", "basal"]
    assert [c.method for c in TABLE.find("dahlias", "basal")] == ["basal"]
    assert TABLE.find("dahlias", "root") == ()


def test_near_names_are_offered() -> None:
    assert TABLE.near("tomatoe")[0] == "tomato"
    assert TABLE.near("frenche bean")[0] == "French bean"
    assert TABLE.near("zzzz") == ()


def test_get_wants_the_exact_name_and_says_what_there_is() -> None:
    assert TABLE.get("dahlia", "tuber") is TABLE.crops[3]
    with pytest.raises(UnknownNameError, match='"dahlia" has no method "seed" – tuber'):
        TABLE.get("dahlia", "seed")
    with pytest.raises(UnknownNameError, match="did you mean dahlia"):
        TABLE.get("dalia", "seed")
    with pytest.raises(UnknownNameError, match=r'no crop "xyz"$'):
        TABLE.get("xyz", "seed")


def test_plain_name_drops_what_does_not_matter() -> None:
    assert plain_name("Bean, Broad") == "broad bean"
    assert plain_name("Crème–de’  Menthe") == "creme–de menthe"
