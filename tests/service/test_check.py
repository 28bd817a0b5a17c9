"""What ``check`` remarks on in a season without a fault."""

from datetime import date
from pathlib import Path

from folders import BATCHES, SEASON, write_folder

from propsched.files.crop_table import shipped_table
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


def test_what_is_made_of_old_seed_is_told(tmp_path: Path) -> None:
    """Leek seed keeps two years (Knott's Handbook, 1997)."""
    found = notes(tmp_path, date(2026, 11, 13))
    told = next(line for line in found.splitlines() if "seed of" in line)
    assert "(keeps about 2 years, published)" in told
    assert "to sow" in told


OPEN = (
    SEASON.replace("w_per_m2 = 150", 'w_per_m2 = 150, when = "by-week"')
    .replace("area_m2 = 4.0", 'area_m2 = 4.0\ncovers = ["fleece", "mat"]')
    .replace(
        "make_up = 2027-02-01", "make_up_from = 2027-01-30\nmake_up_to = 2027-02-28"
    )
    .replace("[[probe]]", "[heat]\nmanure_m3 = 0.5\n\n[[probe]]")
)


def test_what_is_left_to_the_plan_is_told(tmp_path: Path) -> None:
    """Ten Saturdays and Sundays lie between; eight are enough to choose among."""
    folder = write_folder(tmp_path, season_toml=OPEN, pins_csv=None, daybook_csv=None)
    answer = check(folder, today=date(2026, 11, 13))
    lines = "\n".join(answer.lines)
    assert "border: the plan says over what fleece or mat is laid" in lines
    assert "bench: the plan says in which weeks its heat is on" in lines
    assert (
        "hotbed: the plan makes it up on one of 8 days from 2027-01-30 to 2027-02-28"
        in lines
    )
    assert "may be raised in two halves: leeks" in lines
    notes = "\n".join(answer.notes)
    assert "without price_per_kwh costs nothing" in notes
    assert "hotbed would take 900 l of manure, and 500 l are left" in notes


def test_a_bed_made_up_by_the_daybook_is_left_to_nobody(tmp_path: Path) -> None:
    folder = write_folder(tmp_path, season_toml=OPEN, pins_csv=None)
    answer = check(folder, today=date(2027, 2, 10))
    assert "hotbed: the plan" not in "\n".join(answer.lines)
    assert "take 0.90 m³ of manure, more than manure_m3 has, 0.5" in "\n".join(
        answer.notes
    )


def test_sowings_of_a_repeat_are_not_split(tmp_path: Path) -> None:
    batches = BATCHES.replace("every 14 days × 4,,,,", "every 14 days × 4,,,yes,")
    assert "not split: salad" in notes(
        tmp_path, date(2026, 11, 13), batches_csv=batches
    )


def test_what_the_season_overrides_is_told(tmp_path: Path) -> None:
    """Row by row and figure by figure, shipped value first."""
    folder = write_folder(tmp_path, pins_csv=None)
    rows = "leek,seed,start,base_c,3\nred leek,seed,,like,leek\n"
    (folder / "crops.csv").write_text(
        "crop,method,stage,figure,value\n" + rows, encoding="utf-8"
    )
    lines = check(folder, today=date(2026, 11, 13)).lines
    leek = shipped_table().get("leek", "seed").stages[0]
    assert [line for line in lines if "crops.csv" in line] == [
        "crops.csv: 1 row of the season's own, 1 figure of the crop table overridden",
        f"crops.csv: leek by seed, start base_c: {leek.base_c:g} → 3",
        "crops.csv: red leek by seed: a row of the season's own",
    ]
