"""``tuckmark serve``: answer over HTTP."""

import argparse
from pathlib import Path

from tuckmark.cli.files import GOOD, Commands


def add_to(commands: Commands) -> None:
    """Add this command to the parser."""
    serve = commands.add_parser("serve", help="answer over HTTP")
    serve.add_argument("--host", default="127.0.0.1", help="address to listen on (%(default)s)")
    serve.add_argument("--port", type=int, default=8000, help="port to listen on (%(default)s)")
    serve.add_argument("--workers", type=int, help="processes (2, or as the file says)")
    serve.add_argument("--config", type=Path, metavar="FILE", help="a gunicorn configuration file")
    serve.set_defaults(run=_serve)


def _serve(chosen: argparse.Namespace) -> int:
    from tuckmark.web.server import serve  # here, for the other commands need no server

    serve(chosen.host, chosen.port, chosen.workers, chosen.config)
    return GOOD
