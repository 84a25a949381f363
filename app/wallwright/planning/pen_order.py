"""Order in which pens draw: proposals from light to dark, and such that no pen touches wet ink."""

from __future__ import annotations

import itertools

import numpy as np

from wallwright.artwork.colour import rgb_of
from wallwright.artwork.raster.tone import luminance
from wallwright.document.arrays import Floats
from wallwright.document.document import Document, Pen
from wallwright.document.edits_pens import in_order
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.motion.plan import Motion
from wallwright.planning.ink_contacts import InkContacts
from wallwright.strokes.strokes import Strokes

SAME_LIGHTNESS = 0.02
"""Difference of relative luminance below which inks count as equally light."""
MOST_TRIED = 7
"""Largest number of pens for which every order is tried, at most 5040; with more, pens are moved one by one while that
helps."""
Cost = tuple[int, float, int]
"""Number of pens over darker ink that they must not touch; missing drying time, s; number of light pens over darker ink."""


def lightness(pens: tuple[Pen, ...]) -> Floats:
    """Returns (p,) relative luminance, 0 to 1: black to white."""
    return luminance(np.array([rgb_of(pen.colour) for pen in pens]))


def light_to_dark(document: Document) -> tuple[int, ...]:
    """Returns the proposed order of pens, light ones first. A light ink over a dark one hardly shows, and its tip picks
    up dark ink; a dark one over a light one covers it."""
    light = lightness(document.pens)
    return tuple(sorted(range(len(document.pens)), key=lambda k: (-light[k], k)))


def order_for_dry_ink(document: Document, strokes: Strokes, motion: Motion) -> Document:
    """Returns the document with its pens in the order that leaves most time for ink to dry; among equal ones, with the
    fewest light pens over dark ink. strokes, motion: of its plan. Raises BadValue if no order is better than the present
    one.

    Each pen's drawing time is the same in any order; only the time between the pens' blocks changes.
    """
    search = _Search(document, InkContacts(document, strokes, motion), [block.pen for block in motion.blocks])
    best = search.best()
    if search.cost(best) >= search.cost(tuple(range(len(best)))):
        raise BadValue(tr("No order of the pens leaves the ink more time to dry. Wait at the pen change"))
    drawing = [search.blocks[k] for k in best]
    idle = [k for k in range(len(document.pens)) if k not in drawing]
    return in_order(document, [*drawing, *idle])


class _Search:
    """Cost of the orders of blocks."""

    def __init__(self, document: Document, contacts: InkContacts, blocks: list[int]) -> None:
        self.blocks = blocks
        pens = [document.pens[k] for k in blocks]
        light = lightness(tuple(pens))
        self._change = document.machine.lift.change_time
        self._seconds = contacts.seconds.tolist()
        n = range(len(blocks))
        self._drying = [60 * pen.drying for pen in pens]
        pairs = [(a, b) for a in n for b in n if a != b and pens[b].over != "any"]
        # Beyond the drying time the order does not matter.
        self._contact = {(a, b): contacts.closest_in_time(a, b, self._drying[a]) for a, b in pairs}
        dark = [(a, b) for a, b in pairs if light[a] < light[b] - SAME_LIGHTNESS]
        self._inverted = {pair for pair in dark if contacts.meeting_point(*pair) is not None}
        self._forbidden = {(a, b) for a, b in self._inverted if pens[b].over == "lighter"}

    def cost(self, order: tuple[int, ...]) -> Cost:
        """Returns the cost of an order; smaller is better."""
        begin, at = {}, 0.0
        for number in order:
            begin[number] = at
            at += self._seconds[number] + self._change
        missing, pairs = 0.0, list(itertools.combinations(order, 2))
        for below, above in pairs:
            contact = self._contact.get((below, above))
            if contact is not None:
                apart = begin[above] - begin[below] + contact.offset
                missing += max(self._drying[below] - apart, 0.0)
        forbidden, inverted = (sum(pair in found for pair in pairs) for found in (self._forbidden, self._inverted))
        return forbidden, round(missing, 1), inverted

    def best(self) -> tuple[int, ...]:
        """Returns the order with the least cost found; the present one if none is better."""
        present = tuple(range(len(self.blocks)))
        if len(present) <= MOST_TRIED:
            return min(itertools.permutations(present), key=self.cost)  # the present order is the first
        best = present
        while True:
            moved = (
                (*rest[:to], number, *rest[to:])
                for number in present
                for rest in (tuple(k for k in best if k != number),)
                for to in range(len(present))
            )
            found = min(moved, key=self.cost)
            if self.cost(found) >= self.cost(best):
                return best
            best = found
