"""Files written where somebody asked for them, never among the season's own."""

from collections.abc import Iterable
from pathlib import Path

import click


def refuse_own(season: Path, targets: Iterable[Path | None]) -> None:
    """Nothing is written among the season's own files."""
    own = season.resolve()
    for target in targets:
        if target is None:
            continue
        where = target.resolve()
        if where == own or (where.parent == own and where.suffix in (".csv", ".toml")):
            raise click.UsageError(
                f"{target}: is the season's own – choose a folder or name of its own"
            )


def write(path: Path, content: bytes) -> None:
    from propsched.files.disk import replace_file

    path.parent.mkdir(parents=True, exist_ok=True)
    replace_file(path, content)
    click.echo(str(path))
