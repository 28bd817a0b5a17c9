"""
Predicted against published, group by group, and every exception with its reason.

    PYTHONPATH=. python tests/benchmarks/response_table.py [--all]
"""

import sys
from itertools import groupby
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from reference.response import (  # noqa: E402
    NOT_PREDICTED,
    Row,
    all_rows,
    stratification,
)

LARGE, LARGE_K = 0.20, 1.0


def main() -> None:
    rows = sorted(all_rows(), key=lambda row: (row.group, row.kind))
    print("| group | figures | kind | median error | worst |\n|---|---|---|---|---|")
    for (group, kind), some in groupby(rows, key=lambda row: (row.group, row.kind)):
        print(_summary(group, kind, list(some)))
    ranked = list(stratification())
    right = sum(one.right for one in ranked)
    own = sum(one.own for one in ranked)
    print(
        f"| stratification, pairs ranked | {len(ranked)} | {own} by the crop table's "
        f"own weeks | {right / len(ranked):.0%} right | |"
    )
    print("\nPairs ranked wrong:")
    for one in ranked:
        if not one.right:
            print(
                f"* {one.pair.latin} ({one.pair.source}): "
                f"{one.pair.reason or 'no reason known'}"
            )
    print("\nFigures off by more than a fifth, or 1 K:")
    for row in rows:
        large = LARGE_K if row.unit == "K" else LARGE
        if row.error > large or "--all" in sys.argv:
            published = f"{row.low:g}" if row.low == row.high else _range(row)
            print(
                f"* {row.group}: {row.name}: {row.predicted:.1f}, published "
                f"{published} ({row.kind}; {row.source}) {row.reason}"
            )
    print("\nNot predicted:")
    for line in NOT_PREDICTED:
        print(f"* {line}")


def _range(row: Row) -> str:
    return f"{row.low:g} to {row.high:g}" if row.high < 1e6 else f"over {row.low:g}"


def _summary(group: str, kind: str, rows: list[Row]) -> str:
    errors = [row.error for row in rows]
    worst = rows[int(np.argmax(errors))]
    if rows[0].unit == "K":
        told = f"{np.median(errors):.1f} K | {worst.error:.1f} K ({worst.name})"
    else:
        told = f"{np.median(errors):.1%} | {worst.error:.0%} ({worst.name})"
    return f"| {group} | {len(rows)} | {kind} | {told} |"


if __name__ == "__main__":
    main()
