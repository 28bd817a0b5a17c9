"""A small spring garden with a batch in every state, and a plan of it; all invented."""

from datetime import date, timedelta
from pathlib import Path

from folders import write_folder

from propsched.domain.plan import (
    BatchPlan,
    HeatRun,
    HotbedRun,
    NotPlaced,
    Placement,
    Plan,
    Scarce,
    StandingOver,
)

TODAY = date(2027, 3, 6)
"""A Saturday, and a work day."""
SEASON = """\
format = 1

[season]
name = "Spring garden (invented)"
start = 2027-01-02
end = 2027-05-30

[site]
latitude = 53.0
normals_tmin_c = [1, 1, 2, 4, 7, 10, 12, 12, 10, 7, 4, 2]
normals_tmax_c = [7, 8, 10, 13, 16, 19, 22, 22, 19, 14, 10, 8]

[work]
days = ["sat", "sun"]
minutes_per_day = 150
away = [{ from = 2027-03-27, to = 2027-04-02 }]

[heat]
price_per_kwh = 0.3
currency = "£"

[[probe]]
id = "stem"
offset_c = -0.5

[[space]]
id = "propagator"
kind = "propagator"
area_m2 = 0.2
depth_cm = 2
inside = "house"
heat = { set_c = 21, w_per_m2 = 150 }

[[space]]
id = "bench"
kind = "heated-bench"
area_m2 = 0.6
inside = "house"
heat = { set_c = 16, w_per_m2 = 150, when = "by-week" }

[[space]]
id = "windowsill"
kind = "windowsill"
area_m2 = 0.4
room_c = 17

[[space]]
id = "hotbed"
kind = "hotbed"
area_m2 = 1.5
make_up_from = 2027-02-06
make_up_to = 2027-03-06

[[space]]
id = "frame"
kind = "cold-frame"
area_m2 = 1.0
covers = ["fleece"]

[[space]]
id = "house"
kind = "glasshouse"
area_m2 = 2.0
reserved = [{ area_m2 = 1.0, from = 2027-01-02, to = 2027-04-10 }]

[[space]]
id = "border"
kind = "open-ground"
area_m2 = 4.0

[[space]]
id = "pond"
kind = "check-point"
area_m2 = 0
"""
BATCHES = """\
batch,crop,variety,method,wanted,container,available_from,wanted_by,priority,repeat,note
currants,blackcurrant,Invented Giant,hardwood,40,row 15x30,2027-01-02,,2,,
vine,grape vine,,hardwood,20,half-tray,2027-01-10,2027-05-01,3,,eyes from the pergola
bean,broad bean,,seed,48,,2027-01-10,2027-03-20,4,,
onion,onion,,seed,120,,2027-01-05,2027-03-06,3,,
leek,leek,,seed,200,,2027-02-01,2027-05-10,4,,
tomato,tomato,,seed,24,,2027-02-15,2027-05-20,5,,
chilli,chilli,,seed,12,,2027-02-20,2027-05-25,3,,
lettuce,lettuce,,seed,24,,2027-03-01,2027-04-24,3,every 14 days × 3,
cucumber,cucumber,,seed,6,,2027-04-05,2027-05-20,4,,
aubergine,aubergine,,seed,8,,2027-03-01,2027-04-01,1,,
"""
DAYBOOK = """\
time,batch,event,space,count,note
2027-01-09 10:00,currants,struck,border,42,
2027-01-09 11:00,onion,sown,windowsill,150,
2027-01-16 10:00,bean,sown,frame,52,
2027-01-16 10:30,vine,struck,bench,22,
2027-01-24 09:00,onion,emerged,windowsill,131,
2027-02-06 10:00,leek,sown,windowsill,240,
2027-02-06 11:00,bean,emerged,frame,50,
2027-02-13 10:00,,bed-made-up,hotbed,,
2027-02-20 10:00,tomato,sown,propagator,30,
2027-02-27 10:00,vine,rooted,bench,17,
2027-02-27 10:10,bean,hardening,frame,50,
2027-02-27 10:30,chilli,sown,propagator,16,
2027-02-28 09:00,tomato,emerged,propagator,27,
2027-03-01 08:00,leek,lost,windowsill,240,slugs
2027-03-05 16:00,onion,planted-out,border,131,
"""
READINGS = """\
time,space,depth_cm,temp_c,probe,note
2027-02-27 08:30,frame,,5.5,stem,
2027-02-28 08:30,frame,,6.5,stem,
2027-03-05 08:30,frame,,7.5,stem,
2027-03-05 08:40,border,,6.0,stem,
2027-03-05 08:45,pond,,6.5,,
"""
WEATHER = "date,tmin_c,tmax_c\n" + "".join(
    f"{date(2027, 1, 2) + timedelta(days=day)},{2 + day % 5 - 2},{8 + day % 4}\n"
    for day in range(63)
)


