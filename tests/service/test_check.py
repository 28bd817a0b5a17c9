"""What ``check`` remarks on in a season without a fault."""

from datetime import date
from pathlib import Path

from folders import write_folder

from propsched.service.check import check

DAYBOOK = """\
time,batch,event,space,count,note
2027-02-11 09:00,leeks,sown,house,120,
2027-02-20 09:00,leeks,lost,,130,
2027-03-20 09:00,leeks,emerged,,,
"""


def notes(folder: Path, today: date, **texts: str) -> str:
    return "\n".join(
        check(write_folder(folder, pins_csv=None, **texts), today=today).notes
    )


def test_the_end_of_the_weather_is_told_by_its_own_date(tmp_path: Path) -> None:
    found = notes(tmp_path, date(2026, 11, 13))
    assert "the weather ends on 2026-11-03, 10 days before today;" in found


def test_odd_rows_of_the_daybook_are_told(tmp_path: Path) -> None:
    found = notes(tmp_path, date(2027, 3, 1), daybook_csv=DAYBOOK)
    assert "130 are more than the 120 that were there" in found
    assert "leeks emerged on 2027-03-20: what is to come does not count yet" in found


def test_columns_without_effect_are_told(tmp_path: Path) -> None:
    assert "not used yet: seed_year (leeks)" in notes(tmp_path, date(2026, 11, 13))
