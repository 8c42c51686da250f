"""Joins, wires and the path of every wire."""

from loomwright.routing.kept import kept_from
from loomwright.routing.route import route

__all__ = ["kept_from", "route"]
