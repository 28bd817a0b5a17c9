"""
Files of weather stations in open layouts; every value here is invented.

The layouts are those of the documents that are named beside the parsers; factors of
units by the SI brochure (9th edition, 2019) and the international yard and pound
agreement of 1959: 1 in = 25.4 mm, 1 kn = 1852 m/h, 1 mi = 1609.344 m.
"""

import os
from datetime import date
from pathlib import Path

import pytest

from propsched.errors import InvalidInputError
from propsched.files.station import LAYOUTS, read_station
from propsched.files.station_days import StationDays

SHARED = Path(os.environ.get("PROPSCHED_SHARED", Path(__file__).parents[3] / "shared"))
FIRST, SECOND = date(2027, 1, 1), date(2027, 1, 2)

PLAIN = """\
date,tmin_c,tmax_c,grass_min_c,rain_mm,wind_m_s,solar_w_m2
2027-01-01,-1.5,6.0,-4.0,0.4,3.1,50.0
2027-01-02,0.5,7.2,,,2.0,
2027-01-03,,8.0,,,,
2027-01-04,9.0,2.0,,,,
2027-01-05,1.0,99.0,,,,
noon,1.0,2.0,,,,
2027-02-30,1,2,3,4,5,6
"""
DWD_HEAD = (
    "STATIONS_ID;MESS_DATUM;QN_3;  FX;  FM;QN_4; RSK;RSKF; SDK;SHK_TAG;  NM; VPM;"
    "  PM; TMK; UPM; TXK; TNK; TGK;eor\n"
)
DWD = (
    DWD_HEAD
    + "         99;20270101;   10;   9.1;   2.8;    9;   1.2;   8;   0.000;   3;   5.9;"
    "   6.0; 1029.10;    1.2;   88.00;    3.8;   -3.2;   -7.5;eor\n"
    "         99;20270102;   10;-999;-999;    9;-999;-999;-999;-999;-999;-999;-999;"
    "-999;-999;    4.0;    0.5;-999;eor\n"
    "         99;20270103;   10;   1.0;   1.0;    9;   0.0;   0;-999;   0;-999;-999;"
    "-999;-999;-999;-999;    0.5;-999;eor\n"
)
GSOD_HEAD = (
    '"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","TEMP",'
    '"TEMP_ATTRIBUTES","DEWP","DEWP_ATTRIBUTES","SLP","SLP_ATTRIBUTES","STP",'
    '"STP_ATTRIBUTES","VISIB","VISIB_ATTRIBUTES","WDSP","WDSP_ATTRIBUTES","MXSPD",'
    '"GUST","MAX","MAX_ATTRIBUTES","MIN","MIN_ATTRIBUTES","PRCP","PRCP_ATTRIBUTES",'
    '"SNDP","FRSHTT"\n'
)


def gsod_row(day: str, low: str, high: str, *, wind: str, rain: str, snow: str) -> str:
    return (
        f'"99999999999","{day}","53.0","-8.0","75.0","NOWHERE, XX","  41.0","24",'
        f'"  36.0","24","1013.0","24","999.9"," 0","  6.2","24","{wind}","24",'
        f'" 10.0"," 999.9","{high}"," ","{low}","*","{rain}","G","{snow}","010000"\n'
    )


GSOD = (
    GSOD_HEAD
    + gsod_row("2027-01-01", "  23.0", "  50.0", wind=" 10.0", rain=" 0.50", snow="2.0")
    + gsod_row(
        "2027-01-02", "  32.0", "  41.0", wind="999.9", rain="99.99", snow="999.9"
    )
    + gsod_row(
        "2027-01-03", "9999.9", "  41.0", wind="  5.0", rain=" 0.00", snow="999.9"
    )
)


def month(element: str, values: dict[int, str], year: str = "202701") -> str:
    """A line of a .dly file: 31 values of five places, each with three flags."""
    cells = (values.get(day, "-9999   ") for day in range(1, 32))
    return f"XX000000001{year}{element}{''.join(cells)}\n"


