"""Season folders with something done to them, by chance but repeatable."""

import random
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path
from shutil import rmtree

Files = dict[str, bytes]
"""What a season folder holds, by name."""

HOSTILE = (
    "<script>alert('x')</script>", "<b>bold</b>&amp;", '"><img src=x onerror=x>',
    "=cmd|' /C calc'!A0", "+1+1", "-2+3", "@SUM(A1)", "\t=1+1", "=HYPERLINK(0)",
    "\x1b[31mred\x1b[0m", "\x1b]0;title\x07", "\x9b2J", "\r\x1b[Agone", "\x08\x08\x7f",
    "../../x", "..\\..\\x", "/etc/passwd", "C:\\x", "con", "~", "$(reboot)", "`x`",
    "\u202egnp.exe", "\u2066x\u2069", "\u200fabc", "\u200b", "\u2028next", "\ufeffx",
    "%s%n%d", "{0.__class__}", "[bold red]x[/]", "a" * 3000, "é" * 400, "𝔘𝔫𝔦",
    "e\u0301", "NaN", "1e309", "-0", "0x10", "１２", "null", "none", "true",
    "#", "'", '"', "\\",
)  # fmt: skip
HUGE = ("1e300", "1e400", "-1e9", "99999999999999999999", "0.0000000001", "-1", "0",
        "9" * 400, "1,234", "2026-02-30", "9999-12-31", "0001-01-01")  # fmt: skip


def mutant(good: Mapping[str, bytes], draw: random.Random) -> Files:
    """Return the folder with one to three things done to it."""
    files = dict(good)
    for _ in range(draw.choice((1, 1, 1, 2, 3))):
        if draw.random() < 0.1:
            draw.choice(FOLDER)(files, draw)
        else:
            name = draw.choice(sorted(files))
            kinds = (*BYTES, *CELLS, *CELLS) if name.endswith(".csv") else BYTES
            with suppress(IndexError, ValueError):  # nothing there to do it to
                files[name] = draw.choice(kinds)(files[name], draw)
    return files


def put(folder: Path, files: Mapping[str, bytes]) -> Path:
    """Have a folder hold these files and nothing else."""
    rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    for name, raw in files.items():
        (folder / name).write_bytes(raw)
    return folder


