"""A fitted trial: figures, temperatures, rows to paste."""

from rich.console import Group, RenderableType
from rich.text import Text

from propsched.report.crops import figures_as_numbers
from propsched.report.layout import add, grid, heading
from propsched.report.machine import as_csv, as_json, record
from propsched.report.words import clean
from propsched.service.crop_fit import FitAnswer, FitRow, FitTemperature
from propsched.service.paste_row import PasteRow

ROW_KEYS = tuple(FitRow.__dataclass_fields__)
TEMPERATURE_KEYS = tuple(FitTemperature.__dataclass_fields__)
PASTE_KEYS = tuple(PasteRow.__dataclass_fields__)


def fit_csv(answer: FitAnswer) -> str:
    """Rows to paste into ``crops.csv``; the temperatures where there are none."""
    if not answer.rows:
        rows = [record(TEMPERATURE_KEYS, one) for one in answer.temperatures]
        return as_csv(TEMPERATURE_KEYS, rows)
    paste = [figures_as_numbers(record(PASTE_KEYS, row)) for row in answer.paste]
    return as_csv(PASTE_KEYS, paste)


def fit_json(answer: FitAnswer) -> str:
    return as_json(
        {
            "crop": answer.crop,
            "figures": [record(ROW_KEYS, row) for row in answer.rows],
            "temperatures": [
                record(TEMPERATURE_KEYS, one) for one in answer.temperatures
            ],
            "rows": [record(PASTE_KEYS, row) for row in answer.paste],
        }
    )


def fit_report(answer: FitAnswer, *, width: int) -> Group:
    """Figures and temperatures; the rows to paste are the CSV, which never wraps."""
    del width
    parts: list[RenderableType] = [Text(clean(answer.crop), style="bold")]
    if answer.rows:
        heads = ("value", "± s.e.", "95 % from", "to")
        table = grid("figure", *heads, right=heads)
        for row in answer.rows:
            cells = (row.value, row.error, row.low, row.high)
            add(table, row.figure, *(_number(cell) for cell in cells))
        parts += [table, heading("Each temperature by itself")]
    columns = ("°C", "sown", "come", "half by, d", "± s.e.", "fitted", "final", "±")
    table = grid(*columns, right=columns)
    for one in answer.temperatures:
        add(
            table,
            f"{one.temp_c:g}",
            str(one.sown),
            str(one.come),
            _number(one.t50_d),
            _number(one.t50_error),
            _number(one.fitted_t50_d),
            _number(one.fraction),
            _number(one.fraction_error),
        )
    parts.append(table)
    return Group(*parts)


def _number(value: float | None) -> str:
    """Three figures; a dash where there is none."""
    if value is None:
        return "–"
    return f"{value:.0f}" if abs(value) >= 100 else f"{value:.3g}"
