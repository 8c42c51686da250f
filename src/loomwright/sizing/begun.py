"""What size a pin's wire begins with while no way is measured: fixed, sized before, or the least allowed."""

from dataclasses import dataclass
from typing import Final

from loomwright.library.contacts import ContactClass, contacts_of_size
from loomwright.library.wires import WireSize
from loomwright.model.device import Pin
from loomwright.model.job import Job
from loomwright.sizing.choices import SHOPS_LEAST, least_choice
from loomwright.sizing.fits import cavity_size, contact_at


@dataclass(frozen=True, slots=True)
class Begun:
    """A pin's wire before its way is known.

    Attributes:
        size: its size as far as the job tells
        why: what says so, in words
        sure: the builder fixed it, or it was sized with the rope before
    """

    size: WireSize
    why: str
    sure: bool


@dataclass(frozen=True, slots=True)
class ContactGuess:
    """The contact a pin gets as far as can be told.

    Attributes:
        kind: contact class, None = the job tells neither class nor face
        why: what it rests on, in words
        sure: no later wire size changes it
        others: classes that thicker wires would take in the same cavity, thinnest first
    """

    kind: ContactClass | None
    why: str
    sure: bool
    others: tuple[ContactClass, ...] = ()


SIZED: Final = "sized with the rope before"


def begun_with(job: Job, pin: Pin) -> Begun:
    """Return the size a pin's wire begins with.

    Args:
        pin: a pin of the job; the largest of its wires' sizes where it was sized before
    """
    choice = least_choice(job, pin.circuit, (pin.id,), "")
    if choice.fixed:
        return Begun(choice.sizes[0], "size fixed in the job", True)
    kept = [label for name, label in job.kept.sizes if pin.id in name.split(" | ")[1:]]
    known = [size for size in choice.sizes if size.label in kept]
    if known:
        return Begun(known[-1], SIZED, True)
    shops = choice.floor == SHOPS_LEAST
    why = "the shop's least size" if shops else f"the least {choice.floor}"
    return Begun(choice.sizes[0], why, False)


def guessed_contact(job: Job, pin: Pin) -> ContactGuess:
    """Return the contact a pin gets as far as can be told before its wire is sized."""
    plug = job.connector[pin.end]
    if pin.contact or plug.contact:
        return ContactGuess(contact_at(job, pin.id), "named in the job", True)
    begun = begun_with(job, pin)
    kind = contact_at(job, pin.id, begun.size)
    if kind is None:
        return ContactGuess(None, "", False)
    offered = contacts_of_size(cavity_size(job, plug, pin))
    if len(offered) == 1:
        return ContactGuess(kind, "the only class for its cavity", True)
    thicker = sorted((one for one in offered if one.mm2_max > kind.mm2_max), key=lambda one: one.mm2_min)
    others = () if begun.sure else tuple(thicker)
    return ContactGuess(kind, f"{begun.size.words}, {begun.why}", begun.sure, others)
