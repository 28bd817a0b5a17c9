"""The crop table: groups, own figures, origins, and every fault with its line."""

from pathlib import Path

import pytest
from folders import TABLE, write_table

from propsched.domain.container import Container
from propsched.errors import InvalidInputError
from propsched.files.crop_table import read_crop_table

ROOT = Path(__file__).resolve().parents[2]


def test_groups_fill_in_and_own_figures_win(tmp_path: Path) -> None:
    table = read_crop_table(shipped=write_table(tmp_path))
    leek = table.get("leek", "seed")
    start, seedling = leek.stages
    assert (start.stage, seedling.stage) == ("start", "seedling")
    assert (start.base_c, start.opt_c, start.sum_c_d) == (1.7, 20.0, 190.0)
    assert start.fraction == ((10.0, 0.82), (15.0, 0.98))
    assert seedling.container == Container(name="module-tray", holds=40)
    assert leek.also == ("spring leek", "winter leek")
    assert leek.latin == "Allium porrum"
    lettuce = table.get("lettuce", "seed")
    assert lettuce.edible
    assert lettuce.stages[0].base_c == 0.0
    assert lettuce.latin == ""
    assert table.citations["trial"].startswith("Somebody's")


def test_later_groups_win_over_earlier(tmp_path: Path) -> None:
    groups = TABLE["groups.csv"] + "@slow,start,base_c,4,memory,,\n"
    seed = TABLE["seed.csv"].replace("lettuce,,like,@sown", "lettuce,,like,@sown {}")
    for likes, base in (("@cool @slow", 4.0), ("@slow @cool", 1.0)):
        text = seed.replace("{}", likes)
        folder = write_table(tmp_path, groups_csv=groups, seed_csv=text)
        lettuce = read_crop_table(shipped=folder).get("lettuce", "seed")
        assert lettuce.stages[0].base_c == base


def test_hardwood_figures_of_the_crop_as_a_whole(tmp_path: Path) -> None:
    crop = read_crop_table(shipped=write_table(tmp_path)).get(
        "blackcurrant", "hardwood"
    )
    assert crop.stands_over
    assert crop.material == (11, 12, 1, 2)
    assert crop.stages[0].container == Container(name="row", rows_cm=30)


def test_every_resolved_figure_keeps_its_origin(tmp_path: Path) -> None:
    """A group's figure for a stage not gone through is not among them."""
    leek = read_crop_table(shipped=write_table(tmp_path)).get("leek", "seed")
    origins = {(f.stage, f.name): (f.crop, f.basis, f.source) for f in leek.figures}
    assert origins["start", "base_c"] == ("leek", "published", "trial")
    assert origins["start", "opt_c"] == ("@cool", "common practice", "")
    assert ("harden", "days") not in origins
    assert [f.stage for f in leek.figures] == sorted(
        (f.stage for f in leek.figures), key=["", "start", "seedling"].index
    )


def test_a_shorter_way_of_the_growers_own_is_no_fault(tmp_path: Path) -> None:
    """The shipped figures of the stage left out are not used."""
    more = TABLE["seed.csv"] + "leek,seedling,base_c,5,memory,,\n"
    own = tmp_path / "crops.csv"
    own.write_text(OWN + "leek,seed,,stages,start\n", encoding="utf-8")
    table = read_crop_table(own, shipped=write_table(tmp_path / "t", seed_csv=more))
    assert [n.stage for n in table.get("leek", "seed").stages] == ["start"]


OWN = "crop,method,stage,figure,value\n"


def own_table(tmp_path: Path, rows: str):  # type: ignore[no-untyped-def]
    own = tmp_path / "crops.csv"
    own.write_text(OWN + rows, encoding="utf-8")
    return read_crop_table(own, shipped=write_table(tmp_path / "table"))


def test_own_figures_override_and_name_their_source(tmp_path: Path) -> None:
    leek = own_table(tmp_path, "Leek,seed,start,base_c,3\n").get("leek", "seed")
    assert leek.stages[0].base_c == 3.0
    assert leek.stages[0].sum_c_d == 190.0
    figure = next(f for f in leek.figures if f.name == "base_c")
    assert (figure.basis, figure.source) == ("common practice", "own")


def test_an_own_crop_like_another_takes_all_but_its_names(tmp_path: Path) -> None:
    rows = "blue leek,seed,,like,leek\nblue leek,seed,start,base_c,0\n"
    table = own_table(tmp_path, rows)
    mine, leek = table.get("blue leek", "seed"), table.get("leek", "seed")
    assert mine.stages[0].sum_c_d == leek.stages[0].sum_c_d
    assert mine.stages[0].base_c == 0.0
    assert mine.also == ()
    assert mine.latin == ""


def test_an_own_crop_like_one_of_two_words(tmp_path: Path) -> None:
    rows = "blue leek,seed,,like,leek\nred leek,seed,,like,blue leek\n"
    assert own_table(tmp_path, rows).get("red leek", "seed").stages[0].base_c == 1.7