GHCN = (
    month("TMAX", {1: "   60  S", 2: "   72  S", 3: "  800 XS", 31: "   50  S"})
    + month("TMIN", {1: "  -15  S", 2: "    5  S", 3: "   10  S", 31: "   10  S"})
    + month("PRCP", {1: "    4  S", 2: "    0T S"})
    + month("SNWD", {1: "   30  S"})
    + month("WT01", {1: "    1  S"})
)
GHCN_CSV = """\
XX000000001,20270101,TMAX,60,,,S,
XX000000001,20270101,TMIN,-15,,,S,
XX000000001,20270101,PRCP,4,,,S,0700
XX000000001,20270101,SNWD,30,,,S,
XX000000001,20270102,TMAX,72,,,S,
XX000000001,20270102,TMIN,5,,,S,
XX000000001,20270102,PRCP,0,T,,S,
XX000000001,20270103,TMAX,800,,X,S,
XX000000001,20270103,TMIN,10,,,S,
XX000000001,20270131,TMAX,50,,,S,
XX000000001,20270131,TMIN,10,,,S,
"""


def read(tmp_path: Path, text: str, **over: str) -> StationDays:
    path = tmp_path / "station.csv"
    path.write_text(text, encoding="utf-8")
    return read_station(path, **over)


def test_columns_named_by_quantity_and_unit(tmp_path: Path) -> None:
    found = read(tmp_path, PLAIN)
    assert found.days == {
        FIRST: {
            "tmin_c": -1.5, "tmax_c": 6.0, "rain_mm": 0.4, "wind_m_s": 3.1,
            "solar_mj_m2": 4.32,  # 50 W/m² for 86,400 s
        },
        SECOND: {"tmin_c": 0.5, "tmax_c": 7.2, "wind_m_s": 2.0},
    }  # fmt: skip
    assert found.units == ("solar_mj_m2 from W/m² (24-h mean)",)
    told = "; ".join(what for _, what in found.odd)
    assert "2027-01-03 has no tmin_c" in told
    assert "2027-01-04 has its minimum above its maximum" in told
    assert "tmax_c of 2027-01-05 would be 99" in told
    assert '"noon" is no day' in told
    assert '"2027-02-30" is no day' in told


def test_other_units_by_the_headers(tmp_path: Path) -> None:
    text = (
        "date;tmin_f;tmax_f;rain_in;wind_mph;solar_j_cm2;snow_in\n"
        "2027-01-01;23,0;50,0;0,5;10,0;432;2,0\n"
    )
    assert read(tmp_path, text).days == {
        FIRST: {
            "tmin_c": -5.0, "tmax_c": 10.0, "rain_mm": 12.7, "wind_m_s": 4.47,
            "solar_mj_m2": 4.32, "snow_cm": 5.08,
        }
    }  # fmt: skip


def test_hours_make_days(tmp_path: Path) -> None:
    rows = [
        f"2027-01-01 {hour:02}:00,{-2 + hour / 4},{0.1 if hour < 5 else 0},{hour},100"
        for hour in range(24)
    ]
    rows += [f"2027-01-02 {hour:02}:00,5,0,1,0" for hour in range(7)]
    text = "time,temp_c,rain_mm,wind_m_s,solar_w_m2\n" + "\n".join(rows)
    found = read(tmp_path, text)
    assert found.days == {
        FIRST: {
            "tmin_c": -2.0, "tmax_c": 3.75, "rain_mm": 0.5, "wind_m_s": 11.5,
            "solar_mj_m2": 8.64,
        }
    }  # fmt: skip
    assert (0, "2027-01-02 has 7 hours of temp") in found.odd


def test_the_german_services_daily_climate(tmp_path: Path) -> None:
    found = read(tmp_path, DWD)
    assert found.days == {
        FIRST: {
            "tmin_c": -3.2, "tmax_c": 3.8, "wind_m_s": 2.8, "rain_mm": 1.2,
            "snow_cm": 3.0,
        },
        SECOND: {"tmin_c": 0.5, "tmax_c": 4.0},
    }  # fmt: skip
    assert found.odd == [(0, "2027-01-03 has no tmax_c")]
    assert found.units == ()


def test_the_global_summary_of_the_day(tmp_path: Path) -> None:
    found = read(tmp_path, GSOD)
    assert found.days == {
        FIRST: {
            "tmin_c": -5.0, "tmax_c": 10.0, "wind_m_s": 5.14, "rain_mm": 12.7,
            "snow_cm": 5.08,
        },
        SECOND: {"tmin_c": 0.0, "tmax_c": 5.0},
    }  # fmt: skip
    assert "tmin_c from °F" in found.units
    assert "wind_m_s from knots" in found.units


