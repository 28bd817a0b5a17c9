"""A headless Chromium, driven over its own protocol (Chrome DevTools Protocol)."""

import asyncio
import base64
import itertools
import json
import os
import shutil
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import aiohttp

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
WITHIN_S = 30.0


class Tab:
    """One page, as a phone of a given size shows it."""

    def __init__(self, socket: aiohttp.ClientWebSocketResponse) -> None:
        self._socket = socket
        self._number = itertools.count(1)

    async def call(self, method: str, **params: Any) -> dict[str, Any]:
        number = next(self._number)
        await self._socket.send_json({"id": number, "method": method, "params": params})
        while True:
            message = json.loads(
                (await asyncio.wait_for(self._socket.receive(), WITHIN_S)).data
            )
            if message.get("id") == number:
                assert "error" not in message, message
                return dict(message["result"])

    async def look(self, expression: str) -> Any:
        """The value of a JavaScript expression."""
        found = await self.call(
            "Runtime.evaluate", expression=expression, returnByValue=True
        )
        return found["result"].get("value")

    async def until(self, expression: str) -> Any:
        """Wait for an expression to be true."""
        async with asyncio.timeout(WITHIN_S):
            while not (value := await self.look(expression)):
                await asyncio.sleep(0.05)
        return value

    async def tap(self, x: float, y: float) -> None:
        """A finger down and up again."""
        await self.call(
            "Input.dispatchTouchEvent",
            type="touchStart",
            touchPoints=[{"x": x, "y": y}],
        )
        await self.call("Input.dispatchTouchEvent", type="touchEnd", touchPoints=[])

    async def picture(self, path: Path) -> None:
        found = await self.call("Page.captureScreenshot", format="png")
        path.write_bytes(base64.b64decode(found["data"]))


@asynccontextmanager
async def phone(address: str, width: int, height: int) -> AsyncIterator[Tab]:
    """Open an address in a window of so many pixels, with touch and no mouse."""
    assert CHROMIUM is not None
    with TemporaryDirectory() as profile:
        process = await asyncio.create_subprocess_exec(
            CHROMIUM,
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--use-gl=angle",
            "--use-angle=swiftshader",
            "--enable-unsafe-swiftshader",
            "--remote-debugging-port=0",
            f"--user-data-dir={profile}",
            "about:blank",
            stdout=asyncio.subprocess.DEVNULL,
            stderr=asyncio.subprocess.DEVNULL,
            env={**os.environ, "HOME": profile},
        )
        try:
            port = await _port(Path(profile) / "DevToolsActivePort")
            async with aiohttp.ClientSession() as session:
                pages = await (
                    await session.get(f"http://127.0.0.1:{port}/json")
                ).json()
                url = next(p for p in pages if p["type"] == "page")
                async with session.ws_connect(
                    url["webSocketDebuggerUrl"], max_msg_size=0
                ) as socket:
                    tab = Tab(socket)
                    await tab.call(
                        "Emulation.setDeviceMetricsOverride",
                        width=width,
                        height=height,
                        deviceScaleFactor=1,
                        mobile=True,
                    )
                    await tab.call("Emulation.setTouchEmulationEnabled", enabled=True)
                    await tab.call("Page.navigate", url=address)
                    yield tab
        finally:
            process.kill()
            await process.wait()


async def _port(path: Path) -> int:
    async with asyncio.timeout(WITHIN_S):
        while not (path.exists() and path.read_text().strip()):
            await asyncio.sleep(0.05)
    return int(path.read_text().split()[0])
