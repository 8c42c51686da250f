"""How bench devices reach the server: address, pass phrase and QR code, for the desk's own screen alone."""

import io
from dataclasses import dataclass

from fastapi import APIRouter, Response

from loomwright.errors import LoomwrightError
from loomwright.web.answers import raw_json
from loomwright.web.slices import json_of


@dataclass(frozen=True, slots=True)
class Share:
    """Where bench devices go, and the phrase they log in with."""

    address: str
    phrase: str


def share_router(share: Share | None) -> APIRouter:
    """Return the routes that tell it; shared devices themselves are not let to them.

    Args:
        share: how bench devices reach the server; None = they don't
    """
    router = APIRouter(prefix="/api/share")

    @router.get("")
    def told() -> Response:
        """Return address and phrase; both empty where nothing is shared."""
        one = share or Share("", "")
        return raw_json(json_of({"address": one.address, "phrase": one.phrase}))

    @router.get("/qr.svg")
    def code() -> Response:
        """Return the address as a QR code."""
        if share is None:
            raise LoomwrightError("Nothing is shared. Start it with --share.")
        return Response(_code(share.address), media_type="image/svg+xml")

    return router


def _code(address: str) -> bytes:
    import segno

    out = io.BytesIO()
    segno.make(address, error="m", micro=False).save(out, kind="svg", scale=5, border=4, light="#ffffff")
    return out.getvalue()
