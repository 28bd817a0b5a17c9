"""
How soon the terminal app is there, and how long a key waits while a plan is made.

    python tests/benchmarks/app.py [SEASON] [--keys 300]

Starts: from the start of the process to the first picture with the season's spaces,
on a terminal of its own, five times.  Keys: page letters, arrows and zoom, one after
another in the app without a screen, from the key to all that it led to, while the
planner runs in its process; each page's keys apart.
"""

import argparse
import asyncio
import gc
import os
import pty
import select
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from propsched.tui.app import PropschedApp

ROOT = Path(__file__).resolve().parents[2]
TODAY = "2026-11-15"
KEYS = (
    "s", "down", "right", "plus", "down", "w", "right", "tab", "plus", "b", "down",
    "j", "down", "r", "down", "c", "down", "t", "down", "x", "s", "left", "up",
)  # fmt: skip


def first_picture_s(folder: Path, word: str) -> float:
    """From the start of the process until the word is on the screen. [s]"""
    ours, theirs = pty.openpty()
    env = {**os.environ, "TERM": "xterm-256color", "PYTHONPATH": str(ROOT)}
    began = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, "-m", "propsched", str(folder), "--today", TODAY],
        stdin=theirs, stdout=theirs, stderr=theirs, env=env,
    )  # fmt: skip
    os.close(theirs)
    drawn = b""
    while word.encode() not in drawn and time.perf_counter() - began < 30:
        if select.select([ours], [], [], 0.01)[0]:
            drawn += os.read(ours, 65536)
    taken = time.perf_counter() - began
    os.write(ours, b"q")
    while process.poll() is None:
        if select.select([ours], [], [], 0.05)[0]:
            try:
                os.read(ours, 65536)
            except OSError:
                break
    process.wait(30)
    os.close(ours)
    return taken


async def key_waits_s(folder: Path, keys: int) -> tuple[dict[str, list[float]], int]:
    """How long each key took while planning, by page; and how many were not. [s]"""
    gc.disable()  # as the command does, until the first picture
    from propsched.tui.app import PropschedApp
    from propsched.tui.away import AwayBackend

    today = date.fromisoformat(TODAY)
    app = PropschedApp(folder, today=today, backend=AwayBackend(folder, today))
    waits: dict[str, list[float]] = {}
    idle = 0
    async with app.run_test(size=(120, 40)) as pilot:
        await app.workers.wait_for_complete()
        await pilot.pause()
        for number in range(keys):
            if not app.desk.planning.busy:
                app.action_plan_afresh()
                await asyncio.sleep(0.2)
            busy = app.desk.planning.busy
            page = app.page
            taken = await _wait_s(app, KEYS[number % len(KEYS)])
            if taken > 0.1:
                key = KEYS[number % len(KEYS)]
                step = app.desk.planning.step
                print(f"  {1000 * taken:.0f} ms: {key} on {page} while {step}")
            if busy:
                waits.setdefault(page, []).append(taken)
            else:
                idle += 1
        app._work.leave()
    return waits, idle


async def _wait_s(app: "PropschedApp", key: str) -> float:
    """From the key until what it changed is on the screen. [s]"""
    done = asyncio.Event()

    def handled() -> None:
        app.screen.call_after_refresh(done.set)

    def given_on() -> None:
        (app.focused or app.screen).call_later(handled)

    began = time.perf_counter()
    app.simulate_key(key)
    app.call_later(given_on)
    await asyncio.wait_for(done.wait(), 30)
    taken = time.perf_counter() - began
    await asyncio.sleep(0.05)  # nobody types faster
    return taken


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("season", nargs="?", type=Path)
    parser.add_argument("--keys", type=int, default=300)
    asked = parser.parse_args()
    source = asked.season or ROOT / "examples" / "walled-garden"
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "season"
        shutil.copytree(source, folder)
        for what, word in (("first paint", "eason"), ("with its spaces", "glasshouse")):
            starts = [first_picture_s(folder, word) for _ in range(5)]
            usual, least, most = statistics.median(starts), min(starts), max(starts)
            print(f"{what}: median {usual:.2f} s, {least:.2f} to {most:.2f}")
        waits, idle = asyncio.run(key_waits_s(folder, asked.keys))
        every = sorted(one for own in waits.values() for one in own)
        print(f"{len(every)} keys while planning ({idle} not), ms from key to handled:")
        print(f"{'page':<10}{'keys':>6}{'median':>8}{'99 %':>8}{'most':>8}")
        for page, own in [*waits.items(), ("all", every)]:
            own = sorted(own)
            late = own[min(len(own) - 1, int(0.99 * len(own)))]
            print(f"{page:<10}{len(own):>6}{1000 * statistics.median(own):>8.0f}"
                  f"{1000 * late:>8.0f}{1000 * own[-1]:>8.0f}")  # fmt: skip
    os._exit(0)  # a plan that nobody waits for


if __name__ == "__main__":
    main()
