"""A tiny season folder and a tiny crop table as text, right in every cell."""

from pathlib import Path

SEASON = """\
format = 1

[season]
name = "invented"
start = 2026-11-01
end = 2027-05-31

[site]
latitude = 53.0
timezone = "Europe/Dublin"
normals_tmin_c = [1, 1, 2, 4, 7, 10, 12, 12, 10, 7, 4, 2]
normals_tmax_c = [7, 8, 10, 13, 16, 19, 22, 22, 19, 14, 10, 8]

[work]
days = ["sat", "sun"]
minutes_per_day = 150
round_minutes = 10
away = [{ from = 2026-12-22, to = 2027-01-02 }]

[[probe]]
id = "kitchen"
offset_c = -0.5

[[space]]
id = "border"
kind = "open-ground"
area_m2 = 4.0

[[space]]
id = "house"
kind = "glasshouse"
area_m2 = 3.0
reserved = [{ area_m2 = 2.0, from = 2026-11-01, to = 2027-04-01 }]

[[space]]
id = "bench"
kind = "heated-bench"
inside = "house"
area_m2 = 0.6
heat = { set_c = 18, w_per_m2 = 150, from = 2026-12-01, to = 2027-03-31 }

[[space]]
id = "hotbed"
kind = "hotbed"
area_m2 = 1.5
make_up = 2027-02-01

[[space]]
id = "pond"
kind = "check-point"
"""
BATCHES = """\
batch,crop,variety,method,wanted,sown,container,available_from,available_to,wanted_from,wanted_by,priority,repeat,seed_year,germination_pct,split,note
currants,blackcurrant,,hardwood,40,,row 15x30,2026-11-10,2027-02-28,,,3,,,,no,
leeks,leek,,seed,200,,,2027-02-10,2027-03-31,2027-05-01,2027-05-31,4,,2026,85,yes,
salad,lettuce,,seed,12,,module-tray 40,2027-01-20,,,2027-03-20,3,every 14 days × 4,,,,
"""
WEATHER = """\
date,tmin_c,tmax_c,solar_mj_m2,kind
2026-11-01,4.0,11.5,5.1,observed
2026-11-02,-0.5,8.0,,observed
2026-11-03,1.0,9.0,4.0,forecast
"""
HISTORY = """\
date,tmin_c,tmax_c
2024-12-30,1.0,6.0
2024-12-31,2.0,7.0
2025-11-01,3.0,9.0
2025-11-02,4.0,9.5
"""
READINGS = """\
time,space,depth_cm,temp_c,probe,note
2026-11-01 08:30,border,8,7.5,kitchen,
2026-11-02T08:30+00:00,pond,,6.0,,
"""
DAYBOOK = """\
time,batch,event,space,count,note
2026-11-10 10:00,currants,struck,border,50,
2027-02-01,,bed-made-up,hotbed,,
2027-02-03 09:00,salad-1,emerged,,10,
2027-02-05 09:00,currants,lost,,3,
"""
PINS = """\
batch,stage,space,start
currants,start,border,
salad-2,seedling,house,2027-02-20
"""
CROPS = """\
crop,method,stage,figure,value
leek,seed,start,base_c,2.0
"""
GOOD: dict[str, str] = {
    "season.toml": SEASON,
    "batches.csv": BATCHES,
    "weather.csv": WEATHER,
    "history.csv": HISTORY,
    "readings.csv": READINGS,
    "daybook.csv": DAYBOOK,
    "pins.csv": PINS,
    "crops.csv": CROPS,
}

