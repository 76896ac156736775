"""Clients generated from the served OpenAPI document: type-checked, and used on the service."""

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tuckmark import published
from tuckmark.web import docs, problems
from tuckmark.web.negotiation import is_json

HERE = Path(__file__).parent
BIN = Path(sys.executable).parent
#: a slip in the generator's own template: __exit__ hands on what it was given as plain objects
TEMPLATE_SLIP = re.compile(r"loft_client/client\.py:\d+: error: Argument \d to \"__a?exit__\" of ")
#: of the example towing pendant: the cut length of the contract's worked example, the first marks
#: from the bitter end; then of one of 1 m, which is a spec without a plan
SAID = [
    "22604.4",
    "a.taper_1, a.taper_2, a.taper_3",
    "true false",
    "422 buries_meet",
    problems.catalogue()["buries_meet"].fix,
]


def ran(*command: Any, folder: Path) -> str:
    environment = {**os.environ, "PATH": f"{BIN}{os.pathsep}{os.environ['PATH']}"}
    done = subprocess.run(
        [str(part) for part in command],
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout + done.stderr


@pytest.fixture(scope="module")
def spec(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("spec") / "towing-pendant.json"
    path.write_text(json.dumps(published.examples()["towing-pendant"]), "utf-8")
    return path


@pytest.fixture(scope="module")
def python_client(address: str, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A folder with the generated package, and what the generator said."""
    folder = tmp_path_factory.mktemp("python")
    command = ("openapi-python-client", "generate", "--url", f"{address}/openapi.json")
    said = ran(*command, "--meta", "none", "--output-path", "loft_client", folder=folder)
    shutil.copy(HERE / "use_client.py", folder)
    return folder, said


def test_the_python_client_is_whole(python_client: tuple[Path, str]) -> None:
    folder, said = python_client
    document = json.loads(published.openapi())
    made = {path.stem for path in (folder / "loft_client" / "api").glob("*/*.py")}
    # operations that take lines are none of its business: it knows nothing of them
    wanted = {
        item["operationId"]
        for methods in document["paths"].values()
        for item in methods.values()
        if "requestBody" not in item or any(map(is_json, item["requestBody"]["content"]))
    }
    assert wanted <= made
    omitted = [line for line in said.splitlines() if line.startswith("WARNING parsing")]
    carried = {operation for operation, _ in docs.not_carried(document)}
    assert [line for line in omitted if not any(item in line for item in carried)] == []
    assert "Unable to" not in said


def test_the_python_client_keeps_its_types(python_client: tuple[Path, str]) -> None:
    folder, _ = python_client
    ran("mypy", "--strict", "--follow-imports=silent", "use_client.py", folder=folder)
    done = subprocess.run(
        [BIN / "mypy", "loft_client"], cwd=folder, capture_output=True, text=True, check=False
    )
    errors = [line for line in done.stdout.splitlines() if ": error: " in line]
    assert [line for line in errors if not TEMPLATE_SLIP.match(line)] == []


def test_every_body_of_the_python_client_has_the_type_it_is_meant_for(
    python_client: tuple[Path, str],
) -> None:
    folder, _ = python_client
    taken = {
        path.stem: found[1]
        for path in (folder / "loft_client" / "api").glob("*/*.py")
        if (found := re.search(r"^    body: (.*),$", path.read_text("utf-8"), re.MULTILINE))
    }
    assert taken == {
        "make_plan": "SpliceSpec",
        "validate": "Any | SpliceSpec",  # whatever is JSON is judged
        "inspect": "InspectionRequest",
        "calibrate": "CalibrationRequest",
        "make_cut_list": "CutlistRequest",
    }


def test_the_python_client_talks_to_the_service(
    python_client: tuple[Path, str], address: str, spec: Path
) -> None:
    folder, _ = python_client
    said = ran(sys.executable, "use_client.py", address, spec, folder=folder)
    assert [line.lower() for line in said.splitlines()] == [line.lower() for line in SAID]


def test_the_typescript_client_keeps_its_types_and_talks_to_the_service(
    node: Path, address: str, spec: Path, tmp_path: Path
) -> None:
    (tmp_path / "node_modules").symlink_to(node / "node_modules")
    (tmp_path / "package.json").write_text('{"type": "module"}', "utf-8")
    shutil.copy(node / "use_client.ts", tmp_path)
    tools = node / "node_modules" / ".bin"
    ran(tools / "openapi-typescript", f"{address}/openapi.json", "-o", "api.d.ts", folder=tmp_path)
    ran(
        tools / "tsc", "--strict", "--target", "es2022", "--module", "nodenext",
        "--types", "node", "use_client.ts", folder=tmp_path,
    )  # fmt: skip
    said = ran("node", "use_client.js", address, spec, folder=tmp_path)
    assert said.splitlines() == SAID


def test_the_reference_page_lists_what_generators_do_not_carry() -> None:
    document = json.loads(published.openapi())
    listed = docs.not_carried(document)
    assert ("GET /schema/v1/quantity.abnf", "text/plain") in listed
    page = docs.page().decode("utf-8")
    for operation, media_type in listed:
        assert f"<li><code>{operation}</code>: {media_type}</li>" in page
    for methods in document["paths"].values():
        for item in methods.values():
            for media_type in item["responses"]["200"]["content"]:
                assert is_json(media_type) or media_type in {kind for _, kind in listed}
