"""What is measured against: a bare Flask application that answers with bytes it has at hand.

``python -m tests.bench.echo --port N --workers N`` serves it as the service is served: by the same
server class, with the same settings.
"""

import argparse
import os
from typing import Any, Final

from flask import Flask, Response, request

BYTES: Final = "BENCH_ECHO_BYTES"


def create_app() -> Flask:
    """Takes a body, answers with so many bytes."""
    app = Flask("echo", static_folder=None)
    answer = b"x" * int(os.environ.get(BYTES, "25000"))

    @app.post("/v1/plans")
    def echo() -> Response:
        request.get_data()
        return Response(answer, content_type="application/json")

    @app.get("/readyz")
    def ready() -> Response:
        return Response(b"{}", content_type="application/json")

    return app


def main() -> None:
    """Serve until told to stop."""
    from tuckmark.web.server import Server

    class Echo(Server):
        def load(self) -> Any:
            return create_app()

    parser = argparse.ArgumentParser()
    parser.add_argument("--port", type=int, required=True)
    parser.add_argument("--workers", type=int, required=True)
    chosen = parser.parse_args()
    Echo("127.0.0.1", chosen.port, chosen.workers, None).run()


if __name__ == "__main__":
    main()