def write_garden(folder: Path, **texts: str | None) -> Path:
    """Write the garden; keywords such as ``batches_csv`` replace files."""
    plain: dict[str, str | None] = {
        "season_toml": SEASON,
        "batches_csv": BATCHES,
        "weather_csv": WEATHER,
        "history_csv": None,
        "readings_csv": READINGS,
        "daybook_csv": DAYBOOK,
        "pins_csv": "batch,stage,space,start\ncucumber,start,propagator,2027-04-10\n",
        "crops_csv": None,
    }
    return write_folder(folder, **{**plain, **texts})


_STAYS = """\
currants  blackcurrant hardwood start     border     01-09 05-31 05-31  8.2 1.80 40 row
vine      grape-vine   hardwood start     bench      01-16 02-27 02-27 15.6 0.05  1 half-tray
vine      grape-vine   hardwood pot-up    bench      02-27 04-10 04-17 16.1 0.16 20 9cm-pot
vine      grape-vine   hardwood harden    frame      04-10 04-24 04-24 11.2 0.16 20 9cm-pot
bean      broad-bean   seed     start     frame      01-16 02-06 02-06  7.1 0.18  2 module-tray
bean      broad-bean   seed     grow      frame      02-06 02-27 02-27  7.9 0.18  2 module-tray
bean      broad-bean   seed     harden    frame      02-27 03-13 03-13  8.8 0.18  2 module-tray
tomato    tomato       seed     start     propagator 02-20 02-28 02-28 20.8 0.05  1 half-tray
tomato    tomato       seed     seedling  propagator 02-28 03-13 03-14 20.7 0.05  1 half-tray
tomato    tomato       seed     prick-out bench      03-13 05-02 05-08 16.4 0.20 24 9cm-pot
tomato    tomato       seed     harden    frame      05-02 05-16 05-16 15.4 0.20 24 9cm-pot
chilli    chilli       seed     start     propagator 02-27 03-14 03-20 20.8 0.05  1 half-tray
chilli    chilli       seed     seedling  propagator 03-14 04-03 04-10 20.9 0.05  1 half-tray
chilli    chilli       seed     prick-out bench      04-03 05-08 05-15 16.9 0.10 12 9cm-pot
chilli    chilli       seed     harden    frame      05-08 05-22 05-22 15.9 0.10 12 9cm-pot
lettuce-1 lettuce      seed     start     hotbed     03-06 03-14 03-14 16.2 0.09  1 module-tray
lettuce-1 lettuce      seed     grow      hotbed     03-14 04-10 04-11 14.1 0.09  1 module-tray
lettuce-1 lettuce      seed     harden    frame      04-10 04-17 04-17 11.0 0.09  1 module-tray
lettuce-2 lettuce      seed     start     hotbed     03-20 03-26 03-28 14.9 0.09  1 module-tray
lettuce-2 lettuce      seed     grow      hotbed     03-26 04-24 04-25 13.8 0.09  1 module-tray
lettuce-2 lettuce      seed     harden    frame      04-24 05-01 05-01 12.8 0.09  1 module-tray
lettuce-3 lettuce      seed     start     house      04-03 04-10 04-11 12.9 0.09  1 module-tray
lettuce-3 lettuce      seed     grow      house      04-10 05-08 05-09 14.9 0.09  1 module-tray
lettuce-3 lettuce      seed     harden    frame      05-08 05-15 05-15 14.2 0.09  1 module-tray
cucumber  cucumber     seed     start     propagator 04-10 04-18 04-18 21.0 0.06  6 9cm-pot
cucumber  cucumber     seed     pot-up    bench      04-18 05-08 05-09 17.4 0.10  6 1l-pot
cucumber  cucumber     seed     harden    frame      05-08 05-15 05-22 15.9 0.10  6 1l-pot
"""  # noqa: E501
_ENDS = """\
currants  -     -     -     38.4  0.00 40
vine      04-24 05-01 05-01 16.5  6.10 20
bean      03-13 03-13 03-20 46.0  0.00 48
tomato    05-16 05-22 05-20 23.1 11.40 24
chilli    05-22 05-29 05-25 10.8  5.20 12
lettuce-1 04-17 04-18 04-24 23.0  0.00 24
lettuce-2 05-01 05-02 05-08 22.5  0.00 24
lettuce-3 05-15 05-16 05-22 22.0  0.00 24
cucumber  05-15 05-22 05-20  5.4  2.30  6
"""


