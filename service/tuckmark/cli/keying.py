"""``tuckmark keys new``: a key for a client, and the line that lets it in."""

import argparse
import sys

from tuckmark.cli.files import GOOD, UNREADABLE, Commands


def add_to(commands: Commands) -> None:
    """Add this command to the parser."""
    keys = commands.add_parser("keys", help="make keys for clients")
    actions = keys.add_subparsers(required=True, metavar="ACTION")
    new = actions.add_parser(
        "new",
        help="print a new key, and after it its line for the keys file",
        description="Prints a new key on standard error, to hand to its holder, and on standard "
        "output the line for the keys file, which holds no key but its hash.",
    )
    new.add_argument("name", help="who holds it; stands in the log")
    new.set_defaults(run=_new)


def _new(chosen: argparse.Namespace) -> int:
    from tuckmark.web.keys import new_key  # here, for the other commands need no server

    try:
        key, line = new_key(chosen.name)
    except ValueError as error:
        print(f"tuckmark: {error}", file=sys.stderr)
        return UNREADABLE
    print(f"key, shown this once: {key}", file=sys.stderr)
    print(line)
    return GOOD
