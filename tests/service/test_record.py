"""Everything that happens, from the command to where it stands and what is asked."""

from datetime import date, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner
from folders import SEASON, write_folder

from propsched.advice.state import BatchState, standing
from propsched.cli.main import cli
from propsched.domain.batch import EVENTS
from propsched.service.opened import open_season

BATCHES = """\
batch,crop,method,wanted,sown,available_from
tomato,tomato,seed,20,30,
geranium,pelargonium,tip,20,24,
rhubarb,rhubarb,division,6,8,
dahlia,dahlia,tuber,5,6,
rowan,rowan,seed,30,200,
"""
FIRST = date(2027, 2, 6)
TODAY = date(2027, 4, 24)


WAY: tuple[tuple[str, str, str], ...] = (
    # words of the command, then stage and space of the batch by the files
    ("sown tomato 30 bench", "start", "bench"),
    ("emerged tomato 27", "seedling", "bench"),
    ("pricked-out tomato 25 house", "prick-out", "house"),
    ("lost tomato 2", "prick-out", "house"),
    ("moved tomato bench", "prick-out", "bench"),
    ("hardening tomato border", "harden", "border"),
    ("planted-out tomato 20", "harden", "border"),
    ("struck geranium 24 bench", "start", "bench"),
    ("rooted geranium", "pot-up", "bench"),
    ("potted-up geranium 20 house", "pot-up", "house"),
    ("potted-on geranium border", "pot-up", "border"),
    ("divided rhubarb 8 house", "start", "house"),
    ("started dahlia 6 house", "start", "house"),
    ("established dahlia 5 bench", "grow", "bench"),
    ("sown rowan 200 border", "chill", "border"),
    ("started rowan bench", "start", "bench"),
)
COUNTS = {"tomato": 3, "geranium": 20, "rhubarb": 8, "rowan": 200, "dahlia": 5}
OF_SPACES = ("bed-made-up hotbed", "heat-on bench", "heat-off bench",
             "cover-on border", "cover-off border")  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    heat = "set_c = 18, w_per_m2 = 150, from = 2026-12-01, to = 2027-03-31"
    text = SEASON.replace(heat, 'set_c = 18, w_per_m2 = 150, when = "by-week"')
    text = text.replace("area_m2 = 4.0", 'area_m2 = 4.0\ncovers = ["fleece"]')
    assert "by-week" in text
    return write_folder(
        tmp_path_factory.mktemp("record") / "season",
        season_toml=text,
        batches_csv=BATCHES,
        daybook_csv="time,batch,event,space,count,note\n",
        pins_csv=None,
    )


def note(folder: Path, words: str, on: date) -> str:
    said = ["note", str(folder), *words.split()]
    result = CliRunner().invoke(cli, [*said, "--date", str(on), "--today", str(TODAY)])
    assert result.exit_code == 0, result.output
    return result.output


def test_each_event_leaves_its_batch_where_it_says(folder: Path) -> None:
    """Noted weeks later; every day in between is told as it was then."""
    days = [FIRST + timedelta(days=3 * number) for number in range(len(WAY))]
    for on, (words, _, _) in zip(days, WAY, strict=True):
        assert f"Noted: {words.split()[1]}" in note(folder, words, on)
    now = open_season(folder, today=TODAY, need=frozenset())

    def stood(on: date) -> dict[str, BatchState]:
        return standing(
            now.files.daybook, now.season, now.crops, today=on, sown=now.sown
        )

    for on, (words, stage, space) in zip(days, WAY, strict=True):
        state = stood(on)[words.split()[1]]
        assert (state.stage, state.space) == (stage, space), words
        assert state.standing
    assert {name: now.states[name].count for name in COUNTS} == COUNTS
    assert "rowan" not in stood(days[-3])


def test_each_event_of_a_space_holds_from_its_day_on(folder: Path) -> None:
    found = []
    for number, words in enumerate(OF_SPACES):
        on = FIRST + timedelta(days=number)
        assert note(folder, words, on).startswith("Noted: ")
        now = open_season(folder, today=on, need=frozenset())
        covered = now.covered.get("border", (None, None))[0]
        found.append((now.beds.get("hotbed"), now.heated.get("bench"), covered))
    assert found == [
        (FIRST, None, None),
        (FIRST, True, None),
        (FIRST, False, None),
        (FIRST, False, True),
        (FIRST, False, False),
    ]


def test_no_event_is_left_out() -> None:
    words = [*(words for words, _, _ in WAY), *OF_SPACES]
    assert {one.split()[0] for one in words} == set(EVENTS)
