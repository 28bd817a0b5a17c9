"""An invented garden to be lived through for a whole winter, and what befalls it."""

from datetime import date, timedelta
from pathlib import Path

from folders import write_folder

START, END = date(2026, 10, 31), date(2027, 5, 29)
"""Two Saturdays, thirty weeks apart."""
WEEKS = 30
LOW_C = (1, 1, 2, 4, 7, 10, 12, 12, 10, 7, 4, 2)
HIGH_C = (7, 8, 10, 13, 16, 19, 22, 22, 19, 14, 10, 8)
SNAP = date(2027, 1, 13)
SNAP_DAYS, SNAP_K = 5, 8.0
PROBE_C = 0.5
"""What the thermometer shows too little; ``offset_c`` has it."""

SEASON = f"""\
format = 1

[season]
name = "lived winter (invented)"
start = {START}
end = {END}

[site]
latitude = 53.0
timezone = "Europe/Dublin"
normals_tmin_c = {list(LOW_C)}
normals_tmax_c = {list(HIGH_C)}

[work]
days = ["sat", "sun"]
minutes_per_day = 240
away = [{{ from = 2026-12-24, to = 2026-12-31 }}]

[heat]
price_per_kwh = 0.3
currency = "£"

[[probe]]
id = "stem"
offset_c = {PROBE_C}

[[space]]
id = "border"
kind = "open-ground"
area_m2 = 4

[[space]]
id = "frame"
kind = "cold-frame"
area_m2 = 1.6

[[space]]
id = "house"
kind = "glasshouse"
area_m2 = 1.5

[[space]]
id = "bench"
kind = "heated-bench"
area_m2 = 0.3
inside = "house"
heat = {{ set_c = 18, w_per_m2 = 120 }}

[[space]]
id = "sill"
kind = "windowsill"
area_m2 = 0.3
room_c = 17

[[space]]
id = "hotbed"
kind = "hotbed"
area_m2 = 0.8
make_up_from = 2027-02-06
make_up_to = 2027-03-06

[[space]]
id = "shed"
kind = "store"
area_m2 = 0.5
room_c = 5
"""
CLOSED = "reserved = [{ area_m2 = 0.3, from = 2027-03-13, to = 2027-03-26 }]"
"""The bench is out of use for a fortnight; told of three weeks before."""
BATCHES = """\
batch,crop,method,wanted,sown,available_from,available_to,wanted_by,priority,repeat,split
currants,blackcurrant,hardwood,30,36,2026-11-07,2027-02-20,,3,,
geraniums,pelargonium,tip,10,12,2026-11-01,2026-11-21,,3,,
poppies,oriental poppy,root,20,24,2026-12-05,2027-03-06,2027-05-29,3,,
rhubarb,rhubarb,division,4,4,2026-11-14,2027-02-27,,3,,
columbines,columbine,seed,20,40,2026-11-14,2027-01-30,,2,,
beans,broad bean,seed,60,70,2026-11-07,2027-02-20,2027-04-24,3,,yes
onions,onion,seed,100,140,2027-01-02,2027-02-28,2027-04-24,4,,
leeks,leek,seed,80,110,2027-02-06,2027-04-10,2027-05-29,3,,
tomatoes,tomato,seed,12,16,2027-02-06,2027-03-27,2027-05-22,5,,
lettuce,lettuce,seed,24,30,2027-01-30,,2027-04-10,3,every 21 days × 2,
celery,celery,seed,24,60,2027-02-13,2027-04-03,2027-05-29,3,,
cabbages,cabbage,seed,24,30,2027-02-06,2027-04-03,2027-05-01,3,,
"""


def saturday(week: int) -> date:
    return START + timedelta(weeks=week)


def write_garden(folder: Path) -> Path:
    """The season on its first day, with nothing noted and hardly any weather."""
    day = START - timedelta(days=1)
    return write_folder(
        folder,
        season_toml=SEASON,
        batches_csv=BATCHES,
        weather_csv=f"date,tmin_c,tmax_c,kind,note\n{day},6.0,12.0,observed,\n",
        history_csv=None,
        readings_csv=None,
        daybook_csv=None,
        pins_csv=None,
        crops_csv=None,
    )
