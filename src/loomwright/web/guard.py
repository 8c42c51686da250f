"""Who may ask for what: host and origin headers, size of bodies, the pass phrase of shared devices.

Everything is refused that does not come from a page of this very server: a page elsewhere in the browser can
neither read a job nor change one, also when its name is made to point here.
"""

import hmac
import json
import re
import time
from collections.abc import Awaitable, Callable, MutableMapping
from http.cookies import CookieError, SimpleCookie
from typing import Any, Final
from urllib.parse import quote

from starlette.responses import RedirectResponse

from loomwright.web.entry_kept import KEPT_DAYS, Entry

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

MOST_BYTES: Final = 2_000_000
MOST_UPLOAD: Final = 16_000_000
LOGIN: Final = "/api/login"
NOT_LOGGED_IN: Final = 401
COOKIE: Final = "bench"
COOKIE_S: Final = KEPT_DAYS * 24 * 3600
MOST_TRIES: Final = 10
PAUSE_S: Final = 60.0
LOOPBACK: Final = frozenset({"127.0.0.1", "::1"})
CONTENT: Final = ("application/json", "image/png", "image/jpeg", "application/octet-stream")
_UPLOADS: Final = re.compile(r"/api/job/[^/]+/(photo|photo/look|take-in|sheets)|/api/jobs")
_SHARED: Final = re.compile(
    r"/(bench|static|login|device|d)(/.*)?"
    r"|/api/login"
    r"|/api/job/[^/]+/(bench|records|photo|device|paper|face)(/.*)?"
)
"""What a shared device may see: bench pages, records, device pages, papers. Never the desk's edits."""
POLICY: Final = (
    "default-src 'self'; img-src 'self' data: blob:; object-src 'none'; base-uri 'none'; "
    "form-action 'self'; frame-ancestors 'self'"
)