def _day(text: str) -> date:
    return date.fromisoformat(f"2027-{text}")


def _stay(row: str) -> Placement:
    batch, crop, method, stage, space, start, end, late, warm, area, number, what = (
        row.split()
    )
    covered = space == "frame" and start < "04-01"
    heated = space == "bench" and start < "04-01"
    return Placement(
        batch=batch,
        crop=crop.replace("-", " "),
        method=method,
        stage=stage,
        space=space,
        start=_day(start),
        end=_day(end),
        end_latest=_day(late),
        root_mean_c=float(warm),
        area_m2=float(area),
        containers=int(number),
        container=what,
        variant="fleece" if covered else "heat on" if heated else "as set",
    )


def _end(row: str) -> BatchPlan:
    batch, ready, latest, wanted_by, plants, cost, wanted = row.split()
    return BatchPlan(
        batch=batch,
        ready=None if ready == "-" else _day(ready),
        ready_latest=None if latest == "-" else _day(latest),
        wanted_by=None if wanted_by == "-" else _day(wanted_by),
        plants_expected=float(plants),
        cost=float(cost),
        wanted=int(wanted),
        reason="the next best place is the windowsill, where it is ready 9 days later",
    )


def garden_plan(**over: object) -> Plan:
    """The plan in force of the garden, made that morning."""
    plain: dict[str, object] = {
        "season": "Spring garden (invented)",
        "today": TODAY,
        "status": "within gap",
        "worth": 7.412,
        "bound": 7.441,
        "gap": 0.0039,
        "terms": {"plants": 7.9, "late": -0.2, "heat": -0.288},
        "placements": tuple(map(_stay, _STAYS.splitlines())),
        "batches": tuple(map(_end, _ENDS.splitlines())),
        "not_placed": (
            NotPlaced(
                batch="aubergine",
                reason="it cannot be ready by 1 April wherever it is sown – "
                "the earliest is 20 May in the propagator",
            ),
        ),
        "standing_over": (
            StandingOver(batch="currants", space="border", half_by=date(2027, 10, 3)),
        ),
        "heat": (
            HeatRun(
                space="propagator", start=date(2027, 1, 2), end=date(2027, 5, 30),
                kwh=61.0, cost=18.3, cost_to_come=9.1,
            ),
            HeatRun(
                space="bench", start=date(2027, 1, 16), end=date(2027, 4, 11),
                kwh=74.0, cost=22.2, cost_to_come=8.4,
            ),
        ),
        "hotbeds": (HotbedRun(space="hotbed", make_up=date(2027, 2, 13)),),
        "scarce": (
            Scarce(space="propagator", week=date(2027, 3, 1), worth_per_tray=0.08),
            Scarce(space="propagator", week=date(2027, 3, 8), worth_per_tray=0.05),
            Scarce(space="bench", week=date(2027, 4, 12), worth_per_tray=0.02),
        ),
        "cautions": ("Manure: wash hands, keep tetanus protection up.",),
        "warnings": ("cucumber may be two days late in one winter in five",),
        "versions": {"propsched": "0"},
    }  # fmt: skip
    return Plan(**{**plain, **over})  # type: ignore[arg-type]
