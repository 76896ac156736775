"""``tuckmark schema``: the published schemas."""

import argparse
import sys

from tuckmark import published
from tuckmark.cli.files import GOOD, UNREADABLE, Commands


def add_to(commands: Commands) -> None:
    """Add this command to the parser."""
    schema = commands.add_parser("schema", help="print a published schema, or list them")
    schema.add_argument("name", metavar="NAME", nargs="?", help="such as splice-spec")
    schema.set_defaults(run=_schema)


def _schema(chosen: argparse.Namespace) -> int:
    files = published.schema_files()
    if chosen.name is None:
        print("\n".join(files))
        return GOOD
    name = chosen.name.removesuffix(".json")
    if name not in files:
        print(f"tuckmark: no schema {name}; there are {', '.join(files)}", file=sys.stderr)
        return UNREADABLE
    sys.stdout.buffer.write(files[name])
    return GOOD
