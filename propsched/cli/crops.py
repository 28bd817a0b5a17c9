"""``propsched crops``, and ``propsched crops fit``."""

from collections.abc import MutableMapping
from pathlib import Path
from typing import Any

import click

from propsched.cli.options import format_option
from propsched.cli.output import data, notes, show
from propsched.domain.crop import METHODS


class Crops(click.Command):
    """Words to search for, but ``fit`` as the first of them is a command."""

    def make_context(
        self,
        info_name: str | None,
        args: list[str],
        parent: click.Context | None = None,
        **extra: Any,
    ) -> click.Context:
        if args[:1] == ["fit"]:
            return fit.make_context(f"{info_name} fit", args[1:], parent, **extra)
        return super().make_context(info_name, args, parent, **extra)


@click.command(
    "crops",
    cls=Crops,
    epilog="`propsched crops fit FILE` makes rows of your own trial, see its --help.",
)
@click.argument("words", metavar="[WORDS]...", nargs=-1)
@click.option("--method", type=click.Choice(METHODS), help="Seed, cuttings and so on.")
@click.option(
    "--season",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    metavar="SEASON",
    help="Lay this season's crops.csv over the table, and mark what it overrides.",
)
@click.option("--bases", "by_basis", is_flag=True, help="What the figures rest on.")
@format_option
def command(
    words: tuple[str, ...],
    method: str | None,
    season: Path | None,
    by_basis: bool,
    form: str,
) -> None:
    """Search the crop table; of one row, show every figure and its origin.

    WORDS are a crop as you would call it, or a part of its names; none lists all.
    """
    if by_basis and (words or method):
        raise click.UsageError("--bases counts the whole table: leave out the rest")
    from propsched.report import crops as report
    from propsched.service.crops import bases, crops

    if by_basis:
        counts = bases(season)
        notes(counts.notes)
        _print(form, report.bases_csv, report.bases_json, report.bases_report, counts)
        return
    answer = crops(words, method=method, folder=season)
    notes(answer.notes)
    _print(form, report.crops_csv, report.crops_json, report.crops_report, answer)


@click.command("fit")
@click.argument(
    "file", metavar="FILE", type=click.Path(exists=True, dir_okay=False, path_type=Path)
)
@click.option("--crop", help="Name in the rows; else the name of the file.")
@click.option(
    "--method",
    type=click.Choice(METHODS),
    default="seed",
    show_default=True,
    help="Of the rows.",
)
@click.option(
    "--new/--cumulative",
    "new",
    default=None,
    help="Whether `germinated` counts what came since the look before, or all so far.",
)
@click.option("--base", type=float, metavar="C", help="Base temperature, if known.")
@click.option("--t50", is_flag=True, help="Each temperature by itself, no base or sum.")
@click.option(
    "--times",
    type=click.Choice(["lognormal", "normal"]),
    default="lognormal",
    show_default=True,
    help="How the heat sums of a lot are spread.",
)
@click.option(
    "--up-to",
    type=float,
    metavar="C",
    help="Leave out warmer dishes; else those warmer than the fastest.",
)
@format_option
def fit(
    file: Path,
    crop: str | None,
    method: str,
    new: bool | None,
    base: float | None,
    t50: bool,
    times: str,
    up_to: float | None,
    form: str,
) -> None:
    """Fit base temperature, heat sum, spread and final fraction to your own trial.

    FILE has the columns temp_c, day, sown, and new or cumulative (or germinated),
    and dish and lot if known; a row for each count. Prints the figures with their
    standard errors, and rows ready to paste into a season's crops.csv.
    """
    if t50 and base is not None:
        raise click.UsageError("--t50 needs no --base")
    from propsched.report import crop_fit as report
    from propsched.service.crop_fit import fit_file

    chosen: MutableMapping[str, Any] = {"method": method, "times": times}
    if new is not None:
        chosen["counts"] = "new" if new else "cumulative"
    answer = fit_file(
        file, crop=crop, base_c=base, t50_only=t50, up_to_c=up_to, **chosen
    )
    notes(answer.notes)
    _print(form, report.fit_csv, report.fit_json, report.fit_report, answer)
    if form == "table" and answer.paste:
        data("\nRows for crops.csv\n" + report.fit_csv(answer))


def _print(form: str, as_csv: Any, as_json: Any, as_report: Any, answer: Any) -> None:
    if form == "csv":
        data(as_csv(answer))
    elif form == "json":
        data(as_json(answer))
    else:
        show(lambda width: as_report(answer, width=width))
