"""From an empty folder, with the service's address and the wheel: what an integrator does first."""

import json
import os
import subprocess
import sys
import venv
from pathlib import Path

import pytest
import yaml

from tuckmark import published

ROOT = Path(__file__).parents[2]
BIN = Path(sys.executable).parent
OFFLINE = ("--no-index", "--no-deps", "--no-build-isolation", "--disable-pip-version-check")
INDEX = "--no-index --no-deps --ignore-installed"
#: the three lines of a check in CI, as the README has them, but for where the wheel comes from
CHECK = """
python -m venv env
env/bin/python -m pip install --quiet {offline} {wheel}
env/bin/tuckmark check --plan --format github jobs
"""
CLIENT = """
openapi-python-client generate --url {address}/openapi.json --meta none --output-path loft_client
python -c 'import loft_client'
"""
ERROR = """
told() {{ python -c "import json; told = json.load(open('problem')); print($1)"; }}
curl -sS {address}/v1/plans -H 'Content-Type: application/json' -o problem -d @jobs/wrong.json
curl -sS "{address}$(told "told['help']")"
curl -sS "{address}/problems/$(told "told['errors'][0]['code']")"
"""


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    command = [
        sys.executable,
        "-m",
        "pip",
        "wheel",
        "--quiet",
        *OFFLINE,
        "--wheel-dir",
        folder,
        ROOT,
    ]
    subprocess.run(command, check=True, capture_output=True)
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An order system's folder with a job; nothing else.

    The libraries of this environment stand in for a package index: the new one sees them behind
    its own.
    """
    (tmp_path / "jobs").mkdir()
    spec = published.examples()["towing-pendant"]
    (tmp_path / "jobs" / "pendant.json").write_text(json.dumps(spec, indent=2), "utf-8")
    venv.create(tmp_path / "env")  # the script makes it again, and keeps what is in it
    (packages,) = (tmp_path / "env").glob("lib/python*/site-packages")
    libraries = [path for path in sys.path if path.endswith("site-packages")]
    (packages / "libraries.pth").write_text("\n".join(libraries), "utf-8")
    return tmp_path


def run(script: str, folder: Path) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "PATH": f"{BIN}{os.pathsep}{os.environ['PATH']}"}
    environment.pop("PYTHONPATH", None)
    return subprocess.run(
        ["bash", "-euo", "pipefail", "-c", script],
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )


def wrong(folder: Path) -> int:
    """A job with a misspelt fibre; returns the line it is in."""
    text = (folder / "jobs" / "pendant.json").read_text("utf-8").replace('"hmpe"', '"hmpee"')
    (folder / "jobs" / "wrong.json").write_text(text, "utf-8")
    return next(n for n, line in enumerate(text.splitlines(), 1) if "hmpee" in line)


def test_a_check_in_three_lines(folder: Path, wheel: Path) -> None:
    script = CHECK.format(offline=INDEX, wheel=wheel)
    done = run(script, folder)
    assert list((folder / "env").glob("lib/python*/site-packages/tuckmark/published/corpus"))
    assert (done.returncode, done.stdout) == (0, ""), done.stderr
    line = wrong(folder)
    done = run(script.splitlines()[-1], folder)
    assert done.returncode == 1
    assert f"::error file=jobs/wrong.json,line={line},col=" in done.stdout
    assert "Did you mean hmpe?" in done.stdout


def test_a_client(folder: Path, address: str) -> None:
    done = run(CLIENT.format(address=address), folder)
    assert done.returncode == 0, done.stdout + done.stderr


def test_an_error_leads_to_its_page(folder: Path, address: str) -> None:
    wrong(folder)
    done = run(ERROR.format(address=address), folder)
    assert done.returncode == 0, done.stderr
    problem, fault = (json.loads(line) for line in done.stdout.splitlines())
    assert (problem["code"], problem["status"]) == ("spec_invalid", 422)
    assert (fault["code"], fault["kind"]) == ("not_one_of", "fault")
    assert fault["fix"]
    assert fault["example"]["request"] == "POST /v1/plans"


def test_the_hook_does_what_it_says(folder: Path, wheel: Path) -> None:
    """As pre-commit runs it: the entry, in an environment of the project, with the files' names."""
    (hook,) = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text("utf-8"))
    assert hook["language"] == "python"
    run(CHECK.format(offline=INDEX, wheel=wheel).rpartition("env/bin")[0], folder)
    entry = f"env/bin/{hook['entry']}"
    assert run(f"{entry} jobs/pendant.json", folder).returncode == 0
    wrong(folder)
    assert run(f"{entry} jobs/pendant.json jobs/wrong.json", folder).returncode == 1
    assert run(f"{entry} --plan jobs/pendant.json", folder).returncode == 0


def test_check_jsonschema_does_with_our_schema_alone(folder: Path, address: str) -> None:
    """The README's recipe for those who install nothing of ours."""
    wrong(folder)
    script = (
        f"curl -sS -o splice-spec.json {address}/schema/v1/splice-spec.json\n"
        "python -m check_jsonschema --schemafile splice-spec.json jobs/"
    )
    assert run(f"{script}pendant.json", folder).returncode == 0
    assert run(f"{script}wrong.json", folder).returncode == 1
