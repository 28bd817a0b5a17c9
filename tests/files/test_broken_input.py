"""Every kind of broken input is refused with its file, its line and what is right."""

from pathlib import Path
from typing import NamedTuple

import pytest
from folders import GOOD, write_folder

from propsched.errors import ExitCode, InvalidInputError
from propsched.files.read import read_season


class Bad(NamedTuple):
    """A good folder with one thing wrong."""

    name: str
    file: str
    old: str
    """Text to replace; empty: the whole file."""
    new: str | bytes | None
    """None: the file is not there."""
    line: int
    fragment: str
    also: int = 0
    """Faults that follow from it in this or other files."""


S, B, W, H = "season.toml", "batches.csv", "weather.csv", "history.csv"
R, D, P, C = "readings.csv", "daybook.csv", "pins.csv", "crops.csv"
FRAME = '[[space]]\nid = "frame"\nkind = "cold-frame"\n'

CASES = [
    # season.toml
    Bad("season file missing", S, "", None, 0, "is missing"),
    Bad("season file empty", S, "", "", 0, "is empty"),
    Bad("no format", S, "format = 1\n", "\n", 1, "must be format = 1"),
    Bad("format as text", S, "format = 1", 'format = "1"', 1, "format: is 1"),
    Bad("newer format", S, "format = 1", "format = 2", 1, "format: is 2"),
    Bad("no valid TOML", S, "latitude = 53.0", "latitude = ", 9, "no valid TOML"),
    Bad("decimal comma", S, "= 53.0", "= 53,0", 9, "no valid TOML"),
    Bad("key given twice", S, "start = 2026-11-01", 'name = "x"', 5, "valid TOML"),
    Bad("31 November", S, "end = 2027-05-31", "end = 2027-11-31", 6, "TOML"),
    Bad("end missing", S, "end = 2027-05-31\n", "", 3, "season.end: is missing"),
    Bad("end before start", S, "2027-05-31", "2026-05-31", 6, "come after start"),
    Bad("two winters long", S, "2027-05-31", "2028-05-31", 6, "at most 400"),
    Bad("unknown table", S, "[work]", "[werk]", 14, 'did you mean "work"?'),
    Bad("unknown key", S, "latitude", "lattitude", 9, 'did you mean "latitude"', 1),
    Bad("latitude of nowhere", S, "53.0", "530", 9, "is 530 – must be at most 66"),
    Bad("latitude as text", S, "53.0", '"53"', 9, 'is "53" – must be a number'),
    Bad("latitude not a number", S, "53.0", "nan", 9, "must be a finite number"),
    Bad("true for a count", S, "= 150", "= true", 16, "must be a whole number"),
    Bad("unknown zone", S, "Europe/Dublin", "Europe/Dubln", 10, "Europe/Dublin"),
    Bad("eleven normals", S, "[1, 1, 2,", "[1, 2,", 11, "has 11 values"),
    Bad("normals crossed", S, "[1, 1, 2,", "[1, 1, 12,", 11, "of month 3 is 12"),
    Bad("unknown weekday", S, '"sun"]', '"son"]', 15, 'did you mean "sun"?'),
    Bad("away the wrong way", S, "to = 2027-01-02", "to = 2026-01-02", 18, "from"),
    Bad("away with start", S, "{ from = 2026-12", "{ start = 2026-12", 18, '"from"', 1),
    Bad("probe twice", S, "[[probe]]", '[[probe]]\nid = "kitchen"\n[[probe]]', 23,
            "there twice"),
    Bad("space id with a control", S, 'id = "pond"', 'id = "po\\u001bnd"', 49,
            "cannot be seen", 1),
    Bad("space id with a line break", S, 'id = "pond"', 'id = "po\\u2028nd"', 49,
            "cannot be seen", 1),
    Bad("space id with a hard space", S, 'id = "pond"', 'id = "po\u00a0nd"', 49,
            "cannot be seen", 1),
    Bad("a line without end", W, "observed\n2026-11-02", "x" * 200_000, 2,
            "is longer than 100,000 characters"),
    Bad("batch name over two lines", B, "currants,", '"cur\nrants",', 2,
            "cannot be seen", 3),
    Bad("space twice", S, 'id = "house"', 'id = "border"', 30, "there twice", 3),
    Bad("unknown kind", S, '"glasshouse"', '"glashouse"', 31, '"glasshouse"?'),
    Bad("negative area", S, "area_m2 = 4.0", "area_m2 = -4.0", 27, "at least 0"),
    Bad("inside nothing", S, 'inside = "house"', 'inside = "hose"', 38, '"house"'),
    Bad("inside itself", S, 'inside = "house"', 'inside = "bench"', 38, "circle"),
    Bad("inside a circle", S, 'kind = "glasshouse"',
            'kind = "glasshouse"\ninside = "bench"', 32, "circle", 1),
    Bad("reserved too much", S, "{ area_m2 = 2.0", "{ area_m2 = 3.5", 33, "most area"),
    Bad("bench without heat", S, "heat = {", "# {", 35, "a heated-bench needs heat"),
    Bad("set point of an oven", S, "set_c = 18", "set_c = 90", 40, 'heat.set_c: is 90'),
    Bad("heat the wrong way", S, "to = 2027-03-31", "to = 2026-03-31", 40, "from"),
    Bad("hotbed never made", S, "make_up = 2027-02-01\n", "", 42, "needs the day"),
    Bad("cupboard without room", S, 'kind = "check-point"',
            'kind = "warm-cupboard"', 48, "needs its temperature"),
    Bad("no space at all", S, GOOD[S][GOOD[S].index("[[space]]"):], "", 1,
            "at least one", 0),
    Bad("Latin-1 in season", S, "", "# Caf\xe9\nformat = 1\n".encode("latin-1"), 1,
            "meant as “é”"),
    Bad("season is no table", S, "", "format = 1\nseason = 3\n", 2, "is no table", 4),
    Bad("start is a clock time", S, "2026-11-01", "10:00:00", 5, "must be a day"),
    Bad("start with an hour", S, "2026-11-01", "2026-11-01T10:00:00", 5, "clock time"),
    Bad("start is a number", S, "2026-11-01", "20261101", 5, "must be a day"),
    Bad("too many minutes", S, "= 150", "= 1" + "0" * 400, 16, "at most 100000"),
    Bad("latitude beyond numbers", S, "53.0", "1e400", 9, "a finite number"),
    Bad("normal as text", S, "[1, 1, 2,", '["1", 1, 2,', 11, "must be a number"),
    Bad("away as bare days", S, "{ from = 2026-12-22, to = 2027-01-02 }", "2026-12-22",
        18, "a table of keys"),
    Bad("heat as a switch", S, "{ set_c = 18, w_per_m2 = 150, from = 2026-12-01, "
        "to = 2027-03-31 }", "true", 40, "heat: is true"),
    Bad("nested without end", S, "", "a = " + "[" * 3000 + "]" * 3000, 1, "too deeply"),
    Bad("half a heater", S, "set_c = 18, ", "", 40, "heat.set_c: is missing"),
    Bad("heat when it suits", S, "w_per_m2 = 150,", 'w_per_m2 = 150, when = "weekly",',
            40, 'did you mean "by-week"?'),
    Bad("a bed heated by the week", S, "make_up = 2027-02-01", "make_up = 2027-02-01\n"
            'heat = { set_c = 20, w_per_m2 = 100, when = "by-week" }', 47, "no heater"),
    Bad("made up on two days as text", S, "= 2027-02-01", '= ["2027-02-01", "soon"]',
            46, "must be a day"),
    Bad("made up after the season", S, "= 2027-02-01", "= [2027-02-01, 2027-06-10]",
            46, "make_up: is 2027-06-10 – must be in the season"),
    Bad("made up to no end", S, "make_up =", "make_up_from =", 46,
            "without make_up_to"),
    Bad("made up backwards", S, "make_up = 2027-02-01",
            "make_up_from = 2027-02-01\nmake_up_to = 2027-01-01", 47, "must be from"),
    Bad("made up in two ways", S, "make_up = 2027-02-01",
            "make_up = 2027-02-01\nmake_up_from = 2027-02-01\nmake_up_to = 2027-03-01",
            46, "is given twice"),
    Bad("a border made up", S, "area_m2 = 4.0", "area_m2 = 4.0\nmake_up = [2027-02-01]",
            28, "is given for kind open-ground"),
    Bad("a field's own name", S, "make_up =", "make_up_days =", 46, "make_up = [", 1),
    Bad("a cover that is none", S, "area_m2 = 4.0", 'area_m2 = 4.0\ncovers = ["fleec"]',
            28, 'did you mean "fleece"?'),
    Bad("a cover twice", S, "area_m2 = 4.0",
            'area_m2 = 4.0\ncovers = ["mat", "mat"]', 28, "twice"),
    Bad("covers over a cover", S, "area_m2 = 4.0",
            'area_m2 = 4.0\ncover = "straw"\ncovers = ["mat"]', 28, "beside covers"),
    Bad("two mats", S, "area_m2 = 3.0",
            'area_m2 = 3.0\nnight_mat = true\ncovers = ["mat"]', 34,
            "beside night_mat"),
    # batches.csv
    Bad("batches missing", B, "", None, 0, "is missing"),
    Bad("batches of zero bytes", B, "", b"", 0, "is empty"),
    Bad("no header", B, GOOD[B].split("\n")[0] + "\n", "", 1, "has no header"),
    Bad("unknown column", B, "variety,method", "varity,method", 1, '"variety"?'),
    Bad("column twice", B, "variety,method", "method,method", 1, "there twice"),
    Bad("needed column missing", B, ",wanted,", ",,", 1, '"wanted" is missing'),
    Bad("one cell too many", B, "yes,\n", "yes,,late\n", 3, "has 18 cells"),
    Bad("comma in a note", B, "yes,\n", "yes,late, but good\n", 3, "needs quotes"),
    Bad("quote not closed", B, "yes,\n", 'yes,"late\n', 3, "parted into cells"),
    Bad("unknown crop", B, "leek,,", "leak,,", 3, 'did you mean "leek"?'),
    Bad("method not in table", B, "blackcurrant,,hardwood", "blackcurrant,,root", 2,
            'blackcurrant has no method "root"'),
    Bad("unknown method", B, "leek,,seed", "leek,,seeds", 3, 'did you mean "seed"?'),
    Bad("wanted blank", B, "hardwood,40", "hardwood,", 2, "wanted is blank"),
    Bad("wanted nothing", B, "hardwood,40", "hardwood,0", 2, "at least 1"),
    Bad("half a plant", B, "hardwood,40", "hardwood,4.5", 2, "a whole number"),
    Bad("two readings", B, "seed,200", 'seed,"1,200"', 3, "write 1200 or 1.200"),
    Bad("doubled batch", B, "leeks,", "currants,", 3, "also in line 2"),
    Bad("clash with a repeat", B, "leeks,", "salad-3,", 4, '"salad-3" is there twice'),
    Bad("31 February", B, "2027-02-28", "2027-02-31", 2, "that the calendar has"),
    Bad("day first", B, "2027-02-28", "28/02/2027", 2, "must be year-month-day"),
    Bad("available backwards", B, "2027-02-28", "2026-02-28", 2, "is before avail"),
    Bad("wanted backwards", B, "2027-05-01", "2027-06-01", 3, "before wanted_from"),
    Bad("wanted too soon", B, ",2027-03-20", ",2026-12-20", 4, "before available_from"),
    Bad("material too late", B, "2027-01-20", "2027-05-01", 4, "the season's end", 1),
    Bad("priority 6", B, "2027-05-31,4", "2027-05-31,6", 3, "must be at most 5"),
    Bad("repeat unclear", B, "every 14 days × 4", "fortnightly", 4, "every 14 days"),
    Bad("repeat without begin", B, "2027-01-20", "", 4, "needs available_from"),
    Bad("unknown container", B, "module-tray 40", "moduletray", 4, '"module-tray"?'),
    Bad("row without width", B, "row 15x30", "row 15", 2, "cm between rows"),
    Bad("split maybe", B, "85,yes", "85,maybe", 3, "must be yes or no"),
    Bad("germination 850 %", B, "85,yes", "850,yes", 3, "must be at most 100"),
    Bad("germination NaN", B, "85,yes", "nan,yes", 3, "blank where not known"),
    # weather.csv, history.csv, readings.csv
    Bad("weather missing", W, "", None, 0, "is missing"),
    Bad("weather without days", W, "", "date,tmin_c,tmax_c\n", 0, "holds no days"),
    Bad("unquoted decimal comma", W, "4.0,11.5,", "4,0,11.5,", 2, "has 6 cells"),
    Bad("one cell too few", W, "8.0,,observed", "8.0,observed", 3, "has 4 cells"),
    Bad("day twice", W, "2026-11-02", "2026-11-01", 3, "also in line 2", 1),
    Bad("gap in the weather", W, "2026-11-02", "2026-10-31", 4,
            "1 day is missing before 2026-11-03 – add 2026-11-02"),
    Bad("minimum above maximum", W, "4.0,11.5", "14.0,11.5", 2, "above tmax_c 11.5"),
    Bad("minimum blank", W, "-0.5,", ",", 3, "tmin_c is blank"),
    Bad("no number", W, "-0.5,", "frost,", 3, 'tmin_c is "frost"'),
    Bad("infinite", W, "-0.5,", "-inf,", 3, 'tmin_c is "-inf"'),
    Bad("underscore in number", W, "11.5", "1_1.5", 2, "must be a number"),
    Bad("sentinel for unknown", W, "8.0,,", "8.0,-9999,", 3, "must be 0 to 45 MJ/m²"),
    Bad("Fahrenheit", W, "11.5", "111.5", 2, "must be -60 to 60 °C"),
    Bad("unknown kind of day", W, "forecast", "forcast", 4, '"forecast"?'),
    Bad("days as serial numbers", W, "2026-11-02", "46328", 3, "year-month-day"),
    Bad("a web page", W, "", "<html><body>404</body></html>", 1, "has no header"),
    Bad("parted by semicolons below commas", W, "2026-11-02,-0.5,8.0,,",
        "2026-11-02;-0,5;8,0;;", 3, "has"),
    Bad("zero byte", W, "", GOOD[W].replace("8.0", "8\0").encode(), 3, "zero byte"),
    Bad("UTF-16", W, "", GOOD[W].encode("utf-16"), 1, "is UTF-16"),
    Bad("Latin-1 in weather", W, "",
            GOOD[W].replace("-0.5", "−0.5°").encode("cp1252", "replace"), 3, "0xb0"),
    Bad("gap in one winter", H, "2024-12-31", "2025-01-09", 3, "9 days are missing"),
    Bad("reading nowhere", R, ",pond,", ",pand,", 3, '"pond"?'),
    Bad("reading by nothing", R, "kitchen", "kitchin", 2, '"kitchen"?'),
    Bad("reading at no hour", R, "2026-11-01 08:30", "2026-11-01", 2, "hour:minute"),
    Bad("reading at 25 o'clock", R, " 08:30", " 25:30", 2, "hour:minute"),
    Bad("reading without value", R, "7.5", "", 2, "temp_c is blank"),
    # daybook.csv, pins.csv, crops.csv
    Bad("event of no batch", D, "currants,struck", "curants,struck", 2, '"currants"?'),
    Bad("event of a repeat", D, "salad-1", "salad", 4, 'one of "salad-1" to'),
    Bad("unknown event", D, "struck", "stuck", 2, 'did you mean "struck"?'),
    Bad("plant event, no batch", D, "currants,struck", ",struck", 2, "without a batch"),
    Bad("bed made up nowhere", D, "bed-made-up,hotbed", "bed-made-up,", 3,
            "without a space"),
    Bad("lost, how many", D, "lost,,3", "lost,,", 5, "lost without a count"),
    Bad("event nowhere", D, "struck,border", "struck,boarder", 2, '"border"?'),
    Bad("pin of no batch", P, "salad-2", "salad-5", 3, 'batch is "salad-5"'),
    Bad("pin of a stage not gone through", P, "seedling", "pot-on", 3, "no pot-on"),
    Bad("pin of no stage", P, "seedling", "seedlin", 3, 'did you mean "seedling"?'),
    Bad("pin twice", P, "salad-2,seedling", "currants,start", 3, "pinned twice"),
    Bad("pin of nothing", P, "border,", ",", 2, "pins nothing"),
    Bad("pin nowhere", P, "border", "boarder", 2, '"border"?'),
    Bad("pin where nothing stands", P, "border", "pond", 2, "nothing can stand"),
    Bad("pin after the season", P, "2027-02-20", "2028-02-20", 3, "in the season"),
    Bad("own figure unknown", C, "base_c", "bass_c", 2, 'did you mean "base_c"?'),
    Bad("own figure no number", C, "2.0", "cold", 2, 'base_c is "cold"'),
    Bad("own figure above optimum", C, "2.0", "25.0", 2, "not below 20 °C"),
    Bad("own crop half given", C, "leek,seed,start,base_c,2.0",
            "sorrel,seed,,latin,Rumex", 2, '"stages" is missing'),
    Bad("own crop like nothing", C, "leek,seed,start,base_c,2.0",
            "sorrel,seed,,like,@sawn", 2, '"@sown"'),
]  # fmt: skip


