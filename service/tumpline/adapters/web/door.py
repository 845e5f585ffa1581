"""Who may come in: on this computer everybody; from elsewhere whoever is logged in, or known to a trusted proxy."""

import ipaddress
from collections.abc import Awaitable, Callable
from urllib.parse import quote, unquote, urlencode, urlsplit

import structlog
from aiohttp import hdrs, web
from msgspec import Struct

from tumpline.adapters.web.people import ROLES, People
from tumpline.adapters.web.sessions import LASTS, Sessions
from tumpline.settings import Page as Place
from tumpline.settings import Role, is_loopback

log = structlog.get_logger(__name__)

LONGEST_NAME = 60
NAME_COOKIE = "tumpline_who"
NAME_SECONDS = 90 * 24 * 3600
OWN_SITE = frozenset(["same-origin", "none"])
LOG_IN = "/log-in"
LONGEST_ADDRESS = 4000
LONGEST_PATH = 200
"""Letters of an address that are logged."""
FREE = (LOG_IN, "/static/")
"""What is served to anybody."""


class Visitor(Struct, frozen=True):
    """Who asks."""

    name: str
    """Empty where nobody has said."""
    role: Role
    proven: bool
    """True where the name comes from a log-in; else it is whatever was typed, and can be typed anew."""

    def may(self, role: Role) -> bool:
        """True where this visitor may do what that role may."""
        return ROLES.index(self.role) >= ROLES.index(role)


VISITOR = web.RequestKey("visitor", Visitor)


class Door:
    """Lets requests in, or not. Every refusal is logged."""

    def __init__(self, place: Place, *, people: People | None, sessions: Sessions, now: Callable[[], float]) -> None:
        self._proxy = place.proxy
        self._proxies = frozenset(place.proxy.addresses if place.proxy else ())
        self._people = people
        self._sessions = sessions
        self._now = now
        self.open = people is None and place.proxy is None
        """True where everybody who reaches the page may use it: on this computer, without people or a proxy."""

    def visitor(self, request: web.BaseRequest) -> Visitor | None:
        """Who asks; None for whoever has to log in first."""
        if self.open:
            return Visitor(clean(unquote(request.cookies.get(NAME_COOKIE, ""))), "manage", proven=False)
        proxied = self._proxied(request)
        if proxied:
            return proxied
        token = request.cookies.get(self.cookie(request), "")
        person = self._people.find(self._sessions.name(token) or "") if self._people and token else None
        if person is None or not self._sessions.holds(token, person, self._now()):
            return None
        return Visitor(person.name, person.role, proven=True)

    def _proxied(self, request: web.BaseRequest) -> Visitor | None:
        if self._proxy is None or not self._from_proxy(request):
            return None
        name = clean(request.headers.get(self._proxy.user_header, ""))
        person = self._people.find(name) if self._people else None
        return Visitor(name, person.role if person else self._proxy.role, proven=True) if name else None

    def _from_proxy(self, request: web.BaseRequest) -> bool:
        return address_of(request) in self._proxies

    @web.middleware
    async def guard(
        self, request: web.Request, handler: Callable[[web.Request], Awaitable[web.StreamResponse]]
    ) -> web.StreamResponse:
        """Middleware: only what may come in reaches a page; the page finds the visitor under `VISITOR`."""
        if self.open and not is_loopback(request.url.host or ""):
            raise refused(
                request, "foreign name", "This page is only served to this computer, as localhost or 127.0.0.1."
            )
        if request.method not in (hdrs.METH_GET, hdrs.METH_HEAD):
            self.refuse_other_sites(request)
        visitor = self.visitor(request)
        if visitor is not None:
            request[VISITOR] = visitor
        elif not request.path.startswith(FREE) and not _is_socket(request):
            return await self._send_to_log_in(request)
        try:
            return await handler(request)
        except web.HTTPForbidden:
            raise  # whoever refused has said so
        except web.HTTPClientError as error:
            note_refusal(request, error.reason.lower())
            raise

    def refuse_other_sites(self, request: web.BaseRequest) -> None:
        """
        Another site must not make a browser write into the book or listen in.

        A browser says where a form or a socket comes from; what says nothing is no browser.
        """
        site, origin = request.headers.get("Sec-Fetch-Site"), request.headers.get(hdrs.ORIGIN)
        if (site is not None and site not in OWN_SITE) or (origin is not None and origin != self._own_origin(request)):
            sentence = "This was sent from another site's page. It is only taken from this page itself."
            raise refused(request, "another site", sentence, origin=origin, site=site)

    def _own_origin(self, request: web.BaseRequest) -> str:
        if self._proxy is not None and self._from_proxy(request):
            return self._proxy.origin.lower()
        return f"{request.scheme}://{request.host}"

    def _over_tls(self, request: web.BaseRequest) -> bool:
        return self._own_origin(request).startswith("https:")

    def cookie(self, request: web.BaseRequest) -> str:
        """Name of the cookie with the token; over TLS one that no other host or path can set."""
        return "__Host-tumpline" if self._over_tls(request) else "tumpline"

    def let_in(self, request: web.Request, response: web.StreamResponse, token: str, role: Role) -> None:
        """Give the browser its token."""
        response.set_cookie(
            self.cookie(request),
            token,
            max_age=int(LASTS[role]),
            httponly=True,
            samesite="Strict",
            secure=self._over_tls(request),
        )

    def let_out(self, request: web.Request, response: web.StreamResponse) -> None:
        """Take the browser's token away."""
        response.del_cookie(self.cookie(request), secure=self._over_tls(request), httponly=True, samesite="Strict")

    async def _send_to_log_in(self, request: web.Request) -> web.StreamResponse:
        """Ask for a log-in, and lead back afterwards; what a form held is kept in the address it comes back to."""
        if request.cookies.get(self.cookie(request)):
            note_refusal(request, "session over")
        elif request.method not in (hdrs.METH_GET, hdrs.METH_HEAD):
            note_refusal(request, "no session")
        if request.method in (hdrs.METH_GET, hdrs.METH_HEAD):
            back = request.path_qs
        else:
            kept = {key: value for key, value in (await request.post()).items() if isinstance(value, str)}
            form = f"{request.path}?{urlencode(kept)}"
            back = form if "/book/" in request.path and len(form) < LONGEST_ADDRESS else "/"
        raise web.HTTPSeeOther(f"{LOG_IN}?{urlencode({'back': back})}")


