"""The page: a server on this machine alone, and what it serves. Needs the optional extra ``page``."""

from listen.web.server import PageSettings, serve_page

__all__ = ["PageSettings", "serve_page"]
