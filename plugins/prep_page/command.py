"""The command ``prep page``: serves the page to this computer's browser until it is ended."""

from __future__ import annotations

import importlib.util
import secrets
import socket
import tempfile
from pathlib import Path
from types import FrameType
from typing import Annotated

import typer

Shop = Annotated[Path | None, typer.Option("--shop", help="shop.toml: meshes, film, inks ...")]
Port = Annotated[
    int | None, typer.Option(min=1024, max=65535, help="port; default: one that is free")
]
Browser = Annotated[bool, typer.Option("--browser/--no-browser", help="open it in the browser")]

SECONDS = 900.0
MEMORY_MB = 4096
"""Address space of the process that works out the orders, and of the one that shows what lies beside them.

Besides, each of the three orders worked on last has a process that reads and measures, and while large
areas are measured the one at work has a second: each of these may take what ``work.memory`` of shop.toml
says. So all together may take this twice, and four times that.
"""


def add(app: typer.Typer) -> None:
    """Add the command."""

    @app.command("page", help="A page in your browser to drop artwork on.")
    def page(shop: Shop = None, port: Port = None, browser: Browser = True) -> None:
        run(shop, port, browser)


def run(shop: Path | None, port: int | None, browser: bool) -> None:
    """Serve the page until the command is ended.

    :raises prep.errors.InputError: the shop can't be used, the port is in use, or the page isn't installed
    """
    from prep.console import say
    from prep.errors import InputError

    missing = [name for name in ("starlette", "uvicorn") if importlib.util.find_spec(name) is None]
    if missing:
        raise InputError(
            f"{' and '.join(missing)} can't be found",
            do='install what the page needs: pip install "firstpull[page]"',
        )
    if shop is None and Path("shop.toml").is_file():
        shop = Path("shop.toml")
    if shop is not None and not shop.is_file():
        raise InputError("there is no such file", where=str(shop), do="give the shop's .toml file")
    listening = _bound(port)
    with listening, tempfile.TemporaryDirectory(prefix="firstpull-page-") as folder:
        number = listening.getsockname()[1]
        key = secrets.token_urlsafe(18)
        address = f"http://127.0.0.1:{number}/?key={key}"
        from prep.console import out

        out(address)
        say("The page is open at this address; press Ctrl-C here to close it.")
        if shop is not None:
            say(f"The shop's settings are read from {shop}.")
        _serve(listening, Path(folder), shop, number, key, address if browser else None)


def _serve(
    listening: socket.socket,
    folder: Path,
    shop: Path | None,
    port: int,
    key: str,
    address: str | None,
) -> None:
    import uvicorn

    from prep_page.beside import Beside
    from prep_page.desk import Desk
    from prep_page.server import make_app

    shop = None if shop is None else shop.resolve()
    desk = Desk(folder, shop, seconds=SECONDS, memory_mb=MEMORY_MB)
    beside = Beside(desk, folder / "beside", shop, memory_mb=MEMORY_MB)
    config = uvicorn.Config(
        make_app(desk, port, key, beside),
        log_level="warning",
        access_log=False,
        server_header=False,
        # named, so that no other is looked for
        loop="asyncio",
        http="h11",
        ws="none",
        interface="asgi3",
        timeout_graceful_shutdown=1,
        lifespan="on",
    )
    if address is not None:
        import threading
        import webbrowser

        threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()

    class Server(uvicorn.Server):
        """Ends open connections at once, so that none has to be broken off."""

        def handle_exit(self, sig: int, frame: FrameType | None) -> None:
            desk.end_soon()
            super().handle_exit(sig, frame)

    Server(config).run(sockets=[listening])


def _bound(port: int | None) -> socket.socket:
    """Give a socket bound on this computer only; nobody can take its port in between."""
    from prep.errors import InputError

    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind(("127.0.0.1", port or 0))
        listening.listen(64)
    except OSError as error:
        listening.close()
        raise InputError(
            f"can't be used: {error.strerror}",
            where=f"--port {port}",
            do="leave --port out, and one that is free is taken",
        ) from error
    return listening
