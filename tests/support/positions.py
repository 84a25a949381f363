"""Extracts positions from English texts by numbers, directions and the name of the origin; shares no code with the
program."""

from __future__ import annotations

import re

from wallwright.document.document import Document

NUMBER = r"(-?\d+(?:\.\d+)?)"
FROM_ANCHOR = re.compile(
    rf"{NUMBER} mm (right|left) of and {NUMBER} mm (below|above) (this hanging's left anchor|the left anchor(?: of (?P<name>[^,;:.]+?(?=[,;:.)]| \(|$)))?)"
)
ON_WALL = re.compile(rf"{NUMBER} mm from the wall's left edge, {NUMBER} mm above the floor")


def positions_in(text: str, document: Document, hanging: int = 0) -> list[tuple[float, float]]:
    """Returns the points of the wall frame, mm, in a text; hanging: index of "this hanging"."""
    found, text = [], text.replace("\N{MINUS SIGN}", "-")
    for match in FROM_ANCHOR.finditer(text):
        across = float(match[1]) * (1 if match[2] == "right" else -1)
        along = float(match[3]) * (1 if match[4] == "below" else -1)
        if match["name"] is not None:
            anchor = next(h.left for h in document.hangings if h.name == match["name"])
        else:
            own = match[5] == "this hanging's left anchor"
            assert own or len(document.hangings) == 1, f"whose anchor? {text}"
            anchor = document.hangings[hanging].left
        found.append((anchor.x + across, anchor.y + along))
    wall = document.wall
    for match in ON_WALL.finditer(text):
        found.append((wall.left + float(match[1]), wall.top + wall.height - float(match[2])))
    return found
