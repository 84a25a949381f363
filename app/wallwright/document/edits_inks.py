"""Edits of how colours of an artwork, or of a group in it, are drawn."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from wallwright.document.document import Document, Ink, Placement
from wallwright.document.edits import set_placement

Group = tuple[str, ...]
"""Path of group names, outermost first; () is the whole artwork."""


def is_within(ink: Ink, group: Group) -> bool:
    """Whether a choice is for a group or one nested in it."""
    return ink.group[: len(group)] == group


def ink_of(placement: Placement, colour: str, group: Group, pen: str) -> Ink:
    """Returns the choice that applies to a colour in a group, from the innermost enclosing group, else Ink(colour, pen)."""
    around = [i for i in placement.inks if i.colour == colour and group[: len(i.group)] == i.group]
    return max(around, key=lambda i: len(i.group)) if around else Ink(colour, pen)


def change_inks(
    document: Document, placement_id: str, group: Group, pens: Mapping[str, str], change: Callable[[Ink], Ink]
) -> Document:
    """Changes how colours are drawn in a group and in all nested groups that have choices of their own.

    pens: the colours, each with the id of the pen that draws it by default, "" for none.
    """
    placement = document.placement(placement_id)
    inks = list(placement.inks)
    for colour, pen in pens.items():
        if not any(i.colour == colour and i.group == group for i in inks):
            around = ink_of(placement, colour, group, pen)
            inks.append(Ink(colour, around.pen, around.outline, around.fill, group))
    inks = [change(i) if i.colour in pens and is_within(i, group) else i for i in inks]
    inks.sort(key=lambda i: (i.group, i.colour))
    return set_placement(document, placement_id, inks=tuple(inks))


def clear_inks(document: Document, placement_id: str, group: Group, colours: Mapping[str, str]) -> Document:
    """Removes every choice for some colours in a group and its nested groups."""
    inks = document.placement(placement_id).inks
    left = tuple(i for i in inks if not (i.colour in colours and is_within(i, group)))
    return set_placement(document, placement_id, inks=left)
