"""The week on paper: valid HTML, all it needs in itself, nothing of it obeyed."""

import re
from datetime import date
from functools import cache
from html import unescape
from pathlib import Path
from tempfile import TemporaryDirectory

import html5lib
import pytest
from tui_season import TODAY, garden_plan, write_garden

from propsched.advice.job import DUTIES
from propsched.domain.container import TRAY_M2
from propsched.errors import PropschedError
from propsched.files.write import write_plan
from propsched.report.sheet import sheet
from propsched.service.opened import open_season
from propsched.service.week import Week, week_of
from propsched.tui.desk import Desk
from propsched.tui.views.season_axis import Axis
from propsched.tui.views.season_book import season_book
from propsched.tui.views.season_rows import cell_of, room_text

HOSTILE = '<script>alert(1)</script>" onload="x & \u202e<b>'


@cache
def week(name: str = "A garden (invented)") -> Week:
    with TemporaryDirectory() as where:
        folder = Path(where)
        write_garden(folder)
        text = (folder / "season.toml").read_text(encoding="utf-8")
        quoted = name.replace("\\", "\\\\").replace('"', '\\"')
        named = f'name = "{quoted}"'
        assert len(re.findall(r'(?m)^name = ".*"$', text)) == 1
        text = re.sub(r'(?m)^name = ".*"$', lambda _: named, text)
        (folder / "season.toml").write_text(text, encoding="utf-8")
        digests = open_season(folder, today=TODAY).files.digests
        write_plan(folder, garden_plan(season=name, inputs=dict(digests)))
        return week_of(folder, today=TODAY, winters=3)


def parsed(page: str) -> object:
    """Refuses what the HTML standard calls a parse error (WHATWG HTML, 13.2)."""
    return html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)


def words(page: str) -> str:
    return unescape(re.sub(r"<[^>]+>", " ", page))


def test_it_is_valid_html() -> None:
    root = parsed(sheet(week()))
    assert root.find("head/title").text.startswith("A garden (invented): ")
    assert [h.text for h in root.iter("h2")][:2] == [
        "To do",
        "Small duties, day by day",
    ]


def test_it_carries_all_it_needs() -> None:
    """No script, no picture, font or style from elsewhere."""
    page = sheet(week())
    assert not re.search(r"<(script|link|img|iframe|object|embed)\b", page)
    assert not re.search(r"\b(src|href|url|@import)\b\s*[=(\"']", page)
    assert "http" not in page


def test_every_job_has_a_box_and_every_day_of_a_duty() -> None:
    jobs = [j for j in week().jobs.rows if j.kind not in DUTIES]
    duties = [j for j in week().jobs.rows if j.kind in DUTIES]
    assert jobs
    assert duties
    days = sum(
        sum(j.date <= d <= (j.until or j.date) for d in week().days) for j in duties
    )
    assert sheet(week()).count('class="box"') == len(jobs) + days
    text = words(sheet(week()))
    for job in jobs:
        assert job.what.split(":")[0] in text


def test_every_space_has_its_warmth_and_room_to_write() -> None:
    text = words(sheet(week()))
    for one in week().spaces:
        assert f"{one.space.id}, {one.space.depth_cm:g}" in text
        assert len(one.days) == len(week().days)


def test_what_a_name_says_is_not_obeyed() -> None:
    page = sheet(week(HOSTILE))
    root = parsed(page)
    assert not list(root.iter("script"))
    assert not list(root.iter("b")) or all(b.text for b in root.iter("b"))
    assert "<script" not in page
    assert "\u202e" not in page
    assert "<script>alert(1)</script>" in root.find("head/title").text


def test_frost_is_told_of_every_night() -> None:
    assert [n.evening for n in week().nights] == list(week().days)
    for night in week().nights:
        assert night.low_c <= night.expected_c <= night.high_c
        assert 0.0 <= night.frost <= 1.0
        assert (night.frost == 1.0) <= (night.expected_c < 0.0)


def test_without_a_plan_there_is_no_sheet(tmp_path: Path) -> None:
    write_garden(tmp_path)
    with pytest.raises(PropschedError, match="propsched plan"):
        week_of(tmp_path, today=TODAY)


def test_a_season_that_is_over_has_no_week(tmp_path: Path) -> None:
    write_garden(tmp_path)
    write_plan(tmp_path, garden_plan())
    with pytest.raises(PropschedError, match="ended"):
        week_of(tmp_path, today=date(2030, 1, 1))


def test_room_is_told_without_what_other_things_take() -> None:
    """What is full is full, and area reserved for something else is no room."""
    for one in week().spaces:
        taken = sum(r.area_m2 for r in one.space.reserved if r.start <= TODAY <= r.end)
        used = sum(
            p.area_m2
            for p in garden_plan().placements
            if p.space == one.space.id and p.start <= TODAY < p.end
        )
        if one.trays_free is not None:
            left = max(0.0, one.space.area_m2 - taken - used)
            assert one.trays_free == pytest.approx(left / TRAY_M2)
    assert any(
        r.start <= TODAY <= r.end for one in week().spaces for r in one.space.reserved
    )


def test_a_bed_still_to_be_made_up_has_no_room(tmp_path: Path) -> None:
    """The sheet says what the app's season says: the day, and no room before it."""
    write_garden(tmp_path, daybook_csv=None)
    write_plan(tmp_path, garden_plan())
    for first, day in ((date(2027, 2, 12), date(2027, 2, 13)), (TODAY, None)):
        told = week_of(tmp_path, today=first, winters=3)
        bed = next(one for one in told.spaces if one.space.id == "hotbed")
        assert bed.make_up == day
        assert (bed.trays_free is None) == (day is not None)
        assert ("to be made up 13 Feb" in words(sheet(told))) == (day is not None)
        opened = open_season(tmp_path, today=first)
        book = season_book(Desk(folder=tmp_path, opened=opened))
        assert book is not None
        own = book.of("hotbed")
        assert own is not None
        days = Axis(first=first, step=1, columns=7)
        room = room_text(own, cell_of(book, own, days, 0), first)
        assert (room == "not made") == (day is not None)
