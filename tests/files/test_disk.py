"""A disk that is full, read-only or slow to obey: an error, all as it was."""

import errno
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from datetime import date, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner
from filelock import FileLock
from folders import write_folder

from propsched.cli.main import cli
from propsched.errors import ExitCode, InvalidInputError
from propsched.files import disk
from propsched.files.disk import add_to_file, replace_file
from propsched.files.template import write_new_season
from propsched.files.write import append_event, append_reading

ROOT = Path(__file__).parents[2]
NOON = datetime(2027, 2, 2, 12)


def contents(folder: Path) -> dict[str, bytes]:
    return {
        path.name: path.read_bytes()
        for path in folder.iterdir()
        if path.name != disk.LOCK
    }


def add_reading(folder: Path, note: str = "") -> None:
    append_reading(folder, time=NOON, space="pond", temp_c=3.0, note=note)


def full_after(monkeypatch: pytest.MonkeyPatch, room: int) -> None:
    """A disk with room for so many more bytes, which takes what it can."""
    real = os.write
    left = [room]

    def write(handle: int, content: bytes) -> int:
        if not left[0]:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        done = real(handle, content[: left[0]])
        left[0] -= done
        return done

    monkeypatch.setattr(disk.os, "write", write)


@pytest.mark.parametrize("room", [0, 1, 17])
def test_a_full_disk_leaves_no_half_row(
    room: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = write_folder(tmp_path)
    before = contents(folder)
    full_after(monkeypatch, room)
    with pytest.raises(InvalidInputError, match=r"No space left.* – make room"):
        add_reading(folder)
    monkeypatch.undo()
    assert contents(folder) == before
    add_reading(folder)


def test_what_the_disk_does_not_keep_is_not_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An error that only comes when the row is to be kept for good."""
    folder = write_folder(tmp_path)
    before = contents(folder)

    def fails(_: int) -> None:
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr(disk.os, "fsync", fails)
    with pytest.raises(OSError, match=r"readings\.csv"):
        add_to_file(folder / "readings.csv", b"half a row")
    with pytest.raises(OSError, match=r"plan\.json"):
        replace_file(folder / "plan.json", b"{}")
    assert contents(folder) == before


def test_a_season_that_does_not_fit_is_not_begun(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = disk.tempfile.mkstemp
    files: list[str] = []

    def mkstemp(**where: str) -> tuple[int, str]:
        files.append(where["prefix"])
        if len(files) == 4:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return real(**where)  # type: ignore[call-overload]

    monkeypatch.setattr(disk.tempfile, "mkstemp", mkstemp)
    with pytest.raises(InvalidInputError, match="No space left"):
        write_new_season(tmp_path / "deep" / "season", date(2026, 11, 20))
    assert len(files) == 4
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("number", [errno.ENOLCK, errno.EOPNOTSUPP])
def test_a_drive_without_locks_is_named(
    number: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = write_folder(tmp_path)
    before = contents(folder)

    def acquire(*_: object, **__: object) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(FileLock, "acquire", acquire)
    with pytest.raises(InvalidInputError, match="this drive knows no locks"):
        add_reading(folder)
    assert contents(folder) == before


def test_a_lock_is_let_go_by_a_program_that_is_killed(tmp_path: Path) -> None:
    folder = write_folder(tmp_path)
    code = (
        "import sys, time; from pathlib import Path;"
        "from propsched.files.disk import only_writer\n"
        "folder = Path(sys.argv[1])\n"
        "with only_writer(folder, folder): print('held', flush=True); time.sleep(60)"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code, str(folder)],
        stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONPATH": str(ROOT)},
    ) as holder:  # fmt: skip
        assert holder.stdout is not None
        assert holder.stdout.readline() == "held\n"
        monkeypatch = pytest.MonkeyPatch()
        monkeypatch.setattr(disk, "LOCK_S", 0.05)
        with pytest.raises(InvalidInputError, match="by another program"):
            add_reading(folder)
        monkeypatch.undo()
        holder.kill()
    add_reading(folder)
    assert (folder / disk.LOCK).exists()


def test_a_link_goes_on_pointing_to_the_file(tmp_path: Path) -> None:
    real, link = tmp_path / "elsewhere.json", tmp_path / "plan.json"
    real.write_text("old")
    link.symlink_to(real)
    replace_file(link, b"new")
    assert link.is_symlink()
    assert real.read_text() == "new"


def test_a_row_whose_first_cell_looks_like_a_remark_is_none(tmp_path: Path) -> None:
    header = "note,time,space,temp_c\n"
    folder = write_folder(tmp_path, readings_csv=header)
    add_reading(folder, note="#2 tray")
    text = (folder / "readings.csv").read_text(encoding="utf-8")
    assert text == header + '"#2 tray","2027-02-02 12:00","pond","3"\n'


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Callable[[str], Path]]:
    """Mounts file systems of the kernel's, where that is allowed."""
    mounted: list[Path] = []

    def mount(options: str) -> Path:
        where = tmp_path / f"disk{len(mounted)}"
        where.mkdir()
        tool = shutil.which("mount")
        if tool is None:
            pytest.skip("no mount on this machine")
        done = subprocess.run(
            [tool, "-t", "tmpfs", "-o", options, "tmpfs", str(where)],
            capture_output=True, text=True, check=False,
        )  # fmt: skip
        if done.returncode:
            pytest.skip(f"may not mount a file system here: {done.stderr.strip()}")
        mounted.append(where)
        return where

    yield mount
    for where in mounted:
        subprocess.run(["umount", str(where)], check=True)


def test_commands_on_a_disk_that_is_really_full(
    small_disk: Callable[[str], Path],
) -> None:
    """A file system of the kernel's without a free block."""
    folder = small_disk("size=128k")
    write_folder(folder)
    with (folder / "readings.csv").open("a") as file:
        file.write("2026-11-02 08:00,pond,,6.0,," + "x" * (4096 - 290) + "\n")
    filler = folder / "filler"
    with pytest.raises(OSError, match="No space left"), filler.open("wb") as file:
        file.write(b"x" * 200_000)
    before = contents(folder)
    for words in (["reading", "pond", "3.5"], ["lost", "currants", "1"]):
        run = CliRunner().invoke(
            cli,
            ["note", str(folder), *words, "--today", "2026-11-20",
             "--note", "y" * 4000],
        )  # fmt: skip
        assert run.exit_code == ExitCode.BAD_INPUT, run.output
        assert "make room on the disk; nothing was changed" in run.stderr
    assert contents(folder) == before
    new = CliRunner().invoke(cli, ["new", str(folder / "another")])
    assert new.exit_code == ExitCode.BAD_INPUT
    assert "cannot be written" in new.stderr
    assert contents(folder) == before


def test_commands_in_a_folder_that_is_read_only(
    small_disk: Callable[[str], Path],
) -> None:
    """Root may write wherever permissions forbid it, but not on such a disk."""
    folder = small_disk("size=512k")
    write_folder(folder)
    subprocess.run(["mount", "-o", "remount,ro", str(folder)], check=True)
    before = contents(folder)
    for words in (["reading", "pond", "3.5"], ["lost", "currants", "1"]):
        run = CliRunner().invoke(
            cli, ["note", str(folder), *words, "--today", "2026-11-20"]
        )
        assert run.exit_code == ExitCode.BAD_INPUT, run.output
        assert "cannot be written: Read-only file system – copy" in run.stderr
    assert contents(folder) == before
    look = CliRunner().invoke(cli, ["check", str(folder), "--today", "2026-11-20"])
    assert look.exit_code == ExitCode.DONE


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs Linux's full device")
@pytest.mark.parametrize("words", [["check", "{folder}"], ["crops"], ["--help"]])
def test_an_answer_that_does_not_fit_on_the_disk(
    words: list[str], tmp_path: Path
) -> None:
    folder = write_new_season(tmp_path / "season", date(2026, 11, 20))[0].parent
    with Path("/dev/full").open("wb") as full:
        run = subprocess.run(
            [sys.executable, "-m", "propsched",
             *(word.format(folder=folder) for word in words)],
            stdout=full, stderr=subprocess.PIPE, text=True, check=False,
        )  # fmt: skip
    assert run.returncode == ExitCode.BAD_INPUT
    assert "standard output: No space left on device" in run.stderr
    assert "Traceback" not in run.stderr


@pytest.mark.skipif(
    os.name == "nt" or os.geteuid() == 0, reason="root may write everywhere"
)
def test_a_folder_that_may_not_be_written(tmp_path: Path) -> None:
    folder = write_folder(tmp_path / "season")
    folder.chmod(0o555)
    try:
        with pytest.raises(InvalidInputError, match="copy the folder to where you may"):
            append_event(folder, None)  # type: ignore[arg-type]
    finally:
        folder.chmod(0o755)
