"""The app in a browser: only with its token, and usable with a thumb."""

import asyncio
import signal
import subprocess
import sys
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, contextmanager
from pathlib import Path

import aiohttp
import pytest
from aiohttp import web
from browser import CHROMIUM, Tab, phone
from textual.widget import Widget
from tui_season import TODAY, garden_plan, write_garden

from propsched.files.write import write_plan
from propsched.tui.app import PropschedApp
from propsched.tui.pages.jobs import JobsPage
from propsched.tui.pages.number_pad import PadButton
from propsched.tui.web import LOOPBACK, WebApp, free_port

WIDTH, HEIGHT = 390, 844
"""Of a small phone. [px]"""
CELL = 8, 16
"""Of a letter of the page's font at its size for phones. [px]"""


@pytest.fixture
def season(tmp_path: Path) -> Path:
    folder = tmp_path / "garden"
    write_garden(folder)
    write_plan(folder, garden_plan())
    return folder


@asynccontextmanager
async def served(season: Path) -> AsyncIterator[WebApp]:
    arguments = ["open", str(season), "--today", TODAY.isoformat()]
    app = WebApp(arguments, title="<garden>", port=free_port(LOOPBACK, 0))
    runner = web.AppRunner(await app._make_app())
    await runner.setup()
    await web.TCPSite(runner, app.host, app.port).start()
    try:
        yield app
    finally:
        await runner.cleanup()


async def test_without_the_token_there_is_nothing(season: Path) -> None:
    async with served(season) as app, aiohttp.ClientSession() as session:
        root = f"http://{app.host}:{app.port}"
        for path in ("/", "/ws", "/static/js/textual.js", f"/{app.token[:-1]}/"):
            async with session.get(root + path) as answer:
                assert answer.status == 404, path
        async with session.get(app.address()) as answer:
            assert answer.status == 200
            assert answer.headers["Referrer-Policy"] == "no-referrer"
            text = await answer.text()
        assert "&lt;garden&gt;" in text
        assert "http://" not in text.replace(root, "")
        assert "https://" not in text


async def test_a_page_from_elsewhere_may_not_begin_a_sitting(season: Path) -> None:
    async with served(season) as app, aiohttp.ClientSession() as session:
        for origin in ("http://evil.example", "null", None):
            headers = {} if origin is None else {"Origin": origin}
            with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
                await session.ws_connect(app.address() + "ws", headers=headers)
            assert refused.value.status == 403
        assert app.sittings == 0


def test_every_token_is_another() -> None:
    tokens = {WebApp(["open"], title="x").token for _ in range(50)}
    assert len(tokens) == 50
    assert all(len(token) >= 20 for token in tokens)


@contextmanager
def command(season: Path) -> Iterator[str]:
    """The command as people call it; the address that it prints."""
    words = [sys.executable, "-m", "propsched", "open", str(season), "--web"]
    words += ["--today", TODAY.isoformat(), "--port", str(free_port(LOOPBACK, 0))]
    with subprocess.Popen(
        words, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as process:
        assert process.stdout is not None
        try:
            yield process.stdout.readline().strip()
        finally:
            process.send_signal(signal.SIGINT)
            process.wait(20.0)


def middle(widget: Widget) -> tuple[float, float]:
    region = widget.region
    return region.x + region.width / 2, region.y + region.height / 2


class Thumb:
    """Taps where the same app, of the same size, has its widgets."""

    def __init__(self, tab: Tab, app: PropschedApp, cell: tuple[float, float]) -> None:
        self.tab, self.app, self.cell = tab, app, cell

    async def on(self, widget: Widget) -> None:
        x, y = middle(widget)
        await self.at(x, y)

    async def at(self, x: float, y: float) -> None:
        await self.tab.tap(x * self.cell[0], y * self.cell[1])
        await asyncio.sleep(0.3)


@pytest.mark.slow
@pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine")
async def test_by_thumb_alone_a_reading_is_entered_and_a_job_ticked(
    season: Path,
) -> None:
    """On a screen 390 pixels wide."""
    readings, daybook = season / "readings.csv", season / "daybook.csv"
    before = readings.read_text(), daybook.read_text()
    with command(season) as address:
        await _by_thumb(season, address, before)


async def _by_thumb(season: Path, address: str, before: tuple[str, str]) -> None:
    readings, daybook = season / "readings.csv", season / "daybook.csv"
    async with phone(address, WIDTH, HEIGHT) as tab:
        await tab.until("document.body.classList.contains('-first-byte')")
        box = await tab.look(
            "(r => [r.width, r.height])"
            "(document.querySelector('.xterm-screen').getBoundingClientRect())"
        )
        columns, rows = round(box[0] / CELL[0]), round(box[1] / CELL[1])
        cell = box[0] / columns, box[1] / rows
        twin = PropschedApp(season, today=TODAY)
        async with twin.run_test(size=(columns, rows)) as pilot:
            await twin.workers.wait_for_complete()
            await pilot.pause()
            thumb = Thumb(tab, twin, cell)
            await asyncio.sleep(3.0)
            await thumb.on(twin.query_one("#tab-reading"))
            await pilot.press("r")
            await pilot.pause()
            pad = {b.key: b for b in twin.query(PadButton)}
            for key in ("6", ".", "5", "enter"):
                await thumb.on(pad[key])
            await _until(lambda: readings.read_text() != before[0])
            await thumb.on(twin.query_one("#tab-jobs"))
            await pilot.press("escape")
            await pilot.press("j")
            await pilot.pause()
            page, drawn = twin.query_one(JobsPage), twin.query_one("JobsPage Drawn")
            spot = next(s for s in page._view.spots if "tick" in s.action)
            region = drawn.region
            x = region.x + (spot.first + spot.last + 1) / 2
            await thumb.at(x, region.y + spot.row + 0.5)
            await _until(lambda: daybook.read_text() != before[1])
    assert readings.read_text().startswith(before[0])
    assert readings.read_text().count("\n") == before[0].count("\n") + 1
    assert ",6.5," in readings.read_text().splitlines()[-1]
    assert daybook.read_text().startswith(before[1])
    assert daybook.read_text().count("\n") == before[1].count("\n") + 1


async def _until(true) -> None:
    async with asyncio.timeout(20.0):
        while not true():
            await asyncio.sleep(0.1)
