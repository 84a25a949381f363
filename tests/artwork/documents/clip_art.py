"""What clip art holds that drawings made with care do not: one small document a class, invented for the tests.

Each goes through the whole way, from the file to the replayed program (tests/planning/test_whole_way.py).
"""

from __future__ import annotations

import math

XLINK = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'


def page(body: str, width: float = 120, height: float = 90) -> str:
    """An SVG document of that size in mm and in its own units."""
    return f'<svg {XLINK} width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}">{body}</svg>'


def _star(points: int, step: int) -> str:
    """A star that crosses itself, its corners sharper the more points it has."""
    turn = 2 * math.pi * step / points
    return " ".join(f"{60 + 40 * math.sin(k * turn):.4f},{45 - 40 * math.cos(k * turn):.4f}" for k in range(points))


def _stuttering() -> str:
    """A curve whose points come twice, or a millionth of a millimetre apart, as converted drawings have them."""
    places = []
    for k in range(40):
        x, y = 10 + 2.5 * k, 45 + 20 * math.sin(k / 4)
        places += [f"{x:.7f},{y:.7f}", f"{x:.7f},{y:.7f}", f"{x + 1e-6:.7f},{y:.7f}"]
    return "M" + " L".join(places)


def _shading() -> str:
    """A shadow made of hairlines that touch each other on paper, as drawing programs break up gradients; each a little
    greyer than the one before."""
    lines = []
    for k in range(240):
        half = 40 * math.sqrt(1 - ((k - 120) / 120) ** 2)
        grey = f"#{3 * (('%02x') % (32 + k // 4))}"
        lines.append(
            f'<path d="M{60 - half:.3f} {30 + 0.12 * k:.3f} H{60 + half:.3f}" stroke="{grey}" stroke-width="0.12"/>'
        )
    return "".join(lines)


def _scribble() -> str:
    """A path to and fro, its lines a tenth of a unit apart."""
    return "M" + " ".join(f"L{30 if (k + 1) // 2 % 2 else 90} {30 + 0.1 * (k // 2):.2f}" for k in range(240))[1:]


def _spiky(tips: int) -> str:
    """A star whose sides meet at a few degrees."""
    radius = (42, 12)
    return " ".join(
        f"{60 + radius[k % 2] * math.sin(math.pi * k / tips):.4f},{45 - radius[k % 2] * math.cos(math.pi * k / tips):.4f}"
        for k in range(2 * tips)
    )


GRADIENT = (
    '<defs><linearGradient id="{0}" x1="0" y1="0" x2="{1}" y2="1"><stop offset="0" stop-color="#102040"/>'
    '<stop offset="1" stop-color="#f0f0ff"/></linearGradient></defs>'
)

