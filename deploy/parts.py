"""What the lock of the service installs: licences against a list, and what an audit found."""

import argparse
import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any, Final

LOCK: Final = Path("deploy", "requirements.lock")
#: permissive, and weak copyleft of files, all free to use in a service
ALLOWED: Final = frozenset(
    {
        *("MIT", "MIT License", "BSD", "BSD License", "BSD-2-Clause", "BSD-3-Clause", "0BSD"),
        *("Apache-2.0", "Apache Software License", "Apache License 2.0", "Zlib", "CC0-1.0"),
        *("PSF-2.0", "Python Software Foundation License", "ISC", "Unlicense"),
        *("MPL-2.0", "Mozilla Public License 2.0 (MPL 2.0)"),
        # pypdfium2 with what PDFium is built of: FreeType, libpng, zlib, lcms, AGG 2.3 and the
        # like, all permissive; their texts travel with it
        "BSD-3-Clause, Apache-2.0, dependency licenses",
    }
)
_WORDS: Final = re.compile(r"\s*(?:;|\bAND\b|\bOR\b|\bWITH\b|[()])\s*")


def locked() -> list[str]:
    """Names of all packages in the lock."""
    return re.findall(r"^([\w.-]+)==", LOCK.read_text(encoding="utf-8"), re.MULTILINE)


def parts_of(licence: str) -> list[str]:
    """The single licences of an expression."""
    return [part for part in _WORDS.split(licence) if part]


def installed() -> list[dict[str, Any]]:
    """Name, version and licence of the locked packages, as they are installed."""
    command = [sys.executable, "-m", "piplicenses", "--format=json", "--from=mixed"]
    command += ["--with-system", "--packages", *locked()]
    done = subprocess.run(command, check=True, capture_output=True, text=True)  # noqa: S603 - our own words
    found: list[dict[str, Any]] = json.loads(done.stdout)
    return found


def check() -> str | None:
    """Print the licences; what is returned is what is wrong with them."""
    found = installed()
    print(json.dumps(found, indent=2))
    strange = [
        f"{package['Name']}: {package['License']}"
        for package in found
        if not parts_of(package["License"]) or not ALLOWED.issuperset(parts_of(package["License"]))
    ]
    return "\n".join(strange) or None


def audited(report: dict[str, Any]) -> tuple[str, int]:
    """What an audit comes to: a sentence, and the exit code.

    Args:
        report: of pip-audit, in JSON. A part that it could not look up is a part not checked,
            whatever its own exit code says.
    """
    parts = report["dependencies"]
    weak = [f"{part['name']}: {vuln['id']}" for part in parts for vuln in part.get("vulns", ())]
    unknown = [part["name"] for part in parts if "skip_reason" in part]
    if weak:
        return "known weaknesses: " + ", ".join(weak), 1
    if unknown or not parts:
        return f"not checked, the list is out of reach: {len(unknown)} of {len(parts)} parts", 3
    return f"no known weakness in {len(parts)} parts", 0


def main() -> str | None:
    """Run the command line; what is returned is the message it fails with."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("what", choices=["licences", "audit"])
    parser.add_argument("file", type=Path, nargs="?", help="what pip-audit wrote, for audit")
    asked = parser.parse_args()
    if asked.what == "licences":
        return check()
    text = asked.file.read_text(encoding="utf-8")
    sentence, code = audited(json.loads(text or '{"dependencies": []}'))
    print(sentence)
    sys.exit(code)


if __name__ == "__main__":
    sys.exit(main())
