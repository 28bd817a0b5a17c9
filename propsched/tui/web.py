"""
The same app in a browser: of this machine, or of the local network if asked.

Whoever has the address has the season: it holds a token that is new each time, and
nothing is served beside it.  It is plain HTTP, meant for a house's own network.
"""

import secrets
import shlex
import socket
import sys
from collections.abc import Sequence
from html import escape
from pathlib import Path
from urllib.parse import urlsplit

from aiohttp import web
from aiohttp.typedefs import Handler
from textual_serve.server import Server

from propsched.errors import PropschedError

LOOPBACK = "127.0.0.1"
EVERYWHERE = "0.0.0.0"
TOKEN_BYTES = 16
MOST_SITTINGS = 8
"""Browsers at once; each has a process of its own."""
PAGE = Path(__file__).with_name("web_page.html")


class WebApp(Server):
    """Serves the app below a path that nobody can guess."""

    def __init__(
        self,
        arguments: Sequence[str],
        *,
        title: str,
        host: str = LOOPBACK,
        port: int = 8000,
        token: str | None = None,
    ) -> None:
        """
        Parameters
        ----------
        arguments : sequence of str
            Of the command that opens the app, ``propsched`` left out.
        title : str
            Of the page.
        token : str, optional
            None: a new one, drawn by the system's generator.
        """
        command = shlex.join([sys.executable, "-m", "propsched", *arguments])
        super().__init__(command, host=host, port=port, title=title)
        self.token = token or secrets.token_urlsafe(TOKEN_BYTES)
        self.sittings = 0

    def address(self, host: str | None = None) -> str:
        """Where a browser finds it; ``host`` for how others call this machine."""
        return f"http://{host or self.host}:{self.port}/{self.token}/"

    async def _make_app(self) -> web.Application:
        inner = web.Application()
        inner.add_routes(
            [
                web.get("/", self.handle_page),
                web.get("/ws", self.handle_websocket),
                web.static("/static", self.statics_path),
            ]
        )
        app = web.Application(middlewares=[_careful])
        app.add_subapp(f"/{self.token}", inner)
        return app

    async def handle_page(self, request: web.Request) -> web.Response:
        """The page; its script asks for the app."""
        text = PAGE.read_text(encoding="utf-8")
        stream = f"ws://{request.host}/{self.token}/ws"
        text = text.replace("{{title}}", escape(self.title))
        text = text.replace("{{socket}}", escape(stream, quote=True))
        return web.Response(text=text, content_type="text/html")

    async def handle_websocket(self, request: web.Request) -> web.WebSocketResponse:
        """One sitting; a page from elsewhere may not begin one."""
        origin = urlsplit(request.headers.get("Origin", "")).netloc
        if origin != request.host:
            raise web.HTTPForbidden(text="only from its own page")
        if self.sittings >= MOST_SITTINGS:
            raise web.HTTPServiceUnavailable(text="too many browsers at once")
        self.sittings += 1
        try:
            return await super().handle_websocket(request)
        finally:
            self.sittings -= 1


@web.middleware
async def _careful(request: web.Request, handler: Handler) -> web.StreamResponse:
    """The address is not told to others, nor kept, nor shown in a frame."""
    response: web.StreamResponse = await handler(request)
    if not response.prepared:
        response.headers["Referrer-Policy"] = "no-referrer"
        response.headers["Cache-Control"] = "no-store"
        response.headers["X-Frame-Options"] = "DENY"
        response.headers["X-Content-Type-Options"] = "nosniff"
    return response


def serve(app: WebApp) -> None:
    """Serve until Ctrl-C."""
    web.run_app(app._make_app(), host=app.host, port=app.port, print=None)


def free_port(host: str, wanted: int) -> int:
    """The port wanted, or another one where that is taken."""
    for port in (wanted, 0):
        with socket.socket() as tried:
            tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                tried.bind((host, port))
            except OSError:
                continue
            return int(tried.getsockname()[1])
    raise PropschedError(f"{host}: no port to be had")


def own_address() -> str:
    """How others on the network call this machine; nothing is sent to find out."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            asked.connect(("192.0.2.1", 9))  # RFC 5737: belongs to nobody
            return str(asked.getsockname()[0])
        except OSError:
            return LOOPBACK