class Guard:
    """Stands before the whole app.

    Args:
        app: what it guards
        hosts: "address:port" under which this server is known
        entry: phrase and ticket of shared devices; empty = nobody but this computer
    """

    def __init__(self, app: App, hosts: frozenset[str], entry: Entry) -> None:
        self._app, self._hosts, self._entry = app, hosts, entry
        self._origins = frozenset(f"http://{one}" for one in hosts)
        self._failed: list[float] = []

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it in words."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self._app(scope, receive, send)
            return
        heads = {name.decode("latin-1"): value.decode("latin-1") for name, value in scope["headers"]}
        fault = self._fault(scope, heads)
        if fault and fault[0] == NOT_LOGGED_IN and "text/html" in heads.get("accept", ""):
            await RedirectResponse(f"/login?to={quote(scope['path'])}", 303)(scope, receive, send)
        elif fault:
            await _refuse(send, *fault)
        elif scope["path"] == LOGIN:
            await self._login(scope, receive, send)
        else:
            limit = MOST_UPLOAD if _UPLOADS.fullmatch(scope["path"]) else MOST_BYTES
            await self._app(scope, _limited(receive, limit), _with_heads(send, scope["path"]))

    def _fault(self, scope: Scope, heads: dict[str, str]) -> tuple[int, str] | None:
        if heads.get("host", "").lower() not in self._hosts:
            return 421, "This address is not one of this program's. Open the address it printed."
        if scope["method"] not in ("GET", "HEAD") and (fault := self._write_fault(scope, heads)):
            return fault
        if scope["path"] == LOGIN or _from_here(scope):
            return None
        if not _SHARED.fullmatch(scope["path"]):
            return 403, "This page is for the computer at the desk. Bench pages are open to this device."
        free = scope["path"] == "/bench" or scope["path"].startswith(("/static/", "/login"))
        if not free and not self._known(heads.get("cookie", "")):
            return NOT_LOGGED_IN, "Log this device in with the pass phrase on the desk's screen: open /login."
        return None

    def _write_fault(self, scope: Scope, heads: dict[str, str]) -> tuple[int, str] | None:
        origin, site = heads.get("origin"), heads.get("sec-fetch-site")
        if origin is not None and origin.lower() not in self._origins:
            return 403, "This came from another page and was not carried out."
        if site not in (None, "same-origin", "none"):
            return 403, "This came from another page and was not carried out."
        content = heads.get("content-type", "").partition(";")[0].strip().lower()
        if content not in CONTENT:
            return 415, f"Send it as {CONTENT[0]}, a photo as PNG or JPEG."
        length = heads.get("content-length", "0")
        limit = MOST_UPLOAD if _UPLOADS.fullmatch(scope["path"]) else MOST_BYTES
        if not length.isascii() or not length.isdigit() or int(length[:18]) > limit:
            return 413, f"That is too big; at most {limit // 1_000_000} MB."
        return None

    def _known(self, cookies: str) -> bool:
        try:
            held = SimpleCookie(cookies).get(COOKIE)
        except CookieError:
            return False
        ticket = self._entry.ticket.encode()
        return held is not None and bool(ticket) and hmac.compare_digest(held.value.encode(), ticket)

    async def _login(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["method"] != "POST":
            return await _refuse(send, 405, "Send the pass phrase.")
        now = time.monotonic()
        self._failed = [one for one in self._failed if now - one < PAUSE_S]
        if len(self._failed) >= MOST_TRIES:
            return await _refuse(send, 429, "Too many wrong tries. Wait a minute.")
        said = _phrase_in(await _body(receive, 4096))
        phrase = self._entry.phrase
        if not phrase or not hmac.compare_digest(_plain(said), _plain(phrase)):
            self._failed.append(now)
            return await _refuse(send, 403, "That is not the pass phrase on the desk's screen.")
        cookie = f"{COOKIE}={self._entry.ticket}; Path=/; HttpOnly; SameSite=Strict; Max-Age={COOKIE_S}"
        return await _answer(
            send, 200, {"say": "This device is logged in."}, [(b"set-cookie", cookie.encode())]
        )


def _from_here(scope: Scope) -> bool:
    client = scope.get("client") or ("",)
    return str(client[0]).removeprefix("::ffff:") in LOOPBACK


def _plain(phrase: str) -> bytes:
    return " ".join(phrase.lower().split()).encode()


def _phrase_in(body: bytes) -> str:
    try:
        held = json.loads(body)
    except (ValueError, RecursionError):
        return ""
    return str(held.get("phrase", "")) if isinstance(held, dict) else ""


async def _body(receive: Receive, most: int) -> bytes:
    got = b""
    while len(got) <= most:
        message = await receive()
        got += bytes(message.get("body", b""))
        if not message.get("more_body"):
            return got
    return b""


def _limited(receive: Receive, most: int) -> Receive:
    """Receive at most so many bytes; what comes beyond ends the request as if the sender had gone."""
    got = 0

    async def limited() -> Message:
        nonlocal got
        message = await receive()
        got += len(message.get("body", b""))
        return message if got <= most else {"type": "http.disconnect"}

    return limited


def _with_heads(send: Send, path: str) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            heads = message["headers"]
            names = {name.lower() for name, _ in heads}
            kind = next((value for name, value in heads if name.lower() == b"content-type"), b"")
            if b"content-security-policy" not in names and kind != b"application/pdf":
                heads.append((b"content-security-policy", POLICY.encode()))
            if b"cache-control" not in names:
                heads.append((b"cache-control", b"no-cache" if path.startswith("/static") else b"no-store"))
            heads += _HEADS
        await send(message)

    return sent


_HEADS: Final = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
)


async def _refuse(send: Send, status: int, say: str) -> None:
    await _answer(send, status, {"say": say}, [])


async def _answer(send: Send, status: int, what: dict[str, str], more: list[tuple[bytes, bytes]]) -> None:
    body = json.dumps(what).encode()
    heads = [(b"content-type", b"application/json"), (b"cache-control", b"no-store"), *_HEADS, *more]
    heads.append((b"content-length", str(len(body)).encode()))
    await send({"type": "http.response.start", "status": status, "headers": heads})
    await send({"type": "http.response.body", "body": body})
