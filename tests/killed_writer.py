"""
Children that write into a season until they are killed, and what they had been told.

Run as a program: folder, number of the first child, how many. Prints ``child what
number`` for every row or plan that a child had been told is written. A fork begins in
a moment, so that hundreds of kills do not take hundreds of starts.
"""

import os
import random
import signal
import sys
import time
from datetime import datetime, timedelta
from pathlib import Path

from plans import make_plan

from propsched.domain.batch import Event
from propsched.files.write import append_event, append_reading, write_plan

BEGAN = datetime(2027, 2, 1)
LONGEST_S = 0.15
"""How long a child lives at most after its first row."""


def event(child: int, number: int) -> Event:
    return Event(
        time=BEGAN + timedelta(minutes=number),
        batch="currants",
        event="lost",
        count=child,
        note=f'child {child}, "row" {number}',
    )


def note(child: int, number: int) -> str:
    return f"reading {number} of {child}"


def worth(child: int, number: int) -> float:
    return child * 10_000.0 + number


def _write(folder: Path, child: int, tell: int) -> None:
    for number in range(10_000):
        append_event(folder, event(child, number))
        os.write(tell, b"event %d\n" % number)
        append_reading(
            folder,
            time=BEGAN + timedelta(minutes=number),
            space="pond",
            temp_c=3.5,
            note=note(child, number),
        )
        os.write(tell, b"reading %d\n" % number)
        write_plan(folder, make_plan(worth=worth(child, number)))
        os.write(tell, b"plan %d\n" % number)


def main(folder: Path, first: int, children: int) -> None:
    draw = random.Random(first)
    for child in range(first, first + children):
        hear, tell = os.pipe()
        process = os.fork()
        if not process:
            _write(folder, child, tell)
            os._exit(1)
        os.close(tell)
        heard = os.read(hear, 4096)
        time.sleep(draw.uniform(0, LONGEST_S))
        os.kill(process, signal.SIGKILL)
        os.waitpid(process, 0)
        while more := os.read(hear, 65_536):
            heard += more
        os.close(hear)
        for line in heard.decode().splitlines():
            sys.stdout.write(f"{child} {line}\n")


def write_rows(folder: Path, name: str, rows: int) -> None:
    """As one of two programs that write at once."""
    for number in range(rows):
        append_reading(
            folder,
            time=BEGAN + timedelta(minutes=number),
            space="pond",
            temp_c=3.5,
            note=f"{name} {number}",
        )


if __name__ == "__main__":
    if sys.argv[2].isdigit():
        main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
    else:
        write_rows(Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]))