DRAWN = {
    # Legs between two rests: the last one is so short that nothing lies between its ends.
    "a stroke that runs back over itself": page(
        '<path d="M20 20 L100 80 L99.8 79.85 M20 80 L100 20 L20 80" fill="none" stroke="#202020"/>'
    ),
    "spikes no longer than a step of the motors": page(
        '<path d="M10 45'
        + "".join(f" h10 l0.0004 {0.002 * (-1) ** k} l-0.0004 {-0.002 * (-1) ** k}" for k in range(9))
        + '" fill="none" stroke="#202020"/>'
    ),
    "points that come twice": page(f'<path d="{_stuttering()}" fill="none" stroke="#c02020"/>'),
    "a dot of a line": page(
        '<path d="M60 45 L60 45 M30 45 h0 M90 45 z" fill="none" stroke="#202020" stroke-width="3" stroke-linecap="round"/>'
        '<path d="M20 70 h80" stroke="#202020"/>'
    ),
    "a sharp star that crosses itself": page(f'<polygon points="{_star(31, 14)}" fill="none" stroke="#202020"/>'),
    "the same shape twice": page(
        '<g id="a"><rect x="20" y="20" width="60" height="40" fill="none" stroke="#202020"/></g>'
        '<use xlink:href="#a"/><use xlink:href="#a" x="0.001"/>'
    ),
    # Tone: strokes of one fill lie on those of the other.
    "gradients on each other": page(
        GRADIENT.format("g", 0)
        + GRADIENT.format("h", 1)
        + '<circle cx="60" cy="45" r="35" fill="url(#g)"/><circle cx="60" cy="45" r="35" fill="url(#h)" opacity="0.6"/>'
        '<ellipse cx="60" cy="60" rx="20" ry="8" fill="url(#h)" fill-opacity="0.5"/>'
    ),
    "a gradient along a thin line": page(
        GRADIENT.format("s", 1) + '<path d="M10 45 C40 5 80 85 110 45" fill="none" stroke="url(#s)" stroke-width="6"/>'
    ),
    "a gradient without stops": page(
        '<defs><linearGradient id="none"/></defs><rect width="60" height="40" fill="url(#none)" stroke="#202020"/>'
    ),
    "a blurred shadow": page(
        '<defs><filter id="f"><feGaussianBlur stdDeviation="3"/></filter></defs>'
        '<ellipse cx="60" cy="70" rx="40" ry="8" fill="#000" opacity="0.3" filter="url(#f)"/>'
        '<circle cx="60" cy="40" r="25" fill="#e08a1e"/>'
    ),
    "slivers between shapes that nearly meet": page(
        "".join(
            f'<rect x="{10 + 10 * k}" y="20" width="{9.9999 + 0.0002 * (k % 2)}" height="50" fill="{c}"/>'
            for k, c in enumerate(("#202020", "#c02020", "#1f4e8c", "#e08a1e") * 2)
        )
    ),
    "a region that crosses itself many times": page(
        f'<polygon points="{_star(23, 9)}" fill="#1f4e8c"/><polygon points="{_star(23, 9)}" fill="none" stroke="#202020"/>'
    ),
    # Many lines where one would do.
    "a shadow of hairlines": page(_shading(), 120, 90),
    "a scribble denser than the pen": page(
        f'<path d="{_scribble()}" fill="none" stroke="#202020" stroke-width="0.2"/>'
    ),
    "an outline drawn three times, a little aside": page(
        "".join(
            f'<circle cx="{60 + 0.1 * k}" cy="45" r="{35 + 0.05 * k}" fill="none" stroke="#202020" stroke-width="0.3"/>'
            for k in range(3)
        )
    ),
    "a filled star with sharp tips": page(f'<polygon points="{_spiky(61)}" fill="#202020"/>'),
    # Pages that are not what they should be.
    "left-overs far off the page": page(
        '<rect x="10" y="10" width="90" height="60" fill="#1f4e8c"/><rect x="-9e6" y="-8e6" width="7e6" height="6e6" '
        'fill="#202020"/><circle cx="125" cy="45" r="20" fill="#c02020"/><path d="M-400 20 L200 70" stroke="#202020"/>'
    ),
    "no size and no view box": f'<svg {XLINK}><rect x="20" y="20" width="300" height="200" fill="#c02020"/></svg>',
    "a page in per cent": f'<svg {XLINK} width="100%" height="100%" viewBox="0 0 40 30">'
    '<path d="M5 5 h30 v20 z" fill="none" stroke="#202020"/></svg>',
    "a page forty times as wide as high": page(
        '<path d="M1 1 h198 M1 2 l198 2" stroke="#202020" fill="none"/>', 200, 5
    ),
    "places far from the origin": f'<svg {XLINK} width="120mm" height="90mm" viewBox="1000000 2000000 120 90">'
    '<path d="M1000010 2000010 l100 70 M1000010 2000080 l100 -70" stroke="#202020"/></svg>',
    "a hundred thousandth of a unit": f'<svg {XLINK} width="120mm" height="90mm" viewBox="0 0 0.0012 0.0009">'
    '<circle cx="0.0006" cy="0.00045" r="0.0004" stroke-width="0.00001" fill="none" '
    'stroke="#202020"/></svg>',
    "a leaking entity and a foreign name space": f'<svg {XLINK} xmlns:pen="http://example.org/pen" width="120mm" height="90mm" '
    'viewBox="0 0 120 90"><pen:view zoom="2"/><metadata><pen:made by="hand"/></metadata>'
    '<rect pen:kind="box" x="10" y="10" width="90" height="60" fill="none" stroke="#202020"/></svg>',
    "no name space": '<svg width="120" height="90"><path d="M10 10 l90 60" stroke="#202020"/></svg>',
}
"""Documents that are drawn."""

REFUSED = {
    "only definitions": page(GRADIENT.format("g", 0)),
    "white on white": page('<rect x="10" y="10" width="50" height="50" fill="#ffffff"/>'),
    "all of it off the page": page('<circle cx="400" cy="400" r="20" fill="#202020"/>'),
    "a page without height": f'<svg {XLINK} width="120mm" height="0" viewBox="0 0 120 90"><path d="M0 0h9" stroke="#000"/></svg>',
    "half a file": page('<path d="M10 10 l90 60" stroke="#202020"/>')[:-20],
}
"""Documents of which nothing can be drawn: a sentence says so."""

DOCUMENTS = DRAWN | REFUSED