@pytest.mark.parametrize("text", [GHCN, GHCN_CSV], ids=["dly", "csv"])
def test_the_global_network_of_daily_stations(text: str, tmp_path: Path) -> None:
    found = read(tmp_path, text)
    assert found.days == {
        FIRST: {"tmin_c": -1.5, "tmax_c": 6.0, "rain_mm": 0.4, "snow_cm": 3.0},
        SECOND: {"tmin_c": 0.5, "tmax_c": 7.2, "rain_mm": 0.0},
        date(2027, 1, 31): {"tmin_c": 1.0, "tmax_c": 5.0},
    }
    told = [what for _, what in found.odd]
    assert "TMAX of 2027-01-03 failed the service's check X" in told
    assert "2027-01-03 has no tmax_c" in told


def test_a_day_that_the_month_has_not_is_told(tmp_path: Path) -> None:
    text = month("TMAX", {28: "   60  S", 30: "   60  S"}, "202702") + month(
        "TMIN", {28: "   10  S"}, "202702"
    )
    found = read(tmp_path, text)
    assert list(found.days) == [date(2027, 2, 28)]
    assert (1, '"20270230" is no day') in found.odd


def test_one_of_several_stations_has_to_be_named(tmp_path: Path) -> None:
    both = DWD + DWD.split("\n", 1)[1].replace("         99;", "        100;")
    with pytest.raises(InvalidInputError, match="holds 2 stations – say --station"):
        read(tmp_path, both)
    assert len(read(tmp_path, both, station="100").days) == 2
    with pytest.raises(InvalidInputError, match='no station "7" – it has 100, 99'):
        read(tmp_path, both, station="7")


@pytest.mark.parametrize(
    ("layout", "text"),
    [("plain", PLAIN), ("dwd-daily", DWD), ("gsod", GSOD), ("ghcn-daily", GHCN)],
)
def test_a_layout_can_be_demanded(layout: str, text: str, tmp_path: Path) -> None:
    assert layout in LAYOUTS
    assert read(tmp_path, text, layout=layout).days == read(tmp_path, text).days
    other = "ghcn-daily" if layout != "ghcn-daily" else "gsod"
    with pytest.raises(InvalidInputError, match=f"is not laid out as {other}"):
        read(tmp_path, text, layout=other)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "is in no layout known here"),
        ("x" * 200_000, "is longer than 100,000 characters"),
        ('date,tmin_c,tmax_c\n"x,1,2' + "\ny" * 150_000, "parted into cells"),
        ("plant,why\nquince,jam\n", "is in no layout known here"),
        ("date,tmin_c,tmax_c\n", "holds no day with minimum and maximum"),
        ("date,temp_c\n2027-01-01,5\n", "holds no day with minimum and maximum"),
    ],
)
def test_another_file_is_refused(text: str, what: str, tmp_path: Path) -> None:
    with pytest.raises(InvalidInputError, match=what):
        read(tmp_path, text)


@pytest.mark.parametrize("name", ["ie_gurteen_daily.csv", "ie_ballyhaise_daily.csv"])
def test_measured_days_of_two_stations(name: str) -> None:
    """Against the file's own first and last lines, parted by hand."""
    path = SHARED / "data" / name
    if not path.is_file():
        pytest.skip("the measured stations are not here (PROPSCHED_SHARED)")
    found = read_station(path)
    lines = path.read_text(encoding="utf-8").splitlines()
    assert not found.odd
    assert len(found.days) == len(lines) - 1
    heads = lines[0].split(",")
    for line in (lines[1], lines[-1]):
        row = dict(zip(heads, line.split(","), strict=True))
        values = found.days[date.fromisoformat(row["date"])]
        assert values["tmin_c"] == float(row["tmin_c"])
        assert values["tmax_c"] == float(row["tmax_c"])
        if row["solar_w_m2"]:
            watts = float(row["solar_w_m2"])
            assert values["solar_mj_m2"] == pytest.approx(watts * 0.0864, abs=0.006)