TABLE: dict[str, str] = {
    "sources.csv": "key,citation\ntrial,Somebody's germination trial (invented)\n",
    "groups.csv": """\
group,stage,figure,value,basis,source,note
@sown,,stages,start seedling,common practice,,
@sown,start,container,tray,common practice,,
@sown,seedling,container,module-tray,common practice,,
@sown,seedling,holds,40,common practice,,
@sown,harden,days,10,common practice,,
@cool,start,base_c,1,common practice,,
@cool,start,opt_c,20,common practice,,
""",
    "seed.csv": """\
crop,stage,figure,value,basis,source,note
leek,,like,@sown @cool,common practice,,
leek,,latin,Allium porrum,common practice,,
leek,,also,spring leek; winter leek,common practice,,
leek,start,base_c,1.7,published,trial,
leek,start,sum_c_d,190,derived,trial,
leek,start,fraction,10:0.82 15:0.98,published,trial,
lettuce,,like,@sown,common practice,,
lettuce,,edible,yes,common practice,,
""",
    "hardwood.csv": """\
crop,stage,figure,value,basis,source,note
blackcurrant,,stages,start,common practice,,
blackcurrant,,latin,Ribes nigrum,common practice,,
blackcurrant,,stands_over,yes,common practice,,
blackcurrant,,material,11 12 1 2,common practice,,
blackcurrant,start,container,row,common practice,,
blackcurrant,start,rows_cm,30,common practice,,
""",
}


def write_folder(folder: Path, **texts: str | bytes | None) -> Path:
    """
    Write the good season; keywords such as ``weather_csv`` replace files.

    None leaves a file out.
    """
    folder.mkdir(parents=True, exist_ok=True)
    names = {name.replace(".", "_"): name for name in GOOD}
    for name, text in {**GOOD, **{names[k]: v for k, v in texts.items()}}.items():
        if text is not None:
            raw = text if isinstance(text, bytes) else text.encode()
            (folder / name).write_bytes(raw)
    return folder


def write_table(folder: Path, **texts: str) -> Path:
    """Write the tiny crop table; keywords such as ``seed_csv`` replace files."""
    folder.mkdir(parents=True, exist_ok=True)
    names = {name.replace(".", "_"): name for name in TABLE}
    for name, text in {**TABLE, **{names[k]: v for k, v in texts.items()}}.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


LEFT_OPEN = """\
format = 1

[season]
name = "all of it left to the plan (invented)"
start = 2027-01-01
end = 2027-05-31

[site]
latitude = 52.0
normals_tmin_c = [1, 1, 2, 4, 7, 10, 12, 12, 10, 7, 4, 2]
normals_tmax_c = [7, 8, 10, 13, 16, 19, 22, 22, 19, 14, 10, 8]

[work]
days = ["sat", "sun"]
minutes_per_day = 240

[heat]
price_per_kwh = 0.5
currency = "£"
manure_m3 = 0.6

[[space]]
id = "frame"
kind = "cold-frame"
area_m2 = 0.8
covers = ["fleece", "mat"]

[[space]]
id = "box"
kind = "propagator"
area_m2 = 0.1
depth_cm = 2
inside = "frame"
heat = { set_c = 21, w_per_m2 = 150, when = "by-week" }

[[space]]
id = "bed"
kind = "hotbed"
area_m2 = 0.6
make_up = [2027-02-06, 2027-03-06]

[[space]]
id = "border"
kind = "open-ground"
area_m2 = 2.0
"""
LEFT_OPEN_BATCHES = """\
batch,crop,method,wanted,available_from,wanted_by,priority,repeat,split
tomato,tomato,seed,12,2027-02-01,2027-05-15,4,,
salad,lettuce,seed,24,2027-02-06,2027-04-10,3,every 14 days × 2,
bedding,lobelia,seed,160,2027-02-01,2027-05-20,3,,yes
onion,onion,seed,120,2027-01-10,2027-04-20,3,,
pepper,chilli,seed,8,2027-02-01,2027-05-20,4,,
"""


def write_left_open(folder: Path, **texts: str | None) -> Path:
    """Write a small season in which all that can be is left to the plan."""
    return write_folder(
        folder,
        **{
            "season_toml": LEFT_OPEN,
            "batches_csv": LEFT_OPEN_BATCHES,
            "weather_csv": "date,tmin_c,tmax_c\n2027-01-01,2.0,7.0\n",
            **dict.fromkeys(
                ("history_csv", "readings_csv", "daybook_csv", "pins_csv", "crops_csv")
            ),
            **texts,
        },
    )
