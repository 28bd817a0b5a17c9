"""What a crash, a merge or a synced folder leaves is told, and mended without loss."""

import errno
import os
import random
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

import pytest
from click.testing import CliRunner
from folders import DAYBOOK, GOOD, PINS, READINGS, WEATHER, write_folder
from mutants import held, mutant, put
from plans import make_plan

from propsched.cli.main import cli
from propsched.errors import ExitCode, InvalidInputError
from propsched.files import repair
from propsched.files.read import read_season
from propsched.files.repair import KEPT, carry_out, look_over
from propsched.files.write import plan_as_json, read_plan

NOW = datetime(2027, 2, 9, 8, 30)
LOST = "2027-02-08 09:00,currants,lost,,7,\n"
STRUCK = "2027-02-08 10:00,leeks,sown,house,200,"


def contents(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and path.name != ".propsched.lock"
    }


def repaired(folder: Path) -> dict[str, bytes]:
    """What the folder holds after mending it twice; the second time does nothing."""
    before = contents(folder)
    seen = look_over(folder)
    assert contents(folder) == before, "looking changes nothing"
    carry_out(folder, seen, NOW)
    after = contents(folder)
    again = look_over(folder)
    assert not again.changes
    assert not again.mends
    for change in seen.changes:
        kept = f"{KEPT}/2027-02-09-083000/{change.path.name}"
        assert after[kept] == before[change.path.name]
    return after


def text_of(folder: Path, name: str) -> str:
    return (folder / name).read_text(encoding="utf-8")


DAYBOOK_DAMAGE = {
    "cut short": (DAYBOOK + "2027-02-08 09:00,curr", ["5: is cut short"]),
    "cut in a quoted cell": (
        DAYBOOK + '2027-02-08 09:00,currants,lost,,3,"two, we\n' + LOST,
        ["5"],
    ),
    "zero bytes at the end": (DAYBOOK + "\0" * 600, ["6: holds 600 zero bytes"]),
    "zero bytes within": (
        DAYBOOK + "2027-02-08 09:00,cur" + "\0" * 9 + LOST,
        ["6: holds 9 zero bytes", "6: is cut short"],
    ),
    "a letter cut in two": (
        (DAYBOOK + "2027-02-08 09:00,currants,moved,house,3,f\xfcr").encode()[:-2],
        [],
    ),
    "Windows text": (
        (DAYBOOK + "2027-02-08,currants,moved,house,3,k\xe9\n").encode("cp1252"),
        ["6: byte 0xe9 is not UTF-8"],
    ),
    "UTF-16": (DAYBOOK.encode("utf-16"), ["1: is UTF-16 text"]),
    "header once more": (DAYBOOK + DAYBOOK, ["6"]),
}


@pytest.mark.parametrize("damage", DAYBOOK_DAMAGE)
def test_a_daybook_with_damage_is_readable_again(damage: str, tmp_path: Path) -> None:
    spoiled = DAYBOOK_DAMAGE[damage][0]
    raw = spoiled if isinstance(spoiled, bytes) else spoiled.encode()
    folder = write_folder(tmp_path, daybook_csv=raw)
    was_in_it = raw.decode("utf-8", "replace").replace("\0", "\n").split("\n")
    repaired(folder)
    events = read_season(folder).daybook
    good = read_season(write_folder(tmp_path / "good")).daybook
    assert [one for one in dict.fromkeys(events) if one in good] == list(good)
    if LOST.strip() in was_in_it:
        assert events[-1].count == 7
    left = text_of(folder, "daybook.csv")
    if damage not in ("UTF-16", "Windows text", "a letter cut in two"):
        missing = [line for line in was_in_it if line and line not in left]
        assert not missing
    assert "\0" not in left


def test_what_is_told_names_file_and_line_and_the_mending(tmp_path: Path) -> None:
    text = DAYBOOK + "2027-02-08 09:00,cur" + "\0" * 9 + LOST
    folder = write_folder(tmp_path, daybook_csv=text)
    path = folder / "daybook.csv"
    right = " – `propsched check --repair`:"
    told = [str(mend.problem()) for mend in look_over(folder).mends]
    assert told == [
        f"{path}:6: holds 9 zero bytes, as a power cut leaves them{right} taken out",
        f"{path}:6: is cut short{right} kept as a remark",
    ]


def test_rows_of_both_sides_of_a_merge_are_kept(tmp_path: Path) -> None:
    both = "2027-02-06,,heat-on,bench,,\n"
    ours, theirs = LOST, STRUCK + "\n"
    daybook = (
        f"{DAYBOOK}<<<<<<< HEAD\n{both}{ours}=======\n{both}{theirs}>>>>>>> laptop\n"
    )
    folder = write_folder(tmp_path, daybook_csv=daybook)
    with pytest.raises(InvalidInputError, match=r"daybook\.csv:6: holds two versions"):
        read_season(folder)
    repaired(folder)
    assert text_of(folder, "daybook.csv") == DAYBOOK + both + ours + theirs
    assert len(read_season(folder).daybook) == 7


