"""The page's own files: style sheet, script, sign. Read once, sent compressed, named by what is in them."""

import gzip
import hashlib
from importlib.resources import files

from aiohttp import hdrs, web
from msgspec import Struct

TYPES = {
    "style.css": "text/css; charset=utf-8",
    "page.js": "text/javascript; charset=utf-8",
    "icon.svg": "image/svg+xml",
}


class Asset(Struct, frozen=True):
    """One file as it is sent."""

    type: str
    plain: bytes
    packed: bytes
    etag: str


class Assets:
    """Every file of the page, and the build they make together."""

    def __init__(self) -> None:
        folder = files("tumpline.adapters.web") / "static"
        self._assets = {name: _asset((folder / name).read_bytes(), kind) for name, kind in TYPES.items()}
        self.build = etag_of(b"".join(asset.etag.encode() for asset in self._assets.values()))
        """Differs where a page already open has other files than a page opened now."""

    async def serve(self, request: web.Request) -> web.Response:
        """Answer with the file named in the address."""
        asset = self._assets.get(request.match_info["name"])
        if asset is None:
            raise web.HTTPNotFound(text="There is no such file.")
        if known_already(request, asset.etag):
            return not_modified(asset.etag)
        packed = "gzip" in request.headers.get(hdrs.ACCEPT_ENCODING, "")
        response = web.Response(body=asset.packed if packed else asset.plain)
        response.headers[hdrs.CONTENT_TYPE] = asset.type
        if packed:
            response.headers[hdrs.CONTENT_ENCODING] = "gzip"
        response.etag = asset.etag
        return response


def etag_of(body: bytes) -> str:
    """A short name for exactly these bytes."""
    return hashlib.sha256(body).hexdigest()[:16]


def known_already(request: web.Request, etag: str) -> bool:
    """True where the browser has these bytes."""
    return any(known.value == etag for known in request.if_none_match or ())


def not_modified(etag: str) -> web.Response:
    """Tells the browser to use what it has."""
    response = web.Response(status=304)
    response.etag = etag
    return response


def _asset(body: bytes, kind: str) -> Asset:
    return Asset(kind, body, gzip.compress(body, mtime=0), etag_of(body))
