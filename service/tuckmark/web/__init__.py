"""The HTTP adapter: the only part that knows Flask."""

from tuckmark.web.application import create_app

__all__ = ["create_app"]