def test_a_merge_with_the_version_before_both_loses_none_of_the_three(
    tmp_path: Path,
) -> None:
    """The three-way style; two that differ in one key cannot both be rows."""
    pins = (
        "batch,stage,space,start\n<<<<<<< HEAD\ncurrants,start,house,\n"
        "||||||| base\ncurrants,start,border,\n=======\ncurrants,start,hotbed,\n"
        ">>>>>>> laptop\nsalad-2,seedling,house,2027-02-20\n"
    )
    folder = write_folder(tmp_path, pins_csv=pins)
    repaired(folder)
    assert text_of(folder, "pins.csv").splitlines() == [
        "batch,stage,space,start",
        "currants,start,house,",
        "# kept (is told otherwise in line 3): currants,start,hotbed,",
        "# kept (both versions have changed or taken out): currants,start,border,",
        "salad-2,seedling,house,2027-02-20",
    ]
    assert [pin.space for pin in read_season(folder).pins] == ["house", "house"]


def test_settings_that_differ_are_left_to_the_user(tmp_path: Path) -> None:
    text = GOOD["season.toml"].replace(
        "area_m2 = 4.0\n",
        "<<<<<<< HEAD\narea_m2 = 4.0\n=======\narea_m2 = 5.0\n>>>>>>> other\n",
    )
    folder = write_folder(tmp_path, season_toml=text)
    before = contents(folder)
    seen = look_over(folder)
    assert not seen.changes
    run = CliRunner().invoke(cli, ["check", str(folder), "--repair", "--yes"])
    assert run.exit_code == ExitCode.BAD_INPUT
    assert "season.toml:27: holds two versions" in run.stderr
    assert contents(folder) == before


def test_zero_bytes_behind_the_settings_are_taken_out(tmp_path: Path) -> None:
    text = GOOD["season.toml"] + "\0" * 300
    folder = write_folder(tmp_path, season_toml=text)
    after = repaired(folder)
    assert after["season.toml"].decode() == GOOD["season.toml"]


COPIES = (
    "daybook (conflicted copy 2027-02-09).csv",
    "daybook.sync-conflict-20270209-080000-ABCDEFG.csv",
    "daybook (2).csv",
    "daybook-laptop.csv",
)


@pytest.mark.parametrize("name", COPIES)
def test_rows_of_another_copy_are_taken_over(name: str, tmp_path: Path) -> None:
    folder = write_folder(tmp_path, daybook_csv=DAYBOOK + LOST)
    (folder / name).write_text(DAYBOOK + STRUCK, encoding="utf-8")
    told = [str(mend.problem()) for mend in look_over(folder).mends]
    assert told == [
        f"{folder / name}: is another copy of daybook.csv with 1 row that it has not"
        " – `propsched check --repair`: this is taken over, the copy is moved to "
        "before-repair"
    ]
    repaired(folder)
    assert not (folder / name).exists()
    assert text_of(folder, "daybook.csv") == DAYBOOK + LOST + STRUCK + "\n"


def test_a_copy_in_another_order_of_columns_is_taken_over(tmp_path: Path) -> None:
    folder = write_folder(tmp_path)
    rows = [line.split(",") for line in (READINGS + EXTRA).splitlines()]
    turned = "\r\n".join(",".join(row[::-1]) for row in rows)
    (folder / "readings (2).csv").write_text(turned, encoding="utf-8")
    repaired(folder)
    assert text_of(folder, "readings.csv") == READINGS + EXTRA


EXTRA = "2026-11-03 08:30,border,8,6.5,kitchen,\n"


def test_a_table_of_its_own_is_left_alone(tmp_path: Path) -> None:
    """It has the columns of one of the season's, but none of its rows."""
    folder = write_folder(tmp_path)
    other = "date,tmin_c,tmax_c\n2019-11-01,1,2\n"
    (folder / "weather-2019.csv").write_text(other, encoding="utf-8")
    (folder / "batches-wishes.csv").write_text("plant,why\nquince,jam\n")
    (folder / "planting.json").write_text("{}")
    seen = look_over(folder)
    assert not seen.changes
    assert [Path(one.path).name for one in seen.left] == ["weather-2019.csv"]
    run = CliRunner().invoke(cli, ["check", str(folder), "--today", "2026-11-10"])
    assert run.exit_code == ExitCode.DONE
    assert "weather-2019.csv: has the columns of weather.csv" in run.stderr