def held(folder: Path) -> Files:
    """What a folder and those in it hold."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def _flip(raw: bytes, draw: random.Random) -> bytes:
    at = draw.randrange(len(raw))
    return raw[:at] + bytes([raw[at] ^ (1 << draw.randrange(8))]) + raw[at + 1 :]


def _cut(raw: bytes, draw: random.Random) -> bytes:
    return raw[: draw.randrange(len(raw))]


def _lines(
    work: Callable[[list[bytes], random.Random], None],
) -> Callable[[bytes, random.Random], bytes]:
    def done(raw: bytes, draw: random.Random) -> bytes:
        lines = raw.splitlines(keepends=True)
        work(lines, draw)
        return b"".join(lines)

    return done


def _drop(lines: list[bytes], draw: random.Random) -> None:
    del lines[draw.randrange(len(lines))]


def _double(lines: list[bytes], draw: random.Random) -> None:
    lines.insert(draw.randrange(len(lines)), draw.choice(lines))


def _swap(lines: list[bytes], draw: random.Random) -> None:
    one, other = draw.randrange(len(lines)), draw.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]


def _shorten(lines: list[bytes], draw: random.Random) -> None:
    at = draw.randrange(len(lines))
    lines[at] = lines[at][: draw.randrange(len(lines[at]))] + b"\n"


def _merge(lines: list[bytes], draw: random.Random) -> None:
    at = draw.randrange(1, len(lines))
    lines[at:at] = [b"<<<<<<< mine\n", lines[at], b"=======\n", b">>>>>>> other\n"]


def _insert(raw: bytes, draw: random.Random) -> bytes:
    at = draw.randrange(len(raw) + 1)
    scrap = draw.choice((*HOSTILE, *HUGE)).encode()
    return raw[:at] + scrap + raw[at:]


def _number(raw: bytes, draw: random.Random) -> bytes:
    """One of the numbers in the text is another."""
    spots = [at for at, byte in enumerate(raw) if chr(byte).isdigit()]
    start = end = draw.choice(spots)
    while end < len(raw) and chr(raw[end]) in "0123456789.":
        end += 1
    return raw[:start] + draw.choice(HUGE).encode() + raw[end:]


def _nudged(raw: bytes, draw: random.Random) -> bytes:
    """One digit is another, as when somebody mistypes."""
    at = draw.choice([at for at, byte in enumerate(raw) if chr(byte).isdigit()])
    return raw[:at] + str(draw.randrange(10)).encode() + raw[at + 1 :]


def _remark(raw: bytes, draw: random.Random) -> bytes:
    lines = raw.splitlines(keepends=True)
    at = draw.randrange(len(lines))
    lines.insert(
        at, b"# " + draw.choice(HOSTILE).encode().translate(None, b"\r") + b"\n"
    )
    return b"".join(lines)


def _encoded(raw: bytes, draw: random.Random) -> bytes:
    how = draw.choice(("utf-16", "utf-16-le", "cp1252", "utf-8-sig", "utf-32"))
    return raw.decode().encode(how, errors="replace")


def _endings(raw: bytes, draw: random.Random) -> bytes:
    return raw.replace(b"\n", draw.choice((b"\r\n", b"\r", b"\n\n")))


def _zeros(raw: bytes, draw: random.Random) -> bytes:
    at = draw.choice((len(raw), draw.randrange(len(raw))))
    return raw[:at] + b"\0" * draw.randint(1, 200) + raw[at:]


BYTES = (
    _flip, _cut, _lines(_drop), _lines(_double), _lines(_swap), _lines(_shorten),
    _lines(_merge), _insert, _number, _nudged, _nudged, _remark, _encoded, _endings,
    _zeros,
)  # fmt: skip


def _cells(
    work: Callable[[list[list[str]], random.Random], None],
) -> Callable[[bytes, random.Random], bytes]:
    """Work on the cells of a plain table; what is written has quotes where needed."""

    def done(raw: bytes, draw: random.Random) -> bytes:
        rows = [line.split(",") for line in raw.decode().splitlines()]
        work(rows, draw)
        return ("\n".join(",".join(row) for row in rows) + "\n").encode()

    return done


def _cell(rows: list[list[str]], draw: random.Random, text: str) -> None:
    row = draw.choice(rows[1:])
    quoted = text.replace('"', '""')
    row[draw.randrange(len(row))] = f'"{quoted}"'


def _hostile(rows: list[list[str]], draw: random.Random) -> None:
    _cell(rows, draw, draw.choice(HOSTILE))


def _hostile_note(rows: list[list[str]], draw: random.Random) -> None:
    """Where any text may stand."""
    names = [name for name in ("note", "variety") if name in rows[0]]
    at = rows[0].index(draw.choice(names))
    quoted = draw.choice(HOSTILE).replace('"', '""')
    draw.choice(rows[1:])[at] = f'"{quoted}"'


def _huge(rows: list[list[str]], draw: random.Random) -> None:
    _cell(rows, draw, draw.choice(HUGE))


def _blank(rows: list[list[str]], draw: random.Random) -> None:
    _cell(rows, draw, "")


def _turned(rows: list[list[str]], draw: random.Random) -> None:
    """The columns in another order, or two heads exchanged."""
    order = draw.sample(range(len(rows[0])), len(rows[0]))
    some = rows if draw.random() < 0.7 else rows[:1]
    some[:] = [[row[at] for at in order] for row in some]


def _other_row(rows: list[list[str]], draw: random.Random) -> None:
    """A cell of another row: names doubled, dates out of order."""
    one, other = draw.choice(rows[1:]), draw.choice(rows[1:])
    at = draw.randrange(len(one))
    one[at] = other[at]


def _sorted(rows: list[list[str]], draw: random.Random) -> None:
    body = rows[1:]
    draw.shuffle(body)
    rows[1:] = body


def _column_gone(rows: list[list[str]], draw: random.Random) -> None:
    at = draw.randrange(len(rows[0]))
    for row in rows:
        del row[at]


CELLS = tuple(
    _cells(work)
    for work in (
        _hostile, _hostile_note, _hostile_note, _huge, _blank, _turned, _other_row,
        _sorted, _column_gone,
    )
)  # fmt: skip


def _missing(files: Files, draw: random.Random) -> None:
    files.pop(draw.choice(sorted(files)), None)


def _emptied(files: Files, draw: random.Random) -> None:
    files[draw.choice(sorted(files))] = b""


def _other_file(files: Files, draw: random.Random) -> None:
    """One file's text under the name of another."""
    one, other = draw.choice(sorted(files)), draw.choice(sorted(files))
    files[one] = files[other]


def _copy(files: Files, draw: random.Random) -> None:
    name = draw.choice(sorted(files))
    stem, dot, ending = name.rpartition(".")
    raw = files[name]
    with suppress(IndexError, ValueError):
        raw = draw.choice(BYTES)(raw, draw)
    files[f"{stem} (conflicted copy){dot}{ending}"] = raw


def _deep(files: Files, draw: random.Random) -> None:
    files["season.toml"] = b"x = " + b"[" * 5000 + files.get("season.toml", b"")


FOLDER = (_missing, _missing, _emptied, _other_file, _copy, _copy, _copy, _deep)
