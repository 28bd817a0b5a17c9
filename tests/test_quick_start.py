"""The quick start of the README, typed as it stands there."""

import re
import shlex
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner

from propsched.cli.main import cli
from propsched.errors import ExitCode

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
LEFT_OUT = "…"


def typed() -> list[tuple[str, list[str]]]:
    """Commands with the lines that are shown below each."""
    blocks = re.findall(r"<!-- quick -->\n```console\n(.*?)```", README, re.DOTALL)
    found: list[tuple[str, list[str]]] = []
    for line in "".join(blocks).splitlines():
        if line.startswith("$ propsched "):
            found.append((line.removeprefix("$ propsched "), []))
        else:
            found[-1][1].append(line)
    return found


def test_what_is_shown_is_what_comes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    commands = typed()
    assert len(commands) >= 8
    for command, shown in commands:
        run = CliRunner().invoke(cli, shlex.split(command))
        assert run.exit_code == ExitCode.DONE, (command, run.output)
        lines = [line.rstrip() for line in run.stdout.splitlines()]
        at = 0
        skips = False
        for line in shown:
            if line == LEFT_OUT:
                skips = True
                continue
            assert line in (lines[at:] if skips else lines[at : at + 1]), command
            at = lines.index(line, at) + 1
            skips = False
        assert skips or at == len(lines), (command, lines[at:])
    assert {path.name for path in tmp_path.iterdir()} == {"my-garden", "week.html"}


def test_its_pictures_are_there_and_are_pictures() -> None:
    named = re.findall(r"!\[[^\]]+\]\((examples/pictures/[^)]+)\)", README)
    assert sorted(named) == sorted(
        f"examples/pictures/{path.name}"
        for path in (ROOT / "examples" / "pictures").iterdir()
    )
    for name in named:
        root = ElementTree.parse(ROOT / name).getroot()
        assert root.tag.endswith("svg")
        assert (ROOT / name).stat().st_size < 150_000


def test_its_contents_lead_somewhere() -> None:
    heads = re.findall(r"^##+ (.+)$", README, re.MULTILINE)
    anchors = {
        re.sub(r"[^\w -]", "", head.casefold()).replace(" ", "-") for head in heads
    }
    linked = set(re.findall(r"\]\(#([^)]+)\)", README))
    assert linked <= anchors, linked - anchors
    assert len(linked) > 10
