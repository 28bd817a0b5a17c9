"""Unusual but right input is read right: spreadsheets' habits, bare folders, words."""

import subprocess
import sys
import time
from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path

import pandas as pd
import pytest
from folders import BATCHES, GOOD, WEATHER, write_folder

from propsched.domain.batch import Repeat
from propsched.domain.container import Container
from propsched.errors import InvalidInputError
from propsched.files.contents import SeasonFiles
from propsched.files.read import read_season


def test_the_good_season_is_read_in_every_part(tmp_path: Path) -> None:
    files = read_season(write_folder(tmp_path))
    season = files.season
    assert (season.start, season.end) == (date(2026, 11, 1), date(2027, 5, 31))
    assert season.is_away(date(2026, 12, 25))
    bench = season.spaces[2]
    assert bench.heat is not None
    assert (bench.heat.start, bench.heat.end) == (date(2026, 12, 1), date(2027, 3, 31))
    assert season.spaces[1].reserved[0].end == date(2027, 4, 1)
    currants, leeks, salad = files.batches
    assert currants.container == Container(name="row", in_row_cm=15, rows_cm=30)
    assert leeks.split
    assert leeks.germination_pct == 85.0
    assert salad.container == Container(name="module-tray", holds=40)
    assert salad.repeat == Repeat(every_days=14, times=4)
    assert list(files.weather["tmin_c"]) == [4.0, -0.5, 1.0]
    assert list(files.weather["kind"]) == ["observed", "observed", "forecast"]
    assert pd.isna(files.weather["solar_mj_m2"].iloc[1])
    assert len(files.history) == 4
    assert [event.batch for event in files.daybook][:2] == ["currants", ""]
    assert files.daybook[1].time == datetime(2027, 2, 1)
    assert files.pins[1].start == date(2027, 2, 20)
    leek = files.crops.get("leek", "seed")
    assert leek.stages[0].base_c == 2.0
    assert len(files.digests["season.toml"]) == 64
    assert files.notes == ()


def test_what_is_left_to_the_plan_is_read(tmp_path: Path) -> None:
    """Heat by the week, days of making up as a list or a range, covers to lay."""
    text = GOOD["season.toml"].replace(
        "w_per_m2 = 150", 'w_per_m2 = 150, when = "by-week"'
    )
    text = text.replace("area_m2 = 4.0", 'area_m2 = 4.0\ncovers = ["fleece", "mat"]')
    listed = text.replace("make_up = 2027-02-01", "make_up = [2027-02-01, 2027-02-13]")
    border, _, bench, bed, _ = read_season(
        write_folder(tmp_path / "list", season_toml=listed)
    ).season.spaces
    assert border.covers == ("fleece", "mat")
    assert bench.by_week
    assert bed.make_up_open
    assert bed.make_up is None
    assert bed.make_up_days == (date(2027, 2, 1), date(2027, 2, 13))
    ranged = text.replace(
        "make_up = 2027-02-01", "make_up_from = 2027-01-30\nmake_up_to = 2027-03-14"
    )
    bed = read_season(
        write_folder(tmp_path / "range", season_toml=ranged)
    ).season.spaces[3]
    assert bed.make_up_open
    assert (bed.make_up_from, bed.make_up_to) == (date(2027, 1, 30), date(2027, 3, 14))
    assert bed.manure_l == 900  # 1.5 m² × 60 cm


def test_column_types_are_as_promised(tmp_path: Path) -> None:
    """Empty tables have the same columns and types as full ones."""
    full = read_season(write_folder(tmp_path / "full"))
    bare = read_season(
        write_folder(tmp_path / "bare", history_csv=None, readings_csv=None)
    )
    assert full.history.dtypes.equals(bare.history.dtypes)
    assert full.readings.dtypes.equals(bare.readings.dtypes)
    assert full.weather["date"].dtype.kind == "M"
    assert full.readings["time"].dt.tz is None
    assert bare.history.empty


def same(one: SeasonFiles, other: SeasonFiles) -> None:
    assert one.batches == other.batches
    assert one.weather.equals(other.weather)
    assert one.history.equals(other.history)
    assert one.readings.equals(other.readings)
    assert one.daybook == other.daybook
    assert one.pins == other.pins
    assert one.season == other.season
    assert one.crops.crops == other.crops.crops


def _semicolons(text: str) -> str:
    """As a spreadsheet saves where the comma is the decimal sign."""
    rows = [line.split(",") for line in text.splitlines()]
    return "".join(
        ";".join(cell.replace(".", ",") for cell in row) + "\n" for row in rows
    )


def _quoted(text: str) -> str:
    rows = [line.split(",") for line in text.splitlines()]
    return "".join(",".join(f'"{cell}"' for cell in row) + "\n" for row in rows)


def _padded(text: str) -> str:
    """Two blank columns at the right, three blank rows at the end."""
    rows = text.splitlines()
    width = rows[0].count(",") + 2
    return "".join(row + ",,\n" for row in rows) + ("," * width + "\n") * 3


