"""
Jobs and calendar of a year from an invented season of 2,000 batches.

    PYTHONPATH=.:tests python tests/benchmarks/nursery_year.py [--batches 2000]

The plan is made up (every stage stays three weeks, spaces in turn): what is measured is
what comes after planning.  Each line is one command in this process, once, without the
import of libraries.
"""

import argparse
import tempfile
import time
from datetime import date, timedelta
from pathlib import Path

from click.testing import CliRunner
from folders import write_folder

from propsched.cli.main import cli
from propsched.domain.plan import BatchPlan, Placement, Plan
from propsched.files.write import write_plan
from propsched.service.opened import open_season

START, END = date(2026, 9, 1), date(2027, 8, 31)
SPACES = 20
STAY = timedelta(days=21)
CROPS = (
    ("leek", "seed"), ("lettuce", "seed"), ("onion", "seed"), ("cabbage", "seed"),
    ("tomato", "seed"), ("celery", "seed"), ("lobelia", "seed"),
    ("blackcurrant", "hardwood"), ("lavender", "evergreen"), ("oriental poppy", "root"),
)  # fmt: skip


def write_nursery(folder: Path, batches: int) -> None:
    spaces = "".join(
        f'[[space]]\nid = "house {n}"\nkind = "glasshouse"\narea_m2 = 60\n\n'
        for n in range(SPACES)
    )
    write_folder(
        folder,
        season_toml=(
            f'format = 1\n[season]\nname = "nursery (invented)"\nstart = {START}\n'
            f"end = {END}\n[site]\nlatitude = 52.0\n"
            "normals_tmin_c = [1, 1, 2, 4, 7, 10, 12, 12, 10, 7, 4, 2]\n"
            "normals_tmax_c = [7, 8, 10, 13, 16, 19, 22, 22, 19, 14, 10, 8]\n"
            f"[work]\ndays = ['mon', 'wed', 'fri']\nminutes_per_day = 2000\n{spaces}"
        ),
        batches_csv="batch,crop,method,wanted\n" + "".join(
            "b{},{},{},{}\n".format(n, *CROPS[n % len(CROPS)], 50 + n % 200)
            for n in range(batches)
        ),
        weather_csv=f"date,tmin_c,tmax_c\n{START},8,16\n",
        history_csv=None, readings_csv=None, daybook_csv=None, pins_csv=None,
        crops_csv=None,
    )  # fmt: skip
    opened = open_season(folder, today=START)
    placements, told = [], []
    for n, one in enumerate(opened.whole):
        day = START + timedelta(days=1 + n * 250 // batches)
        for k, needs in enumerate(one.crop.stages):
            plants = one.plants(k)
            placements.append(
                Placement(
                    batch=one.batch.id, crop=one.crop.name, method=one.crop.method,
                    stage=needs.stage, space=f"house {(n + k) % SPACES}", start=day,
                    end=day + STAY, end_latest=day + STAY, root_mean_c=12.0,
                    area_m2=1.0, containers=needs.container.number(plants),
                    container=needs.container.name,
                )
            )  # fmt: skip
            day += STAY
        told.append(
            BatchPlan(
                batch=one.batch.id, ready=day, ready_latest=day, wanted_by=None,
                plants_expected=one.batch.wanted, cost=0.0,
            )
        )  # fmt: skip
    write_plan(
        folder,
        Plan(
            season=opened.season.name, today=START, status="within gap", worth=1.0,
            bound=1.0, gap=0.0, terms={}, placements=tuple(placements),
            batches=tuple(told), not_placed=(), standing_over=(), heat=(), hotbeds=(),
            scarce=(), cautions=(), inputs=opened.files.digests,
        ),
    )  # fmt: skip


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--batches", type=int, default=2000)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as where:
        folder, out = Path(where) / "season", Path(where) / "out"
        write_nursery(folder, asked.batches)
        today = ["--today", START.isoformat()]
        year = ["--days", str((END - START).days)]
        for words in (
            ["jobs", str(folder), *today, *year],
            ["jobs", str(folder), *today, *year, "--format", "csv"],
            ["export", str(folder), *today, "--ics", str(out / "year.ics")],
            ["export", str(folder), *today, "--html", str(out / "week.html")],
            ["lookback", str(folder), *today],
        ):
            began = time.perf_counter()
            run = CliRunner().invoke(cli, words)
            spent = time.perf_counter() - began
            size = len(run.stdout) or 0
            if "--ics" in words:
                size = (out / "year.ics").stat().st_size
            name = " ".join([words[0], *(w for w in words[4:] if w.startswith("--"))])
            print(f"{name:<32}{spent:>7.1f} s, {size / 1e6:.2f} MB, {run.exit_code}")


if __name__ == "__main__":
    main()