def test_likes_that_lead_round_are_refused(tmp_path: Path) -> None:
    rows = "blue,seed,,like,red\nred,seed,,like,blue\n"
    with pytest.raises(InvalidInputError, match="leads round in a circle"):
        own_table(tmp_path, rows)


BROKEN = [
    # file, text to replace, by what, line, fragment
    ("seed.csv", "1.7,published", "1.7,guessed", 5, 'basis is "guessed"'),
    ("seed.csv", "1.7,published,trial", "1.7,published,", 5, "source is blank"),
    ("seed.csv", "190,derived,trial", "190,derived,", 6, "derived figures need a key"),
    ("seed.csv", "1.7,published,trial", "1.7,published,trail", 5, '"trial"?'),
    ("seed.csv", "start,base_c", "start,bas_c", 5, 'did you mean "base_c"?'),
    ("seed.csv", "start,base_c", ",base_c", 5, "belongs to a stage"),
    ("seed.csv", ",,latin", ",start,latin", 3, "belongs to the crop"),
    ("seed.csv", "start,base_c", "begin,base_c", 5, 'stage is "begin"'),
    ("seed.csv", "start,base_c", "pot-on,base_c", 5, "not go through this stage"),
    ("seed.csv", "base_c,1.7", "base_c,", 5, "value blank"),
    ("seed.csv", "base_c,1.7", "base_c,warm", 5, 'base_c is "warm"'),
    ("seed.csv", "base_c,1.7", "base_c,25", 5, "not below 20 °C"),
    ("seed.csv", "base_c,1.7", "base_c,200", 5, "at most 100"),
    ("seed.csv", "sum_c_d,190", "sum_c_d,-190", 6, "at least 0"),
    ("seed.csv", "10:0.82 15:0.98", "10-0.82", 7, "temperature:fraction pairs"),
    ("seed.csv", "10:0.82 15:0.98", "15:0.82 10:0.98", 7, "rising"),
    ("seed.csv", "10:0.82 15:0.98", "10:82 15:98", 7, "fractions 0 to 1"),
    ("seed.csv", "edible,yes", "edible,maybe", 9, "must be yes or no"),
    ("seed.csv", "lettuce,,like,@sown", "lettuce,,like,@sawn", 8, '"@sown"?'),
    ("seed.csv", "lettuce,,edible", "leek,start,base_c", 9, "first in line 5"),
    ("seed.csv", "lettuce,,edible", "Leek,,edible", 9, "one spelling"),
    ("seed.csv", "190,derived,trial,", "190,derived", 6, "has 5 cells"),
    ("seed.csv", ",figure,", ",figures,", 1, 'did you mean "figure"?'),
    ("hardwood.csv", "stages,start", "stages,root", 2, 'names "root"'),
    ("hardwood.csv", "stages,start", "stages,grow start", 2, "keep the order"),
    (
        "hardwood.csv",
        "start,container,row",
        "start,any_day,no",
        2,
        "container of stage",
    ),
    ("hardwood.csv", "container,row", "container,rows", 6, 'did you mean "row"?'),
    ("hardwood.csv", "rows_cm,30", "rows_cm,0", 7, "at least 1"),
    ("hardwood.csv", "11 12 1 2", "11 12 13", 5, "months 1 to 12"),
    ("groups.csv", "@cool,start,base_c", "cool,start,base_c", 7, "must start with @"),
    ("groups.csv", "start,opt_c,20", "start,opt_c,20,5", 8, "has 8 cells"),
    ("sources.csv", "trial,", "trail,", 2, ""),
    ("sources.csv", ",Somebody's germination trial (invented)", ",", 2, "blank cell"),
]


@pytest.mark.parametrize(
    ("file", "old", "new", "line", "fragment"), BROKEN, ids=lambda v: str(v)[:24]
)
def test_a_broken_crop_table_is_refused(
    file: str, old: str, new: str, line: int, fragment: str, tmp_path: Path
) -> None:
    assert old in TABLE[file], "the case spoils nothing"
    key = file.replace(".", "_")
    text = TABLE[file].replace(old, new, 1)
    with pytest.raises(InvalidInputError) as caught:
        read_crop_table(shipped=write_table(tmp_path, **{key: text}))
    if file == "sources.csv" and fragment == "":
        # a key that is gone is told where it is used
        assert [Path(p.path).name for p in caught.value.problems] == ["seed.csv"] * 3
        return
    assert any(
        p.path == str(tmp_path / file) and p.line == line and fragment in str(p)
        for p in caught.value.problems
    ), str(caught.value)


def test_the_shipped_table_has_no_fault_and_no_figure_without_origin() -> None:
    table = read_crop_table(shipped=ROOT / "crops")
    assert len(table.crops) >= 60
    for crop in table.crops:
        assert crop.figures
        for figure in crop.figures:
            assert figure.source or figure.basis in ("common practice", "memory")


def test_the_digest_follows_every_file(tmp_path: Path) -> None:
    one = read_crop_table(shipped=write_table(tmp_path)).digest
    more = TABLE["groups.csv"] + "@new,start,base_c,1,memory,,\n"
    other = read_crop_table(shipped=write_table(tmp_path, groups_csv=more)).digest
    assert one != other
