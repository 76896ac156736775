"""The command line: serve, plan, check, diff, schema, corpus, keys; one module each."""

import argparse
import sys
from collections.abc import Sequence

from tuckmark import __version__, settings
from tuckmark.cli import checking, comparing, corpus, keying, planning, schemas, serving
from tuckmark.cli.files import BAD, GOOD, UNREADABLE

__all__ = ["BAD", "GOOD", "UNREADABLE", "main"]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command.

    Returns:
        0 all good, 1 some document is not good, 2 some file cannot be read (or the call is wrong).
    """
    chosen = _parser().parse_args(arguments)
    try:
        code: int = chosen.run(chosen)
    except settings.SettingError as error:
        print(f"tuckmark: {error}", file=sys.stderr)
        return UNREADABLE
    except OSError as error:
        print(f"tuckmark: {error.filename or ''}: {error.strerror}", file=sys.stderr)
        return UNREADABLE
    return code


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="tuckmark",
        description="A splice spec goes in, a splicing plan comes out.",
    )
    parser.add_argument("--version", action="version", version=f"tuckmark {__version__}")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")
    for command in (serving, planning, checking, comparing, schemas, corpus, keying):
        command.add_to(commands)
    return parser
