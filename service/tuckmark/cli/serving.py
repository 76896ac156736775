"""``tuckmark serve``: answer over HTTP."""

import argparse
import re
from collections.abc import Callable
from pathlib import Path
from typing import Final

from tuckmark.cli.files import GOOD, Commands

_LAST_PORT: Final = 65535
_MOST_WORKERS: Final = 128  # half of the slots of ``web/board.py``: at a reload each is there twice


def add_to(commands: Commands) -> None:
    """Add this command to the parser."""
    serve = commands.add_parser("serve", help="answer over HTTP")
    serve.add_argument(
        "--host", type=_host, default="127.0.0.1", help="address to listen on (%(default)s)"
    )
    serve.add_argument(
        "--port",
        type=_from(0, _LAST_PORT),
        default=8000,
        help="port to listen on (%(default)s); 0 takes a free one, which the log names",
    )
    serve.add_argument(
        "--workers", type=_from(1, _MOST_WORKERS), help="processes (2, or as the file says)"
    )
    serve.add_argument("--config", type=Path, metavar="FILE", help="a gunicorn configuration file")
    serve.set_defaults(run=_serve)


def _host(text: str) -> str:
    """A name or address, as far as that can be told without looking it up."""
    try:
        text.encode("idna")
    except UnicodeError:
        raise argparse.ArgumentTypeError(f"{text!r}: a host name or address is wanted") from None
    return text


def _from(least: int, most: int) -> Callable[[str], int]:
    """Reads a whole number within bounds."""

    def read(text: str) -> int:
        if not re.fullmatch("[0-9]{1,5}", text) or not least <= int(text) <= most:
            raise argparse.ArgumentTypeError(f"{text!r}: a number from {least} to {most} is wanted")
        return int(text)

    return read


def _serve(chosen: argparse.Namespace) -> int:
    from tuckmark.web.server import serve  # here, for the other commands need no server

    serve(chosen.host, chosen.port, chosen.workers, chosen.config)
    return GOOD