HABITS: dict[str, Callable[[str], bytes]] = {
    "semicolons and decimal commas": lambda t: _semicolons(t).encode(),
    "tabs": lambda t: t.replace(",", "\t").encode(),
    "tabs and decimal commas": lambda t: _semicolons(t).replace(";", "\t").encode(),
    "every cell quoted": lambda t: _quoted(t).encode(),
    "trailing blank cells and rows": lambda t: _padded(t).encode(),
    "byte order mark": lambda t: b"\xef\xbb\xbf" + t.encode(),
    "CRLF": lambda t: t.replace("\n", "\r\n").encode(),
    "CR alone": lambda t: t.replace("\n", "\r").encode(),
    "byte order mark, CRLF, semicolons": lambda t: (
        b"\xef\xbb\xbf" + _semicolons(t).replace("\n", "\r\n").encode()
    ),
    "line naming the separator": lambda t: b"sep=;\n" + _semicolons(t).encode(),
    "remarks before the header": lambda t: b"# invented, not measured\n" + t.encode(),
    "remarks after it": lambda t: t.replace("\n", '\n# "a, remark\n').encode(),
    "no newline at the end": lambda t: t.rstrip("\n").encode(),
    "blank lines between": lambda t: t.replace("\n", "\n\n").encode(),
    "spaces around cells": lambda t: t.replace(",", " , ").encode(),
    "header in capitals": lambda t: b"\n".join(
        (t.encode().partition(b"\n")[0].upper(), t.encode().partition(b"\n")[2])
    ),
}


@pytest.mark.parametrize("habit", HABITS)
def test_a_spreadsheets_habits_are_read_right(habit: str, tmp_path: Path) -> None:
    tables = {
        name.replace(".", "_"): HABITS[habit](text)
        for name, text in GOOD.items()
        if name.endswith(".csv")
    }
    plain = read_season(write_folder(tmp_path / "plain"))
    same(read_season(write_folder(tmp_path / "habit", **tables)), plain)


@pytest.mark.parametrize(
    "habit", ["byte order mark", "CRLF", "no newline at the end", "blank lines between"]
)
def test_editors_habits_in_season_toml_are_read_right(
    habit: str, tmp_path: Path
) -> None:
    spoiled = HABITS[habit](GOOD["season.toml"])
    same(
        read_season(write_folder(tmp_path / "habit", season_toml=spoiled)),
        read_season(write_folder(tmp_path / "plain")),
    )


def test_decimal_commas_are_noted(tmp_path: Path) -> None:
    files = read_season(write_folder(tmp_path, weather_csv=_semicolons(WEATHER)))
    assert files.notes == ("weather.csv: read with decimal commas",)


def test_a_three_digit_fraction_with_a_comma_is_no_thousand_in_weather(
    tmp_path: Path,
) -> None:
    """No temperature is in the thousands, so 4,125 can only be a fraction."""
    text = "date;tmin_c;tmax_c\n2026-11-01;4,125;11,5\n"
    files = read_season(write_folder(tmp_path, weather_csv=text))
    assert files.weather["tmin_c"].iloc[0] == 4.125


def test_quoted_decimal_commas_and_true_minus_signs_are_read(tmp_path: Path) -> None:
    text = 'date,tmin_c,tmax_c\n2026-11-01,−2.5,"11,5"\n'
    files = read_season(write_folder(tmp_path, weather_csv=text))
    assert (files.weather["tmin_c"].iloc[0], files.weather["tmax_c"].iloc[0]) == (
        -2.5,
        11.5,
    )


def test_days_out_of_order_are_put_in_order(tmp_path: Path) -> None:
    head, *rows = WEATHER.splitlines(keepends=True)
    files = read_season(write_folder(tmp_path, weather_csv=head + "".join(rows[::-1])))
    assert files.weather["date"].is_monotonic_increasing


def test_a_reading_with_an_offset_is_turned_into_the_sites_time(tmp_path: Path) -> None:
    """Dublin keeps UTC+1 in summer (IANA time zone database)."""
    text = "time,space,temp_c\n2027-05-02T08:30Z,pond,9.0\n"
    files = read_season(write_folder(tmp_path, readings_csv=text))
    assert files.readings["time"].iloc[0] == pd.Timestamp("2027-05-02 09:30")
    assert pd.isna(files.readings["depth_cm"].iloc[0])


def test_crops_are_known_by_other_names(tmp_path: Path) -> None:
    text = BATCHES.replace("leek,,", "Winter Leeks,,").replace(
        "blackcurrant,,", "ribes nigrum,,"
    )
    files = read_season(write_folder(tmp_path, batches_csv=text))
    assert [batch.crop for batch in files.batches[:2]] == ["blackcurrant", "leek"]


def test_a_quoted_note_may_hold_commas_newlines_and_quotes(tmp_path: Path) -> None:
    text = BATCHES.replace("85,yes,\n", '85,yes,"late, but\n""good"""\n')
    files = read_season(write_folder(tmp_path, batches_csv=text))
    assert files.batches[1].note == 'late, but\n"good"'
    broken = text.replace("2027-03-20", "2027-03-32")
    with pytest.raises(Exception, match=r"batches\.csv:5: "):
        read_season(write_folder(tmp_path, batches_csv=broken))


