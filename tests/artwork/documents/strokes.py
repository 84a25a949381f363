"""Documents on strokes (SVG 2, 13.5), one rule each."""

ZIGZAG = "M20 60L70 20L90 150L120 40L180 90"
NAMES = ("butt", "round", "square")


def line(attributes: str, d: str = ZIGZAG, width: object = 14) -> str:
    return f'<path d="{d}" fill="none" stroke="#204080" stroke-width="{width}" {attributes}/>'


PATTERNS = {
    "even": "20 10",
    "odd": "20",
    "three": "30 10 5",
    "commas": "20,10,5,10",
    "percent": "10% 5%",
    "em": "1em .5em",
    "mm": "5mm 2mm",
    "zero-dash": "0 20",
    "zero-gap": "20 0",
    "zeros": "0 0",
    "zero": "0",
    "negative": "-10 20",
    "later-negative": "10 -20",
    "bad": "10 wide",
    "none": "none",
    "long": "500",
    "spaces": "  20 , 10 ",
    "fine": "1.5 2",
    "four": "15 5 2 5",
}
OFFSETS = ("5", "-5", "25", "-100", "10%", "1em", "2mm", "far", "1000")
WIDTHS = ("0", "-4", "5%", "1em", "wide", "2mm", "0.4", "60", "1", "0.1em")
ZERO = (
    "M100 100",
    "M100 100z",
    "M100 100L100 100",
    "M100 100h0",
    "M100 100C100 100 100 100 100 100",
    "M40 40H60M100 100H100M140 140L160 160",
    "M50 50H90zM120 120z",
)
CLOSED = {
    "triangle": "M100 30L170 160H30z",
    "square": "M40 40H160V160H40z",
    "open-square": "M40 40H160V160H40L40 40",
    "curve": "M40 100C40 20 160 20 160 100S40 180 40 100z",
    "two": "M30 30H90V90H30zM110 110H170V170H110z",
    "line-back": "M40 100H160z",
}
JOINS = ("miter", "round", "bevel", "miter-clip", "arcs", "foo")