def spoil(folder: Path, case: Bad) -> Path:
    key = case.file.replace(".", "_")
    if not case.old:
        return write_folder(folder, **{key: case.new})
    good = GOOD[case.file]
    assert case.old in good, "the case spoils nothing"
    assert isinstance(case.new, str)
    return write_folder(folder, **{key: good.replace(case.old, case.new, 1)})


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_broken_input_is_refused_with_its_place(case: Bad, tmp_path: Path) -> None:
    folder = spoil(tmp_path / "season", case)
    before = {path: path.read_bytes() for path in folder.iterdir()}
    with pytest.raises(InvalidInputError) as caught:
        read_season(folder)
    found = [
        problem
        for problem in caught.value.problems
        if problem.path == str(folder / case.file)
        and problem.line == case.line
        and case.fragment in str(problem)
    ]
    assert found, f"said instead:\n{caught.value}"
    assert len(caught.value.problems) <= 1 + case.also, str(caught.value)
    assert "Input should" not in str(caught.value), "not in the project's words"
    assert caught.value.exit_code == ExitCode.BAD_INPUT
    assert before == {path: path.read_bytes() for path in folder.iterdir()}


def test_enough_kinds_of_broken_input_are_tested() -> None:
    assert len({case.name for case in CASES}) == len(CASES) >= 45