def test_rows_may_stop_early_where_a_comma_cannot_shift_them(tmp_path: Path) -> None:
    text = "batch,crop,method,wanted,variety,note\nleeks,leek,seed,200\n"
    write_folder(tmp_path, batches_csv=text, pins_csv=None, daybook_csv=None)
    assert read_season(tmp_path).batches[0].wanted == 200


def test_only_what_is_needed_must_be_there(tmp_path: Path) -> None:
    """A daybook that names batches is no fault where the list is not there."""
    write_folder(tmp_path, batches_csv=None, weather_csv=None)
    files = read_season(tmp_path, need=frozenset({"season"}))
    assert files.batches == ()
    assert files.weather.empty
    assert len(files.daybook) == 4


def test_an_empty_batch_list_is_no_fault_where_it_is_not_needed(tmp_path: Path) -> None:
    write_folder(tmp_path, batches_csv="", pins_csv=None, daybook_csv=None)
    need = frozenset({"season", "weather"})
    assert read_season(tmp_path, need=need).batches == ()


def test_a_batch_list_of_only_a_header_is_an_empty_season(tmp_path: Path) -> None:
    header = BATCHES.splitlines()[0] + "\n"
    write_folder(tmp_path, batches_csv=header, pins_csv=None, daybook_csv=None)
    assert read_season(tmp_path).batches == ()


def test_reading_is_quick(tmp_path: Path) -> None:
    """45 batches and 9,000 days of history in 0.4 s; the best of three counts."""
    head = BATCHES.splitlines()[0]
    row = "leek,,seed,200,,,2027-02-10,2027-03-31,2027-05-01,2027-05-31,4,,2026,85,,"
    batches = "\n".join([head, *(f"leeks{i},{row}" for i in range(45))]) + "\n"
    first = date(2001, 1, 1)
    days = (first + timedelta(days=i) for i in range(9000))
    head = "date,tmin_c,tmax_c,solar_mj_m2,wind_m_s,rain_mm,snow_cm\n"
    history = head + "".join(f"{day},1.5,9.25,4.5,3.1,0.2,\n" for day in days)
    write_folder(
        tmp_path,
        batches_csv=batches,
        history_csv=history,
        pins_csv=None,
        daybook_csv=None,
    )
    took = []
    for _ in range(3):
        began = time.perf_counter()
        files = read_season(tmp_path)
        took.append(time.perf_counter() - began)
    assert len(files.history) == 9000
    assert min(took) < 0.4


def test_reading_loads_no_solver_screen_or_plots() -> None:
    """Nor the parser that only faults in season.toml need."""
    heavy = ("ortools", "textual", "matplotlib", "tree_sitter")
    code = (
        "import propsched.files.read, propsched.files.write, propsched.files.template\n"
        f"import sys; print(*[m for m in {heavy} if m in sys.modules])"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], text=True, capture_output=True, check=True
    )
    assert ran.stdout.strip() == ""


def test_one_span_away_needs_no_list(tmp_path: Path) -> None:
    span = "{ from = 2026-12-22, to = 2027-01-02 }"
    text = GOOD["season.toml"].replace(f"[{span}]", span)
    assert text != GOOD["season.toml"]
    same(
        read_season(write_folder(tmp_path / "one", season_toml=text)),
        read_season(write_folder(tmp_path / "list")),
    )


def test_days_in_quotes_are_days(tmp_path: Path) -> None:
    text = GOOD["season.toml"].replace("start = 2026-11-01", 'start = "2026-11-01"')
    files = read_season(write_folder(tmp_path, season_toml=text))
    assert files.season.start == date(2026, 11, 1)


def test_a_half_that_the_daybook_names_is_a_batch_of_its_own(tmp_path: Path) -> None:
    """``leeks`` may be split, so its halves may be named; ``currants`` may not."""
    daybook = GOOD["daybook.csv"] + "2027-02-12,leeks (1 of 2),sown,house,100,\n"
    files = read_season(write_folder(tmp_path / "half", daybook_csv=daybook))
    names = [batch.id for batch in files.batches]
    assert names == ["currants", "leeks (1 of 2)", "leeks (2 of 2)", "salad"]
    assert [batch.wanted for batch in files.batches[1:3]] == [100, 100]
    wrong = daybook.replace("leeks (1", "currants (1")
    with pytest.raises(InvalidInputError, match=r"currants \(1 of 2\)"):
        read_season(write_folder(tmp_path / "whole", daybook_csv=wrong))


def test_a_line_of_a_quoted_cell_is_no_remark(tmp_path: Path) -> None:
    note = "first\n# second"
    daybook = GOOD["daybook.csv"] + f'2027-02-12,currants,moved,house,9,"{note}"\n'
    files = read_season(write_folder(tmp_path, daybook_csv=daybook))
    assert files.daybook[-1].note == note