def test_doubled_rows_become_remarks_but_not_losses_that_may_be_two(
    tmp_path: Path,
) -> None:
    struck, _, emerged, lost = DAYBOOK.splitlines()[1:]
    doubled = DAYBOOK + "\n".join((struck, emerged, lost)) + "\n"
    folder = write_folder(tmp_path, daybook_csv=doubled, weather_csv=WEATHER * 2)
    seen = look_over(folder)
    assert [one.line for one in seen.left] == [8]
    repaired(folder)
    left = text_of(folder, "daybook.csv").splitlines()[5:]
    assert left == [
        f"# kept (is line 2 once more): {struck}",
        f"# kept (is line 4 once more): {emerged}",
        lost,
    ]
    assert len(read_season(folder).weather) == 3


def test_what_was_taken_back_and_noted_again_is_no_double(tmp_path: Path) -> None:
    undone = "2027-02-09 08:30,leeks,undone,house,200,sown of 2027-02-08 10:00"
    book = DAYBOOK + "\n".join((STRUCK, undone, STRUCK, undone, STRUCK)) + "\n"
    reading = "2026-11-03 08:30,border,8,6.5,kitchen,"
    taken = f"{reading}undone 2026-11-03 09:00"
    readings = READINGS + "\n".join((reading, taken, reading, taken)) + "\n"
    folder = write_folder(tmp_path, daybook_csv=book, readings_csv=readings)
    seen = look_over(folder)
    assert not seen.changes
    assert not seen.left
    files = read_season(folder)
    assert sum(one.event == "sown" for one in files.daybook) == 1
    assert len(files.readings) == 2


def test_a_measured_day_stays_beside_its_forecast(tmp_path: Path) -> None:
    folder = write_folder(
        tmp_path, weather_csv=WEATHER + "2026-11-02,3.0,9.0,,forecast\n"
    )
    repaired(folder)
    assert text_of(folder, "weather.csv").endswith(
        "# kept (is a forecast of a day observed in line 3): "
        "2026-11-02,3.0,9.0,,forecast\n"
    )


def test_what_the_user_has_to_decide_is_not_decided(tmp_path: Path) -> None:
    """Two batches of one name, a word mistyped: no crash has done that."""
    batches = GOOD["batches.csv"] + "leeks,leek,,seed,10,,,,,,,4,,,,,\n"
    daybook = DAYBOOK + "2027-02-08 09:00,currants,losst,,7,\n"
    folder = write_folder(tmp_path, batches_csv=batches, daybook_csv=daybook)
    assert not look_over(folder).changes


def test_a_broken_plan_gives_way_to_the_one_before(tmp_path: Path) -> None:
    folder = write_folder(tmp_path)
    good, whole = make_plan(worth=3.0), plan_as_json(make_plan())
    (folder / "plan.json").write_text(whole[:300], encoding="utf-8")
    (folder / "plan.previous.json").write_text(plan_as_json(good), encoding="utf-8")
    repaired(folder)
    assert read_plan(folder) == good
    (folder / "plan (2).json").write_text(whole, encoding="utf-8")
    carry_out(folder, look_over(folder), NOW.replace(minute=31))
    assert read_plan(folder) == good
    assert not (folder / "plan (2).json").exists()
    newer = whole.replace('"format": 1', '"format": 2')
    (folder / "plan.json").write_text(newer, encoding="utf-8")
    assert not look_over(folder).changes


def test_a_folder_of_a_newer_program_is_left_alone(tmp_path: Path) -> None:
    text = GOOD["season.toml"].replace("format = 1", "format = 2")
    cut = DAYBOOK + "2027-02-08 09:00,curr"
    folder = write_folder(tmp_path, season_toml=text, daybook_csv=cut)
    before = contents(folder)
    code, said = run(folder, "--repair", "--yes")
    assert code == ExitCode.BAD_INPUT
    assert "of a newer propsched" in said
    assert contents(folder) == before


def test_remains_of_a_stopped_writer_are_moved_away(tmp_path: Path) -> None:
    folder = write_folder(tmp_path)
    (folder / ".daybook.csv.k3j2h1.part").write_text("half", encoding="utf-8")
    after = repaired(folder)
    assert ".daybook.csv.k3j2h1.part" not in after


def test_a_folder_that_changed_meanwhile_is_left_alone(tmp_path: Path) -> None:
    folder = write_folder(tmp_path, daybook_csv=DAYBOOK + "2027-02-08 09:00,curr")
    seen = look_over(folder)
    (folder / "pins.csv").write_text(PINS + PINS, encoding="utf-8")
    before = contents(folder)
    with pytest.raises(InvalidInputError, match="has changed meanwhile"):
        carry_out(folder, seen, NOW)
    assert contents(folder) == before


