"""Who may reach the served screens: nobody without the printed token, nobody through another site.

A browser sends any page's requests to a server on its own machine. So each request must name us as
its host (a name that was made to lead here is foreign), each socket must be opened by our own page,
and every request but the first must bring the cookie that the first was given for the token.
"""

import hmac
import ipaddress
import secrets
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field

from aiohttp import web
from aiohttp.typedefs import Middleware

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]

TOKEN = "token"
"""The token's name in the printed address."""

HTTP = 80
"""The port that goes without saying."""

HEADERS = {
    "Cache-Control": "no-store",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
}
"""On every answer: kept nowhere, framed nowhere, told to nobody."""


def is_loopback(address: str) -> bool:
    """Whether an address is this machine's own, that no other can reach."""
    if address == "localhost":
        return True
    try:
        return ipaddress.ip_address(address).is_loopback
    except ValueError:
        return False


def in_url(address: str) -> str:
    """An address as it stands in a URL: IPv6 in brackets."""
    return f"[{address}]" if ":" in address else address


def _secret() -> str:
    return secrets.token_urlsafe(32)


@dataclass(frozen=True)
class Guard:
    """The check that each request passes; the secrets are of this run alone."""

    address: str
    port: int
    token: str = field(default_factory=_secret, repr=False)
    cookie: str = field(default_factory=_secret, repr=False)

    @property
    def cookie_name(self) -> str:
        """Cookies are the host's, whatever the port, so each port has its own."""
        return f"kitprep-{self.port}"

    @property
    def url(self) -> str:
        """What to open."""
        at = {"0.0.0.0": "127.0.0.1", "::": "::1"}.get(self.address, self.address)
        return f"http://{in_url(at)}:{self.port}/?{TOKEN}={self.token}"

    def knows_host(self, host: str) -> bool:
        """Whether a Host header names this server.

        A name can be made to lead to any address, an address cannot; so where all addresses are
        served, any address is right and any name but this server's own is not.
        """
        name, colon, port = host.rpartition(":")
        if self.port == HTTP and (not colon or port.endswith("]")):
            name, port = host, str(HTTP)  # a browser leaves the usual port out
        if port != str(self.port):
            return False
        name = name.removeprefix("[").removesuffix("]").casefold()
        if name == self.address.casefold():
            return True
        if is_loopback(name):
            return is_loopback(self.address) or self.address in ("0.0.0.0", "::")
        if self.address not in ("0.0.0.0", "::"):
            return False
        try:
            ipaddress.ip_address(name)
        except ValueError:
            return False
        return True

    def refusal(self, request: web.Request) -> str | None:
        """Why a request is turned away, or None."""
        host = request.headers.get("Host", "")
        if not self.knows_host(host):
            return "This is not the address that kitprep serves."
        origin = request.headers.get("Origin")
        if origin is None and request.path == "/ws":
            return "Only kitprep's own page may open this."
        if origin is not None and origin.casefold() != f"http://{host}".casefold():
            return "Another site's page may not reach this."
        if not self._is_let_in(request):
            return "Open the address that kitprep serve printed, with its token."
        return None

    def _is_let_in(self, request: web.Request) -> bool:
        if _same(request.cookies.get(self.cookie_name, ""), self.cookie):
            return True
        return request.path == "/" and self.has_token(request)

    def has_token(self, request: web.Request) -> bool:
        """Whether the address has the token."""
        return _same(request.query.get(TOKEN, ""), self.token)

    def let_in(self, response: web.StreamResponse) -> None:
        """Gives the cookie, which no other site's page can send and no script can read."""
        response.set_cookie(self.cookie_name, self.cookie, httponly=True, samesite="Strict")

    @property
    def middleware(self) -> Middleware:
        """As aiohttp takes it."""

        @web.middleware
        async def check(request: web.Request, handler: Handler) -> web.StreamResponse:
            refused = self.refusal(request)
            if refused is not None:
                return web.Response(status=403, text=f"{refused}\n", headers=HEADERS)
            return await handler(request)

        return check


def _same(given: str, secret: str) -> bool:
    return hmac.compare_digest(given.encode("utf-8", "surrogateescape"), secret.encode())
