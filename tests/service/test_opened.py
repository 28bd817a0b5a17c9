"""A plan.json of another season is none of this one's, and days outside are told."""

import json
import re
import shutil
import threading
from datetime import date
from pathlib import Path

import pytest

from propsched.errors import PropschedError
from propsched.service import loaded
from propsched.service.jobs import jobs
from propsched.service.opened import open_season
from propsched.service.planner import make_plan
from propsched.service.replan import replan
from propsched.service.request import Request
from propsched.service.suppose import tray_places
from propsched.service.tonight import tonight

ROOT = Path(__file__).resolve().parents[2]
PLANNED = date(2027, 3, 1)


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("opened") / "five"
    plans = shutil.ignore_patterns("plan*.json")
    shutil.copytree(ROOT / "examples" / "windowsill-five", folder, ignore=plans)
    make_plan(request(folder), lambda event: None, threading.Event())
    return folder


@pytest.fixture
def season(planned: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(planned, tmp_path / "five"))


def request(folder: Path, year: int = 2027) -> Request:
    today = PLANNED.replace(year=year)
    return Request(
        folder=folder,
        today=today,
        time_limit_s=5.0,
        winters=5,
        gap=0.01,
        save=year == 2027,
    )


def a_year_on(folder: Path) -> Path:
    """The folder copied for the next winter, its dates moved and plan.json left in."""
    for name in ("season.toml", "batches.csv"):
        text = (folder / name).read_text(encoding="utf-8")
        moved = re.sub(r"\b2027-", "2028-", text)
        (folder / name).write_text(moved, encoding="utf-8")
    weather = "date,tmin_c,tmax_c\n2028-03-01,2.0,9.0\n"
    (folder / "weather.csv").write_text(weather, encoding="utf-8")
    return folder


def renamed(folder: Path, name: str) -> Path:
    path = folder / "season.toml"
    text = path.read_text(encoding="utf-8")
    new = text.replace("Windowsill five (invented)", name)
    assert new != text
    path.write_text(new, encoding="utf-8")
    return folder


def test_jobs_of_last_winter_are_not_asked_for(season: Path) -> None:
    a_year_on(season)
    with pytest.raises(PropschedError) as caught:
        jobs(season, today=date(2028, 3, 1))
    said = str(caught.value)
    assert "is of another season (Windowsill five (invented), 2027-03-01 to" in said
    assert said.endswith(f"– plan this one with: propsched plan {season}")
    opened = open_season(season, today=date(2028, 3, 1))
    assert opened.plan is None
    assert opened.stray == said
    assert opened.changed == ()


def test_whatever_keeps_near_a_plan_forgets_it_and_says_so(season: Path) -> None:
    a_year_on(season)
    cancel = threading.Event()
    again = replan(request(season, 2028), lambda event: None, cancel)
    assert again.before is None
    assert any("is of another season" in note for note in again.notes)
    places = tray_places(request(season, 2028), lambda event: None, cancel)
    assert not places.near
    assert any("is of another season" in note for note in places.notes)
    night = tonight(season, today=date(2028, 3, 1), nights=1, winters=5)
    assert any(
        "is of another season" in note and "only what daybook.csv has" in note
        for note in night.notes
    )


def test_a_season_that_got_another_name_keeps_its_plan(season: Path) -> None:
    renamed(season, "Kitchen window")
    assert open_season(season, today=PLANNED).stray == ""
    path = season / "batches.csv"
    head, *rows = path.read_text(encoding="utf-8").splitlines()
    kept = [row.replace("leek,", "sow-1,", 1) for row in rows if row.startswith("leek")]
    path.write_text("\n".join([head, *kept]) + "\n", encoding="utf-8")
    assert "is of another season" in open_season(season, today=PLANNED).stray


def test_a_plan_without_placements_is_judged_by_its_day(season: Path) -> None:
    path = season / "plan.json"
    document = json.loads(path.read_text(encoding="utf-8"))
    document["placements"] = []
    path.write_text(json.dumps(document), encoding="utf-8")
    assert open_season(season, today=PLANNED).stray == ""
    document["today"] = "2026-02-01"
    path.write_text(json.dumps(document), encoding="utf-8")
    assert open_season(season, today=PLANNED).stray


@pytest.mark.parametrize(
    ("today", "said"),
    [
        (date(2027, 2, 1), "the season begins on 2027-03-01"),
        (date(2027, 6, 1), "the season ended on 2027-05-23 – begin the next one with"),
    ],
)
def test_jobs_outside_the_season_say_when_it_is(
    season: Path, today: date, said: str
) -> None:
    assert any(note.startswith(said) for note in jobs(season, today=today).notes)
    assert not any(said in note for note in jobs(season, today=PLANNED).notes)


def test_the_clock_outside_the_season_is_told_beside_the_day_that_is_shown(
    season: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Late(loaded.datetime):
        @classmethod
        def now(cls, tz: object = None) -> "Late":
            return cls(2029, 7, 1, 12, tzinfo=loaded.UTC)

    monkeypatch.setattr(loaded, "datetime", Late)
    opened = open_season(season)
    assert opened.today == date(2027, 5, 23)
    assert opened.outside == (
        "the season ended on 2027-05-23 – begin the next one with: propsched new; "
        "shown is 2027-05-23"
    )
