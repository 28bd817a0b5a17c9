"""The next nights on the walled garden, by what stands there."""

import shutil
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest

from propsched.errors import PropschedError
from propsched.service.tonight import tonight

ROOT = Path(__file__).resolve().parents[2]
TODAY = date(2027, 1, 12)
DAYBOOK = """\
time,batch,event,space,count,note
2026-09-12 10:30,pelargonium,struck,windowsill,36,
2026-10-03 09:40,pelargonium,rooted,windowsill,34,
2026-11-14 10:00,pelargonium,potted-up,glasshouse,30,
2026-11-07 10:15,gooseberry,struck,border,36,
2026-11-14 10:15,blackcurrant,struck,border,60,
2026-11-10 10:00,broad-bean,sown,border,60,
2026-12-05 10:00,broad-bean,emerged,border,50,
2026-12-12 10:00,broad-bean,hardening,border,50,
2026-11-14 11:00,rowan,sown,border,200,
"""


def weather(lowest_c: float) -> Iterator[str]:
    """Cool days as they are in December, then a week of frost foretold."""
    yield "date,tmin_c,tmax_c,kind"
    day = date(2026, 9, 1)
    while day < TODAY + timedelta(days=8):
        cold = day >= TODAY
        low, high = (lowest_c, lowest_c + 5) if cold else (2.5, 8.0)
        yield f"{day},{low},{high},{'forecast' if cold else 'observed'}"
        day += timedelta(days=1)


def garden(folder: Path, lowest_c: float) -> Path:
    plans = shutil.ignore_patterns("plan*.json")
    shutil.copytree(ROOT / "examples" / "walled-garden", folder, ignore=plans)
    (folder / "daybook.csv").write_text(DAYBOOK, encoding="utf-8")
    (folder / "weather.csv").write_text("\n".join(weather(lowest_c)) + "\n")
    return folder


def test_a_january_frost_is_told_for_the_tender_alone(tmp_path: Path) -> None:
    """
    Growers' answer, common practice: after a January fall of 8 K protect pelargonium;
    leave dormant hardwoods, hardened broad beans and seed that is being chilled.
    """
    answer = tonight(garden(tmp_path / "garden", -5.5), today=TODAY, nights=2)
    assert {row.batch for row in answer.rows} == {"pelargonium"}
    row = answer.rows[0]
    assert (row.space, row.harm, row.where) == ("glasshouse", "frost", "air")
    assert row.probability > 0.5
    assert any(h.gain_k is None and h.probability < 0.05 for h in row.helps)
    assert answer.standing == 5
    assert any("paraffin" in said for said in answer.cautions)
    assert any("no plan yet" in note for note in answer.notes)


def test_mild_nights_say_how_far_off_harm_is(tmp_path: Path) -> None:
    answer = tonight(
        garden(tmp_path / "garden", 4.0), today=TODAY, nights=1, winters=10
    )
    assert answer.rows == ()
    assert answer.nearest is not None
    assert answer.nearest.batch == "pelargonium"
    assert answer.nearest.margin_k > 3


def test_a_season_that_is_over_is_told(tmp_path: Path) -> None:
    with pytest.raises(PropschedError, match="ended on 2027-05-31"):
        tonight(garden(tmp_path / "garden", 4.0), today=date(2027, 7, 1))
