"""The HTTP interface of pricing alternatives: begin, how far it is, stop."""

from typing import Annotated

from fastapi import APIRouter, Path, Response
from pydantic import Field

from loomwright.web.answers import raw_json
from loomwright.web.jobs import Jobs
from loomwright.web.messages import Said
from loomwright.web.pricing import Pricing, Told
from loomwright.web.slices import json_of
from loomwright.web.views.alternatives import EXACT, MOST_EXACT

Number = Annotated[int, Path(ge=1, le=2**53)]


class PriceMessage(Said):
    """Price alternatives: how many of the promising ones are worked out."""

    exact: int = Field(EXACT, ge=1, le=MOST_EXACT)


def pricing_router(jobs: Jobs, pricing: Pricing) -> APIRouter:
    """Return the routes of pricing.

    Args:
        jobs: the folder that is served
        pricing: what prices them
    """
    router = APIRouter(prefix="/api/job/{job}/pricing")

    @router.post("")
    def begin(job: str, said: PriceMessage) -> Response:
        """Begin to price the changes of the tree that promise most; another pricing is stopped."""
        state = jobs.desk(job).state()
        return _answer(pricing.start(job, state.digest, state.done.read, said.exact))

    @router.get("/{number}")
    def how_far(job: str, number: Number) -> Response:
        """Return how far it is, and the answer once it is done."""
        return _answer(pricing.told(job, number))

    @router.post("/{number}/stop")
    def stop(job: str, number: Number, said: Said) -> Response:
        """Stop it where it still runs."""
        return _answer(pricing.stop(job, number))

    return router


def _answer(told: Told) -> Response:
    head = {
        "number": told.number,
        "digest": told.digest,
        "stands": told.stands,
        "worked": told.worked,
        "of": told.of,
        "words": told.words,
    }
    return raw_json(json_of(head)[:-1] + b',"found":' + told.found + b"}")