def refused(request: web.BaseRequest, why: str, sentence: str, **facts: object) -> web.HTTPException:
    """A refusal that is logged."""
    note_refusal(request, why, **facts)
    return web.HTTPForbidden(text=sentence)


def note_refusal(request: web.BaseRequest, why: str, **facts: object) -> None:
    """Log that somebody was refused; what address they asked for they chose, so it is cut to what is harmless."""
    log.warning("page.refused", why=why, path=clean(request.path, LONGEST_PATH), address=address_of(request), **facts)


def address_of(request: web.BaseRequest) -> str:
    """Where a request comes from, an address of the older kind written in the older way."""
    try:
        address = ipaddress.ip_address(request.remote or "")
    except ValueError:
        return request.remote or ""
    mapped = address.ipv4_mapped if isinstance(address, ipaddress.IPv6Address) else None
    return str(mapped or address)


def own_path(path: str) -> str:
    """A path of this page to lead back to; the first page for anything else."""
    parts = urlsplit(path)
    is_own = path.startswith("/") and not path.startswith(("//", "/\\")) and not parts.netloc and not parts.scheme
    return path if is_own and path.isprintable() else "/"


def keep_name(response: web.StreamResponse, name: str) -> None:
    """Where nobody logs in: let the browser keep the name that was typed."""
    response.set_cookie(NAME_COOKIE, quote(name), max_age=NAME_SECONDS, httponly=True, samesite="Strict")


def clean(text: str | None, longest: int = LONGEST_NAME) -> str:
    """What was typed, on one line and not too long."""
    return " ".join("".join(c if c.isprintable() else " " for c in text or "").split())[:longest]


def _is_socket(request: web.Request) -> bool:
    return request.headers.get(hdrs.UPGRADE, "").lower() == "websocket"
