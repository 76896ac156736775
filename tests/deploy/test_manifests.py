"""What stands in ``deploy/`` for machines, checked by what reads it there, without a network."""

import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import kubernetes_validate
import pytest
import yaml

from tuckmark import published
from tuckmark.cutting import apart
from tuckmark.web import problems, server

DEPLOY = Path(__file__).parents[2] / "deploy"
MANIFESTS = sorted((DEPLOY / "kubernetes").glob("*.yaml"))


def manifest(kind: str) -> Any:
    found = [yaml.safe_load(path.read_text(encoding="utf-8")) for path in MANIFESTS]
    (one,) = (item for item in found if item["kind"] == kind)
    return one


@pytest.mark.parametrize("path", MANIFESTS, ids=lambda path: path.stem)
@pytest.mark.parametrize("version", ["1.31", "1.34"])
def test_a_manifest_is_one_by_kubernetes_own_schema(path: Path, version: str) -> None:
    kubernetes_validate.validate(
        yaml.safe_load(path.read_text(encoding="utf-8")), version, strict=True
    )


def test_every_part_is_there_and_means_the_same_pods() -> None:
    labels = manifest("Deployment")["spec"]["template"]["metadata"]["labels"]
    assert manifest("Deployment")["spec"]["selector"]["matchLabels"] == labels
    assert manifest("Service")["spec"]["selector"] == labels
    assert manifest("NetworkPolicy")["spec"]["podSelector"]["matchLabels"] == labels
    assert manifest("PodDisruptionBudget")["spec"]["selector"]["matchLabels"] == labels
    assert manifest("HorizontalPodAutoscaler")["spec"]["scaleTargetRef"]["name"] == "tuckmark"
    assert "replicas" not in manifest("Deployment")["spec"], "the autoscaler sets them"


def test_nothing_goes_out() -> None:
    policy = manifest("NetworkPolicy")["spec"]
    assert (policy["egress"], "Egress" in policy["policyTypes"]) == ([], True)


def graceful_s() -> int:
    """What ``deploy/gunicorn.conf.py`` gives to requests after a stop."""
    settings: dict[str, Any] = {}
    exec((DEPLOY / "gunicorn.conf.py").read_text(encoding="utf-8"), settings)  # noqa: S102 - as gunicorn does
    return int(settings["graceful_timeout"])


def test_the_longest_cut_list_ends_before_the_service() -> None:
    asked = published.schema("cutlist-request")["properties"]["time_budget_s"]["maximum"]
    longest_s = asked + apart._GRACE_S
    assert server.DEFAULTS["graceful_timeout"] == graceful_s() > longest_s
    unit = (DEPLOY / "systemd" / "tuckmark.service").read_text(encoding="utf-8")
    (killed_after,) = re.findall(r"^TimeoutStopSec=(\d+)$", unit, re.MULTILINE)
    assert int(killed_after) > graceful_s()
    container = (DEPLOY / "container" / "Containerfile").read_text(encoding="utf-8")
    (stop_timeout,) = re.findall(r"--stop-timeout (\d+)", container)
    (drain,) = re.findall(r"TUCKMARK_DRAIN_S=(\d+)", container)
    assert int(stop_timeout) > int(drain) + graceful_s()


def test_a_pod_has_time_to_stop() -> None:
    pod = manifest("Deployment")["spec"]["template"]["spec"]
    (container,) = pod["containers"]
    (drain,) = (item for item in container["env"] if item["name"] == "TUCKMARK_DRAIN_S")
    needed = int(drain["value"]) + graceful_s()
    assert pod["terminationGracePeriodSeconds"] > needed
    seen = container["readinessProbe"]
    assert int(drain["value"]) > seen["periodSeconds"] * (seen["failureThreshold"] + 1)