@pytest.mark.parametrize("fails_at", range(5))
def test_a_repair_that_cannot_be_finished_is_taken_back(
    fails_at: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = write_folder(
        tmp_path, daybook_csv=DAYBOOK + "2027-02-08 09:00,curr", pins_csv=PINS + PINS
    )
    (folder / "daybook (2).csv").write_text(DAYBOOK + LOST, encoding="utf-8")
    before = contents(folder)
    real, calls = repair.replace_file, [0]

    def replace_file(path: Path, content: bytes) -> None:
        calls[0] += 1
        if calls[0] == fails_at + 1:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        real(path, content)

    monkeypatch.setattr(repair, "replace_file", replace_file)
    with pytest.raises(InvalidInputError, match="No space left"):
        carry_out(folder, look_over(folder), NOW)
    assert contents(folder) == before


def run(folder: Path, *options: str) -> tuple[int, str]:
    result = CliRunner().invoke(
        cli, ["check", str(folder), "--today", "2027-02-09", *options]
    )
    return result.exit_code, result.stderr


def test_the_command_asks_first_and_says_what_it_did(tmp_path: Path) -> None:
    folder = write_folder(tmp_path, daybook_csv=DAYBOOK + "2027-02-08 09:00,curr")
    before = contents(folder)
    code, said = run(folder)
    assert (code, "daybook.csv:6: is cut short" in said) == (2, True)
    code, said = run(folder, "--repair")
    assert (code, "asks first: add --yes" in said) == (2, True)
    code, said = run(folder, "--repair", "--dry-run")
    assert (code, "Nothing was changed." in said) == (0, True)
    assert run(folder, "--dry-run")[0] == ExitCode.BAD_INPUT
    assert contents(folder) == before
    code, said = run(folder, "--repair", "--yes")
    assert code == ExitCode.DONE
    assert "daybook.csv:6: is cut short – kept as a remark" in said
    assert f"The files as they were are in {folder / KEPT}" in said
    code, said = run(folder, "--repair", "--yes")
    assert (code, "Nothing to mend." in said) == (0, True)


def damaged(lines: Sequence[str], draw: random.Random) -> bytes:
    """A table after a crash and a merge or two."""
    header, *rows = lines
    for _ in range(draw.randint(1, 4)):
        at = draw.randrange(len(rows) + 1)
        match draw.randrange(5):
            case 0 if at < len(rows):
                most = max(1, rows[at].rfind(","))
                rows.append(rows[at][: draw.randrange(most)] + "\n")
            case 1:
                rows[at:at] = [f"<<<<<<< a\n{rows[0]}=======\n{rows[-1]}>>>>>>> b\n"]
            case 2:
                rows.append("\0" * draw.randint(1, 9))
            case 3 if at < len(rows):
                row = rows[at]
                cut = draw.randrange(len(row))
                rows.insert(at, row[:cut] + "\0\0" + row)
            case _:
                rows.insert(at, rows[draw.randrange(len(rows))])
    text = header + "".join(rows)
    return text[: len(text) - draw.randrange(3)].encode()


@pytest.mark.parametrize("name", ["daybook.csv", "readings.csv", "weather.csv"])
def test_no_row_is_ever_dropped(name: str, tmp_path: Path) -> None:
    """Whatever mix of damage: each row that was there is a row or a remark."""
    key = name.replace(".", "_")
    lines = GOOD[name].splitlines(keepends=True)
    draw = random.Random(20270209)
    for number in range(12):
        raw = damaged(lines, draw)
        folder = write_folder(tmp_path / str(number), **{key: raw})
        repaired(folder)
        left = text_of(folder, name).splitlines()
        for row in lines[1:]:
            held = row.strip() in raw.decode()
            kept = [line for line in left if line.endswith(row.strip())]
            assert bool(kept) >= held, (number, row, raw)
        assert not [line for line in left if line.startswith(("<<<", "===", ">>>"))]
        # of a day that the damage has left half a row
        assert faults_of(folder) <= {"1 day is missing before 2026-11-03"}


def test_any_damage_is_mended_once_and_breaks_nothing(tmp_path: Path) -> None:
    good = held(write_folder(tmp_path / "good"))
    draw = random.Random(5)
    mended = 0
    for number in range(60):
        files = mutant(good, draw)
        folder = put(tmp_path / "mutant", files)
        loaded = not faults_of(folder)
        seen = look_over(folder)
        if carry_out(folder, seen, NOW) is None:
            continue
        mended += 1
        assert not look_over(folder).changes, number
        assert not (loaded and faults_of(folder)), number
        for change in seen.changes:
            kept = folder / KEPT / "2027-02-09-083000" / change.path.name
            assert kept.read_bytes() == files[change.path.name], number
    assert mended > 5


def faults_of(folder: Path) -> set[str]:
    try:
        read_season(folder)
    except InvalidInputError as error:
        return {problem.what for problem in error.problems}
    return set()
