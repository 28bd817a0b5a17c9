"""The crop table searched and shown, its figures counted, own trials fitted."""

from pathlib import Path

import pytest

from propsched.biology.response import rate_per_day
from propsched.domain.crop import BASES
from propsched.errors import PropschedError, UnknownNameError
from propsched.files.crop_table import read_crop_table, shipped_table
from propsched.service.crop_fit import fit_file
from propsched.service.crops import alike, bases, crops
from propsched.service.overridden import overridden

LEEK_BASE = next(
    f.value
    for f in shipped_table().get("leek", "seed").figures
    if (f.stage, f.name) == ("start", "base_c")
)
OWN = """\
crop,method,stage,figure,value
leek,seed,start,base_c,3
red leek,seed,,like,leek
red leek,seed,start,base_c,2.5
"""


@pytest.fixture
def season(tmp_path: Path) -> Path:
    (tmp_path / "crops.csv").write_text(OWN, encoding="utf-8")
    return tmp_path


def test_no_words_list_the_whole_table() -> None:
    found = crops()
    assert [(row.crop, row.method) for row in found.rows] == [
        crop.key for crop in shipped_table().crops
    ]
    assert found.shown is None


def test_a_word_finds_every_name_that_holds_it() -> None:
    names = {row.crop for row in crops(["bean"]).rows}
    assert {"broad bean", "french bean", "runner bean", "lima bean"} <= names
    assert {row.crop for row in crops(["currants"]).rows} >= {
        "blackcurrant", "red currant", "flowering currant",
    }  # fmt: skip


def test_several_rows_of_one_crop_ask_for_the_method() -> None:
    found = crops(["dahlias"])
    assert {row.crop for row in found.rows} == {"dahlia"}
    assert found.shown is None
    assert "--method" in found.notes[0]
    assert crops(["dahlias"], method="basal").shown is not None


def test_one_row_is_shown_whole_with_bases_and_sources() -> None:
    """Every figure of the row, in the order of its stages, each source cited."""
    shown = crops(["Leeks"]).shown
    row = shipped_table().get("leek", "seed")
    assert shown is not None
    told = [(f.stage, f.figure, f.value) for f in shown.figures]
    names = ("latin", "also")
    assert told == [
        (f.stage, f.name, f.value) for f in row.figures if f.name not in names
    ]
    assert all(f.basis in BASES for f in shown.figures)
    assert {f.source for f in shown.figures if f.source} == set(shown.sources)
    order = list(dict.fromkeys(f.stage for f in shown.figures))
    assert order == ["", *(needs.stage for needs in row.stages)]
    assert any(f.group == "@hardy" for f in shown.figures)
    assert not any(f.overridden for f in shown.figures)


def test_curves_are_those_of_the_model() -> None:
    shown = crops(["tomato"]).shown
    needs = shipped_table().get("tomato", "seed").stages[0]
    assert shown is not None
    curve = shown.curves[0]
    at = curve.temps_c.index(18.0)
    assert curve.rate_per_day[at] == pytest.approx(rate_per_day(18.0, needs))
    assert curve.fraction[curve.temps_c.index(10.0)] == pytest.approx(
        dict(needs.fraction)[10.0]
    )


def test_a_season_overrides_and_it_is_marked(season: Path) -> None:
    shown = crops(["leek"], folder=season)
    leek = next(row for row in shown.rows if row.crop == "leek")
    assert leek.own == 1
    assert shown.shown is not None
    mine = [f for f in shown.shown.figures if f.overridden]
    assert [(f.figure, f.value, f.shipped) for f in mine] == [
        ("base_c", "3", LEEK_BASE)
    ]
    whole = crops(["red leek"], folder=season).shown
    assert whole is not None
    assert [f.figure for f in whole.figures if f.overridden] == ["like", "base_c"]


def test_what_is_overridden_is_told_shipped_to_own(season: Path) -> None:
    found = overridden(read_crop_table(season / "crops.csv"), shipped_table())
    assert [one.told() for one in found] == [
        f"leek by seed, start base_c: {LEEK_BASE} → 3",
        "red leek by seed: a row of the season's own",
    ]


