"""What ``deploy/serve`` asks about its address: is it free, and does the service answer yet?"""

import argparse
import http.client
import os
import socket
import sys
import time

_EXAMPLE = "schema/examples/towing-pendant.json"
_PATIENCE_S = 60.0
_PAUSE_S = 0.1
_LAST_PORT = 65535
_ANYWHERE = {"0.0.0.0": "127.0.0.1", "::": "::1", "": "127.0.0.1"}  # noqa: S104 - compared only


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, add_help=False)
    parser.add_argument("what", choices=["free", "announce"])
    parser.add_argument("--host", required=True)
    parser.add_argument("--port", type=int, required=True)
    parser.add_argument("--pid", type=int, help="the service's process")
    return parser.parse_known_args()[0]


def free(host: str, port: int) -> str | None:
    """Why nothing can listen there, or None where something can."""
    if not 0 < port <= _LAST_PORT:
        return f"a port is 1 to {_LAST_PORT}, not {port}"
    try:
        family, kind, *_, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        with socket.socket(family, kind) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind(address)
    except OSError as error:
        return f"cannot listen on {host}, port {port}: {error}"
    return None


def answers(host: str, port: int) -> bool:
    """Whether the service says that it is up."""
    connection = http.client.HTTPConnection(host, port, timeout=1)
    try:
        connection.request("GET", "/livez")
        return connection.getresponse().status == http.HTTPStatus.OK
    except (OSError, http.client.HTTPException):
        return False
    finally:
        connection.close()


def runs(pid: int) -> bool:
    """Whether the process is still there."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


def announce(host: str, port: int, pid: int) -> None:
    """Print one request to try, as soon as the service answers; nothing if it never does."""
    host = _ANYWHERE.get(host, host)
    end = time.monotonic() + _PATIENCE_S
    while runs(pid) and time.monotonic() < end:
        if answers(host, port):
            where = f"[{host}]" if ":" in host else host
            print(
                f"curl -sS http://{where}:{port}/v1/plans"
                f" -H 'Content-Type: application/json' --data-binary @{_EXAMPLE}",
                flush=True,
            )
            return
        time.sleep(_PAUSE_S)


def main() -> str | None:
    """Run the command line; what is returned is the message it fails with."""
    asked = _arguments()
    if asked.what == "free":
        problem = free(asked.host, asked.port)
        return problem and f"{problem}\nChoose another: PORT=8001 ./deploy/serve"
    announce(asked.host, asked.port, asked.pid)
    return None


if __name__ == "__main__":
    sys.exit(main())
