"""A real nginx with the shipped configuration; only addresses and folders are exchanged."""

import os
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from .service import free_port, get

SHIPPED = Path(__file__).parents[2] / "deploy" / "nginx"
_START_S = 20.0
#: what a distribution's own nginx.conf says around ours
_AROUND = """
{user}
worker_processes 2;
pid {folder}/nginx.pid;
error_log {folder}/start.log;
events {{ worker_connections 1024; }}
http {{
    client_body_temp_path {folder}/body;
    proxy_temp_path {folder}/proxy;
    fastcgi_temp_path {folder}/fastcgi;
    uwsgi_temp_path {folder}/uwsgi;
    scgi_temp_path {folder}/scgi;
    default_type application/octet-stream;
    include {folder}/tuckmark.conf;
}}
"""


@dataclass
class Proxy:
    port: int
    folder: Path

    def log(self) -> str:
        return (self.folder / "tuckmark.log").read_text(encoding="utf-8")

    def all_logs(self) -> str:
        return "".join(path.read_text("utf-8") for path in sorted(self.folder.glob("*.log")))


def configured(folder: Path, service_port: int, port: int, **changes: str) -> str:
    """The shipped file for this machine."""
    text = (SHIPPED / "tuckmark.conf").read_text(encoding="utf-8")
    exchanged = {
        "listen 127.0.0.1:8080;": f"listen 127.0.0.1:{port};",
        "server 127.0.0.1:8000 ": f"server 127.0.0.1:{service_port} ",
        "/etc/nginx/tuckmark/": f"{SHIPPED}/",
        "/var/log/nginx/": f"{folder}/",
        **changes,
    }
    for shipped, here in exchanged.items():
        assert shipped in text, shipped
        text = text.replace(shipped, here)
    return text


@contextmanager
def proxied(folder: Path, service_port: int, **changes: str) -> Iterator[Proxy]:
    """nginx on a free port before a service, from start to end."""
    port = free_port()
    main = folder / "nginx.conf"
    user = "user root;" if os.geteuid() == 0 else ""  # else it gives up the right to its folder
    main.write_text(_AROUND.format(folder=folder, user=user), encoding="utf-8")
    (folder / "tuckmark.conf").write_text(
        configured(folder, service_port, port, **changes), encoding="utf-8"
    )
    command = ["nginx", "-p", str(folder), "-c", str(main), "-g", "daemon off;"]
    process = subprocess.Popen(command, stderr=subprocess.PIPE)
    try:
        _wait(port, process)
        yield Proxy(port, folder)
    finally:
        process.terminate()
        process.communicate(timeout=_START_S)


def _wait(port: int, process: subprocess.Popen[bytes]) -> None:
    end = time.monotonic() + _START_S
    while time.monotonic() < end:
        if process.poll() is not None:
            raise AssertionError(process.communicate()[1].decode())
        try:
            get(port, "/livez")
        except OSError:
            time.sleep(0.05)
        else:
            return
    raise AssertionError("nginx did not come up")
