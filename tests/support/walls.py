"""A wall that needs several hangings."""

from __future__ import annotations

from wallwright.document import edits
from wallwright.document.document import Document, Fill, Pen
from wallwright.document.edits_hangings import replace_hangings
from wallwright.document.wall import Wall
from wallwright.planning.hanging_proposal import propose_covering

BANNER = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="5000mm" height="700mm" viewBox="0 0 5000 700">'
    b'<rect x="0" y="0" width="5000" height="700" fill="none" stroke="#202020"/>'
    b'<path d="M200 500C1200 50 1500 650 2500 350S4200 60 4800 500L4800 600H200Z" fill="#c02020"/>'
    b'<g fill="none" stroke="#202020">'
    + b"".join(f'<circle cx="{x}" cy="120" r="45"/>'.encode() for x in range(150, 4900, 110))
    + b"</g></svg>"
)


def banner(spacing: float = 40.0, width: float = 5000.0) -> Document:
    """Returns a wall with artwork of a width, half a metre from both ends, and one hanging between anchors 2 m apart."""
    document = Document(wall=Wall(-500.0, -300.0, width + 1000.0, 2500.0))
    document = edits.replace(
        document,
        pens=(Pen("black", "Black", "#202020", 2.0), Pen("red", "Red", "#c02020", 3.0)),
        settings=edits.replace(document.settings, fill=Fill("hatch", spacing, 0.4)),
    )
    return edits.add_artwork(document, "banner.svg", "image/svg+xml", BANNER, (5000, 700), (width / 2, 900), width)[0]


def hung_banner(spacing: float = 40.0, width: float = 5000.0) -> Document:
    """Returns the same with all hangings that it needs."""
    document = banner(spacing, width)
    return replace_hangings(document, propose_covering(document).places)
