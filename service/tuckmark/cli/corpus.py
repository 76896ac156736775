"""``tuckmark corpus``: hand-made documents with their verdicts, to try other validators on."""

import argparse
import sys

from tuckmark import published
from tuckmark.cli.files import GOOD, UNREADABLE, Commands


def add_to(commands: Commands) -> None:
    """Add this command to the parser."""
    corpus = commands.add_parser(
        "corpus", help="print documents with their verdicts as JSON lines, to try validators on"
    )
    corpus.add_argument("name", metavar="CLASS", nargs="?", help="such as numbers; else all")
    corpus.set_defaults(run=_corpus)


def _corpus(chosen: argparse.Namespace) -> int:
    files = published.corpus_files()
    if chosen.name not in (None, *files):
        print(f"tuckmark: no class {chosen.name}; there are {', '.join(files)}", file=sys.stderr)
        return UNREADABLE
    for name, content in files.items():
        if chosen.name in (None, name):
            sys.stdout.buffer.write(content)
    return GOOD
