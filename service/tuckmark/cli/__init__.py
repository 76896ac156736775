"""The command line: serve, plan, check, diff, schema, corpus, keys; one module each."""

import argparse
import os
import signal
import sys
from collections.abc import Sequence

from tuckmark import __version__, settings
from tuckmark.cli import checking, comparing, corpus, keying, planning, schemas, serving
from tuckmark.cli.files import BAD, GOOD, UNREADABLE

__all__ = ["BAD", "GOOD", "UNREADABLE", "main"]

#: as shells tell of a command that a closed pipe has ended
_CUT_OFF = 128 + signal.SIGPIPE


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command.

    Returns:
        0 all good, 1 some document is not good, 2 some file cannot be read (or the call is wrong),
        141 whoever reads the output has read enough, such as ``head``.
    """
    chosen = _parser().parse_args(arguments)
    try:
        code: int = chosen.run(chosen)
        sys.stdout.flush()
    except BrokenPipeError:
        # Python flushes once more at its end, and would complain.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return _CUT_OFF
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
