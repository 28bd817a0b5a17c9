"""A season looked back on, as table, page, CSV and JSON."""

import csv
import io
import json
from dataclasses import replace
from datetime import date
from pathlib import Path

import html5lib
import pytest
from click.testing import CliRunner
from lived import END, write_season
from rich.console import Console

from propsched.cli.main import cli
from propsched.errors import ExitCode
from propsched.report.lookback import (
    CAME_KEYS,
    crop_rows_csv,
    lookback_csv,
    lookback_json,
    lookback_report,
    off_text,
    usual_text,
)
from propsched.report.lookback_page import MOST, lookback_page
from propsched.service.looked_back import (
    Came,
    CropRow,
    Group,
    LookBack,
    Losses,
    Outcome,
    SpaceWarmth,
)

NASTY = '=<b onload="x">&\x1b[31m\u202e'


def came(name: str) -> Came:
    return Came(
        batch=name,
        crop="leek",
        method="seed",
        event="emerged",
        space=name,
        began=date(2027, 2, 3),
        came=date(2027, 2, 26),
        usual=date(2027, 2, 21),
        usual_low=date(2027, 2, 20),
        usual_high=date(2027, 2, 23),
        reckoned=date(2027, 2, 22),
        made=1.1,
    )


def looked(name: str) -> LookBack:
    return LookBack(
        season=name,
        start=date(2027, 1, 1),
        end=date(2027, 5, 31),
        today=date(2027, 5, 31),
        came=(came(name),),
        silent=(name,),
        losses=(
            Losses(
                batch=name,
                crop="leek",
                method="seed",
                stage="start",
                space=name,
                of=50,
                through=20,
                expected=45.0,
                counted=True,
            ),
        ),
        outcomes=(
            Outcome(
                batch=name,
                crop="leek",
                method="seed",
                wanted=40,
                wanted_by=date(2027, 5, 1),
                state="planted out",
                out=20,
                out_on=date(2027, 5, 20),
            ),
            Outcome(
                batch="second",
                crop="leek",
                method="seed",
                wanted=40,
                wanted_by=None,
                state="not begun",
                out=None,
                out_on=None,
            ),
        ),
        spaces=(
            SpaceWarmth(
                space=name,
                days=12,
                warmer_c=-1.5,
                warmer_error_c=0.3,
                typical_c=1.7,
                held=0.5,
            ),
        ),
        unread=(name,),
        by_crop=(
            Group(name="leek", method="seed", batches=1, held=0, error_d=4, worst_d=4),
        ),
        by_space=(
            Group(name=name, method="", batches=1, held=0, error_d=4, worst_d=4),
        ),
        crop_rows=(
            CropRow(
                crop="leek",
                method="seed",
                stage="start",
                figure="sum_c_d",
                value="200",
                basis="derived",
                source="own",
                note=name,
                was="180",
                batches=1,
            ),
        ),
    )


CAME = came("leeks")
FULL = looked(NASTY)
EMPTY = replace(
    FULL, came=(), silent=(), losses=(), outcomes=(), spaces=(), unread=(), by_crop=(),
    by_space=(), crop_rows=(),
)  # fmt: skip


def printed(back: LookBack, width: int = 80) -> str:
    out = io.StringIO()
    Console(file=out, width=width, color_system=None).print(lookback_report(back, "it"))
    return out.getvalue()


def test_days_are_worked_out_by_hand() -> None:
    """Came on the 26th; reckoned for the 22nd; usual the 21st, four in five 20–23."""
    assert (CAME.days, CAME.error_d, CAME.weather_d, CAME.held) == (23, 4, 1, False)
    assert usual_text(CAME) == "21 Feb (20–23 Feb)"
    day = CAME.usual
    assert usual_text(replace(CAME, usual_low=day, usual_high=day)) == "21 Feb"
    assert replace(CAME, came=date(2027, 2, 23)).held
    assert replace(CAME, usual_high=None).held  # some winters never have it
    assert not replace(CAME, came=date(2027, 2, 19)).held


@pytest.mark.parametrize(
    ("days", "told"),
    [(4, "+4 d"), (-2, "−2 d"), (0, "0 d"), (None, "–"), (1.5, "+1.5 d")],
)
def test_days_off_have_their_sign(days: float | None, told: str) -> None:
    assert off_text(days) == told


def test_it_tells_all_and_fits_eighty_columns() -> None:
    text = printed(looked("leeks"))
    assert max(len(line) for line in text.splitlines()) <= 80
    for words in (
        "20–23 Feb", "26 Feb !", "+4 d", "Not begun: second", "−1.5 ± 0.3 !",
        "out 19 days after it was wanted", "about 45 were reckoned",
        "1.5 °C colder than its entry", "propsched new DIR --from it", "--learnt",
    ):  # fmt: skip
        assert words in " ".join(text.split()), words


def test_with_nothing_noted_it_says_what_to_note() -> None:
    assert "propsched note SEASON sown leek 120" in " ".join(printed(EMPTY).split())


@pytest.mark.parametrize("back", [FULL, EMPTY])
def test_the_page_is_right_html_and_names_are_text_in_it(back: LookBack) -> None:
    """Parsed strictly, as the HTML standard has it."""
    page = lookback_page(back, "it")
    tree = html5lib.HTMLParser(strict=True).parse(page)
    names = [node.tag for node in tree.iter() if isinstance(node.tag, str)]
    assert not [name for name in names if name.endswith("script")]
    assert "<b onload" not in page
    assert "\x1b" not in page
    assert "http" not in page


def test_the_page_names_the_worst_and_counts_the_rest() -> None:
    many = tuple(
        replace(CAME, batch=f"batch {n}", came=date(2027, 2, 26 if n else 28))
        for n in range(MOST + 3)
    )
    page = lookback_page(replace(FULL, came=many), "it")
    assert page.index("batch 0") < page.index("batch 1")
    assert "and 3 more" in page


def test_csv_and_json_have_the_same_batches() -> None:
    (row,) = csv.DictReader(io.StringIO(lookback_csv(FULL)))
    assert tuple(row) == CAME_KEYS
    assert row["batch"].startswith("'=")  # no formula
    told = json.loads(lookback_json(FULL))
    assert told["came"][0]["error_d"] == int(row["error_d"]) == 4
    assert told["crop_rows"][0]["was"] == "180"
    (crop,) = csv.DictReader(io.StringIO(crop_rows_csv(FULL.crop_rows)))
    assert list(crop)[:5] == ["crop", "method", "stage", "figure", "value"]


def test_the_command_writes_its_page_where_asked(tmp_path: Path) -> None:
    folder = write_season(tmp_path / "season", winter=1)
    page = tmp_path / "out" / "back.html"
    words = ["lookback", str(folder), "--today", str(END), "--html", str(page)]
    run = CliRunner().invoke(cli, words)
    assert run.exit_code == ExitCode.DONE, run.output
    html5lib.HTMLParser(strict=True).parse(page.read_text(encoding="utf-8"))
    own = CliRunner().invoke(cli, [*words[:-1], str(folder / "batches.csv")])
    assert own.exit_code == ExitCode.BAD_INPUT
    assert "is the season's own" in own.output