DOCUMENTS = (
    {f"cap-{cap}": line(f'stroke-linecap="{cap}"') for cap in (*NAMES, "foo")}
    | {
        f"join-{join}-{limit}": line(f'stroke-linejoin="{join}" stroke-miterlimit="{limit}"')
        for join in JOINS
        for limit in (4, 1.5, 20)
    }
    | {f"limit-{i}": line(f'stroke-miterlimit="{v}"') for i, v in enumerate(("1", "0.5", "-1", "wide", "0"))}
    | {f"dash-{k}": line(f'stroke-dasharray="{v}"') for k, v in PATTERNS.items()}
    | {
        f"dash-{cap}-{k}": line(f'stroke-dasharray="{v}" stroke-linecap="{cap}"')
        for k, v in list(PATTERNS.items())[:9]
        for cap in ("round", "square")
    }
    | {f"offset-{i}": line(f'stroke-dasharray="20 10" stroke-dashoffset="{v}"') for i, v in enumerate(OFFSETS)}
    | {f"width-{i}": line("", ZIGZAG, v) for i, v in enumerate(WIDTHS)}
    | {f"zero-{cap}-{i}": line(f'stroke-linecap="{cap}"', d, 30) for cap in NAMES for i, d in enumerate(ZERO)}
    | {
        f"closed-{k}-{join}": line(f'stroke-linejoin="{join}"', d)
        for k, d in CLOSED.items()
        for join in ("miter", "round")
    }
    | {
        f"closed-dashed-{k}-{cap}": line(f'stroke-dasharray="25 12" stroke-linecap="{cap}"', d)
        for k, d in CLOSED.items()
        for cap in NAMES
    }
    | {
        "scaled": f'<g transform="scale(2 .5)">{line("", "M20 60L60 300L90 100", 8)}</g>',
        "skewed": f'<g transform="skewX(40)">{line("", "M20 20V180L60 60", 14)}</g>',
        "scaled-dashed": '<g transform="scale(1.5 .5)">'
        + line('stroke-dasharray="20 9" stroke-linecap="round"', "M20 60L60 300L110 100", 12)
        + "</g>",
        "scaled-circle": '<circle r="40" transform="translate(100 100) scale(2 1)" fill="none" stroke="teal" stroke-width="12"/>',
        "mirrored": f'<g transform="translate(200) scale(-1 1)">{line("")}</g>',
        "scaled-clipped": '<clipPath id="c"><rect width="120" height="200"/></clipPath>'
        + f'<g clip-path="url(#c)"><g transform="scale(2 .5)">{line("", "M20 60L60 300L90 100", 8)}</g></g>',
        "non-scaling": '<g transform="scale(2 .5)">'
        + line('vector-effect="non-scaling-stroke"', "M20 60L60 300L90 100", 8)
        + "</g>",
        "small": f'<g transform="scale(.1)">{line("", "M200 600L700 200L900 1500L1200 400", 140)}</g>',
        "sharp": line("", "M20 100L180 95L20 90", 6),
        "sharp-round": line('stroke-linejoin="round"', "M20 100L180 95L20 90", 6),
        "back": line("", "M20 100H180H60", 20),
        "back-round": line('stroke-linejoin="round"', "M20 100H180H60", 20),
        "curves": line("", "M20 100C20 20 80 20 80 100S140 180 180 60", 10),
        "tight-curve": line("", "M80 180C80 60 120 60 120 180", 60),
        "arcs": line("", "M20 100A30 30 0 0 1 80 100A40 20 30 1 0 160 120", 8),
        "quadratic": line("", "M20 150Q100 -50 180 150T190 50", 9),
        "loop": line("", "M20 180C200 20 0 20 180 180", 12),
        "cusp": line("", "M20 180C220 20 -20 20 180 180", 12),
        "circle": '<circle cx="100" cy="100" r="60" fill="none" stroke="teal" stroke-width="20"/>',
        "circle-dashed": '<circle cx="100" cy="100" r="60" fill="none" stroke="teal" stroke-width="20" stroke-dasharray="30 10"/>',
        "ellipse-dashed": '<ellipse cx="100" cy="100" rx="80" ry="40" fill="none" stroke="teal" stroke-width="12" stroke-dasharray="30 10"/>',
        "rect-dashed": '<rect x="30" y="30" width="140" height="100" fill="none" stroke="teal" stroke-width="12" stroke-dasharray="30 10"/>',
        "round-rect-dashed": '<rect x="30" y="30" width="140" height="100" rx="30" fill="none" stroke="teal" stroke-width="12" stroke-dasharray="30 10"/>',
        "rect": '<rect x="30" y="30" width="140" height="100" fill="none" stroke="teal" stroke-width="12"/>',
        "polyline": '<polyline points="20,20 100,150 180,20" fill="none" stroke="teal" stroke-width="12"/>',
        "polygon": '<polygon points="20,20 100,150 180,20" fill="none" stroke="teal" stroke-width="12" stroke-linejoin="round"/>',
        "line": '<line x1="20" y1="30" x2="170" y2="160" stroke="teal" stroke-width="12" stroke-linecap="square"/>',
        "line-no-length": '<line x1="90" y1="90" x2="90" y2="90" stroke="teal" stroke-width="40" stroke-linecap="square"/>',
        "polyline-no-length": '<polyline points="90,90 90,90" stroke="teal" stroke-width="40" stroke-linecap="round"/>',
        "translucent": line('stroke-opacity=".4"', "M20 20L180 180L180 20L20 180", 24),
        "hairline": line("", "M20 20L180 150", 0.2),
        "thin": line("", "M20 20.5H180M20 40H180", 1),
        "large-curve": line("", "M-400 100C0 -300 200 500 600 100", 12),
        "inherit": '<g stroke-width="9" stroke="teal" stroke-dasharray="9 4" stroke-linecap="round" stroke-linejoin="bevel" fill="none"><path d="M20 60L70 20L90 150L120 40L180 90"/></g>',
        "dash-inherit": '<g stroke-dasharray="30 10">' + line('stroke-dasharray="inherit"') + "</g>",
    }
)