def test_a_pod_is_locked_down() -> None:
    pod = manifest("Deployment")["spec"]["template"]["spec"]
    (container,) = pod["containers"]
    assert pod["securityContext"]["runAsNonRoot"] is True
    assert pod["automountServiceAccountToken"] is False
    assert container["securityContext"] == {
        "allowPrivilegeEscalation": False,
        "readOnlyRootFilesystem": True,
        "capabilities": {"drop": ["ALL"]},
    }
    assert {probe for probe in container if probe.endswith("Probe")} == {
        "startupProbe",
        "readinessProbe",
        "livenessProbe",
    }


def instructions(text: str) -> list[tuple[str, str]]:
    joined = re.sub(r"\\\n\s*", "", text)
    lines = [line for line in joined.splitlines() if line and not line.startswith("#")]
    return [(line.split(" ", 1)[0], line.split(" ", 1)[1]) for line in lines]


def test_the_container_file() -> None:
    """No engine here: its stages, user and commands are read."""
    found = instructions((DEPLOY / "container" / "Containerfile").read_text(encoding="utf-8"))
    starts = [number for number, (name, _) in enumerate(found) if name == "FROM"]
    assert [found[start][1].split(" AS ")[1] for start in starts] == ["build", "run"]
    build, run = found[: starts[1]], found[starts[1] :]
    installs = [text for name, text in build if name == "RUN" and "pip install" in text]
    assert all("--require-hashes" in text or "--no-index" in text for text in installs)
    names = [name for name, _ in run]
    assert ("USER", "10001:10001") in run
    assert "RUN" not in names, "the last stage only takes over what the first one made"
    assert {"HEALTHCHECK", "ENTRYPOINT", "CMD", "STOPSIGNAL"} <= set(names)
    assert names.index("USER") < names.index("ENTRYPOINT")


def test_what_the_container_copies_is_let_through() -> None:
    ignored = (DEPLOY.parent / ".dockerignore").read_text(encoding="utf-8").splitlines()
    let_through = {line[1:] for line in ignored if line.startswith("!")}
    found = instructions((DEPLOY / "container" / "Containerfile").read_text(encoding="utf-8"))
    copied = {
        source
        for name, text in found
        if name == "COPY" and not text.startswith("--from")
        for source in text.split()[:-1]
    }
    assert copied == let_through
    assert all((DEPLOY.parent / source).exists() for source in copied)


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="no systemd here")
def test_the_unit_by_systemd_itself(tmp_path: Path) -> None:
    unit = (DEPLOY / "systemd" / "tuckmark.service").read_text(encoding="utf-8")
    program = "/srv/tuckmark/venv/bin/tuckmark"
    assert program in unit
    service = tmp_path / "tuckmark.service"
    service.write_text(unit.replace(program, "/bin/true"), encoding="utf-8")
    shutil.copy(DEPLOY / "systemd" / "tuckmark.socket", tmp_path)
    analyze = ["systemd-analyze", "--no-pager"]
    for check in (
        ["verify", "--man=no", service, tmp_path / "tuckmark.socket"],
        ["security", "--offline=yes", "--threshold=15", service],
    ):
        done = subprocess.run([*analyze, *check], capture_output=True, text=True)
        assert done.returncode == 0, done.stdout + done.stderr
        assert "tuckmark" not in done.stderr, done.stderr


def test_proxy_codes_are_problems() -> None:
    text = (DEPLOY / "nginx" / "errors.conf").read_text(encoding="utf-8")
    for code in set(re.findall(r"location = /\.tuckmark/(\w+)", text)):
        assert problems.catalogue()[code].kind == "problem"


@pytest.mark.parametrize(
    "place",
    ["systemd/tuckmark.service", "container/Containerfile", "kubernetes/deployment.yaml"],
)
def test_the_public_address_has_its_line_and_is_set_by_whoever_runs_it(place: str) -> None:
    lines = (DEPLOY / place).read_text(encoding="utf-8").splitlines()
    named = [line.strip() for line in lines if "TUCKMARK_PUBLIC_URL" in line]
    assert named
    assert all(line.startswith("#") for line in named)