@pytest.mark.parametrize(
    ("words", "method", "said"),
    [
        (["tomatoe"], None, "did you mean tomato"),
        (["xyzzy"], None, r'no crop "xyzzy"$'),
        (["leek"], "hardwood", "by method"),
    ],
)
def test_what_is_not_there_is_said(
    words: list[str], method: str | None, said: str
) -> None:
    with pytest.raises(UnknownNameError, match=said):
        crops(words, method=method)


def test_bases_count_every_figure_once_for_each_row() -> None:
    rows = {row.method: row for row in bases().rows}
    table = shipped_table()
    assert rows["all"].rows == len(table.crops)
    for row in rows.values():
        parts = row.published, row.derived, row.common_practice, row.memory
        assert sum(parts) == row.figures
    methods = [row for name, row in rows.items() if name not in ("all", "each once")]
    assert sum(row.figures for row in methods) == rows["all"].figures
    assert rows["each once"].figures < rows["all"].figures


def test_rows_that_are_alike_are_listed_and_others_not() -> None:
    """A row is like itself and unlike any other crop's."""
    table = shipped_table()
    leek, lettuce = table.get("leek", "seed"), table.get("lettuce", "seed")
    assert list(alike([leek, lettuce])) == []
    assert list(alike([leek, leek, lettuce])) == [("leek (seed)", "leek (seed)")]


TRIAL = """\
temp_c,day,sown,new
8,10,50,0
8,20,,4
8,25,,18
8,30,,15
8,40,,6
12,8,50,1
12,11,,12
12,14,,22
12,18,,9
12,25,,1
18,4,50,0
18,6,,9
18,8,,24
18,10,,11
18,14,,3
"""


def test_fitted_rows_can_be_pasted_and_give_back_the_trial(tmp_path: Path) -> None:
    path = tmp_path / "trial.csv"
    path.write_text(TRIAL, encoding="utf-8")
    found = fit_file(path, crop="Leeks")
    keys = ("crop", "method", "stage", "figure", "value", "basis", "source", "note")
    rows = [",".join(getattr(row, key) for key in keys) for row in found.paste]
    own = tmp_path / "crops.csv"
    own.write_text("\n".join([",".join(keys), *rows]) + "\n", encoding="utf-8")

    needs = read_crop_table(own).get("leek", "seed").stages[0]
    assert found.crop == "leek"
    for one in found.temperatures:
        days = 1 / rate_per_day(one.temp_c, needs) / needs.tray_factor
        assert one.t50_d is not None
        assert one.t50_error is not None
        assert abs(days - one.t50_d) < 2 * one.t50_error + 0.3


@pytest.mark.parametrize("crop", ["tomato", "lettuce", "leek", "blackcurrant"])
def test_a_trial_warmer_than_the_table_thinks_best_still_fits_in(
    crop: str, tmp_path: Path
) -> None:
    """The optimum moves up with the warmest dish used."""
    path = tmp_path / "trial.csv"
    path.write_text(
        TRIAL.replace("\n18,", "\n34,")
        .replace("\n12,", "\n24,")
        .replace("\n8,", "\n16,"),
        encoding="utf-8",
    )
    method = shipped_table().find(crop)[0].method
    found = fit_file(path, crop=crop, method=method)
    keys = ("crop", "method", "stage", "figure", "value", "basis", "source", "note")
    rows = [",".join(getattr(row, key) for key in keys) for row in found.paste]
    own = tmp_path / "crops.csv"
    own.write_text("\n".join([",".join(keys), *rows]) + "\n", encoding="utf-8")
    start = next(
        n for n in read_crop_table(own).get(crop, method).stages if n.stage == "start"
    )
    assert start.opt_c >= 34


def test_one_temperature_is_refused_with_what_can_be_done(tmp_path: Path) -> None:
    path = tmp_path / "my_leeks.csv"
    rows = [line for line in TRIAL.splitlines() if line[:2] in ("te", "12")]
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    with pytest.raises(PropschedError, match="give --base, or --t50"):
        fit_file(path)
    based = fit_file(path, base_c=4.0)
    assert based.rows[0].error is None
    assert "not in the crop table" in based.notes[0]
    alone = fit_file(path, t50_only=True)
    assert alone.paste == ()
    assert alone.temperatures[0].t50_d == pytest.approx(12.1, abs=0.5)