def test_faults_of_all_files_come_at_once(tmp_path: Path) -> None:
    """Two faults in season.toml and one in each of three tables: all are told."""
    folder = write_folder(
        tmp_path,
        season_toml=GOOD[S].replace("53.0", "530").replace("4.0", "-4.0"),
        batches_csv=GOOD[B].replace("leek,,", "leak,,"),
        weather_csv=GOOD[W].replace("-0.5", "frost"),
        pins_csv=GOOD[P].replace("border", "boarder"),
    )
    with pytest.raises(InvalidInputError) as caught:
        read_season(folder)
    places = [(Path(p.path).name, p.line) for p in caught.value.problems]
    assert places == [(B, 3), (P, 2), (S, 9), (S, 27), (W, 3)]


def test_a_broken_season_does_not_blame_the_other_files(tmp_path: Path) -> None:
    """Spaces and batches that could be named are known to pins and daybook."""
    folder = write_folder(
        tmp_path,
        season_toml=GOOD[S].replace("53.0", "530"),
        batches_csv=GOOD[B].replace("every 14 days × 4", "fortnightly"),
    )
    with pytest.raises(InvalidInputError) as caught:
        read_season(folder)
    assert [Path(p.path).name for p in caught.value.problems] == [B, S]


def test_long_tables_show_ten_faults_and_count_the_rest(tmp_path: Path) -> None:
    rows = "".join(f"2025-01-{day:02},warm,9\n" for day in range(1, 31))
    folder = write_folder(tmp_path, history_csv="date,tmin_c,tmax_c\n" + rows)
    with pytest.raises(InvalidInputError) as caught:
        read_season(folder)
    assert len(caught.value.problems) == 11
    assert caught.value.problems[-1].line == 12
    assert "and 20 more" in caught.value.problems[-1].what


def test_a_file_of_100_mb_is_refused_before_it_is_read(tmp_path: Path) -> None:
    """A sparse file, so that only reading it would cost the memory."""
    folder = write_folder(tmp_path)
    with (folder / W).open("wb") as file:
        file.truncate(100_000_000)
    with pytest.raises(InvalidInputError) as caught:
        read_season(folder)
    assert "weather.csv: is 100 MB large – must be below 20 MB" in str(caught.value)


def test_a_folder_in_place_of_a_file_is_refused(tmp_path: Path) -> None:
    folder = write_folder(tmp_path, pins_csv=None)
    (folder / P).mkdir()
    with pytest.raises(InvalidInputError, match="is no ordinary file"):
        read_season(folder)


def test_a_folder_that_is_not_there_is_said_so(tmp_path: Path) -> None:
    with pytest.raises(InvalidInputError, match="is not there – `propsched new`"):
        read_season(tmp_path / "nowhere")


def test_needed_readings_must_be_there(tmp_path: Path) -> None:
    folder = write_folder(tmp_path, readings_csv=None)
    assert read_season(folder).readings.empty
    with pytest.raises(InvalidInputError, match=r"readings\.csv: is missing"):
        read_season(folder, need=frozenset({"season", "readings"}))
