"""Documents on markers (SVG 2, 13.7), one rule each."""

ARROW = '<path d="M0 0L10 5L0 10z" fill="#c03020"/>'
WANTED = 'marker-start="url(#m)" marker-mid="url(#m)" marker-end="url(#m)"'
BOX = 'viewBox="0 0 10 10" refX="5" refY="5"'
PATHS = {
    "line": "M30 100L170 60",
    "zigzag": "M30 50L80 150L120 60L170 150",
    "curve": "M30 100C30 20 120 20 170 100",
    "two": "M30 40L90 80M110 120L170 160",
    "closed": "M50 50H150L100 150z",
    "closed-back": "M50 50H150V150H50V50z",
    "smooth": "M30 150C60 20 90 20 110 100S150 180 170 60",
    "quadratic": "M30 150Q100 -20 170 150",
    "arc": "M40 100A60 40 20 1 1 160 120",
    "cubic-no-handle": "M30 150C30 150 90 20 170 60",
    "cubic-no-end-handle": "M30 150C60 60 170 60 170 60",
    "after-close": "M40 40H100V100zL160 160",
    "repeat": "M30 100H100H100L170 60",
    "back": "M30 100H170H80",
    "closed-curve": "M40 100C40 20 160 20 160 100C160 180 40 180 40 100z",
    "two-closed": "M30 30H90V90H30zM110 110H170V170z",
    "relative": "m30 50l50 100l40 -90l50 90",
    "move-only": "M100 100",
    "trailing-move": "M30 50L100 100M150 150",
}
SHAPES = {
    "line": '<line x1="30" y1="40" x2="160" y2="150" {}/>',
    "polyline": '<polyline points="30,40 100,150 170,40" {}/>',
    "polygon": '<polygon points="30,40 100,150 170,40" {}/>',
    "rect": '<rect x="40" y="50" width="120" height="90" {}/>',
    "circle": '<circle cx="100" cy="100" r="60" {}/>',
    "ellipse": '<ellipse cx="100" cy="100" rx="70" ry="40" {}/>',
    "round-rect": '<rect x="40" y="50" width="120" height="90" rx="20" {}/>',
}


def marker(
    attributes: str = BOX,
    content: str = ARROW,
    shape: str = "",
    d: str = PATHS["zigzag"],
    wanted: str = WANTED,
) -> str:
    shape = shape or f'<path d="{d}" fill="none" stroke="#206040" stroke-width="5" {wanted}/>'
    return f'<marker id="m" {attributes}>{content}</marker>{shape}'


CONTEXT = '<path d="M0 0L10 5L0 10z" fill="context-stroke" stroke="context-fill" stroke-width="2"/>'
DOCUMENTS = (
    {f"auto-{k}": marker(BOX + ' orient="auto"', d=d) for k, d in PATHS.items()}
    | {f"auto-reverse-{k}": marker(BOX + ' orient="auto-start-reverse"', d=d) for k, d in list(PATHS.items())[:4]}
    | {
        f"on-{k}": marker(
            BOX + ' orient="auto"', shape=v.format(f'fill="none" stroke="#206040" stroke-width="5" {WANTED}')
        )
        for k, v in SHAPES.items()
    }
    | {
        f"orient-{i}": marker(BOX + f' orient="{v}"')
        for i, v in enumerate(("30", "-45", "30deg", ".1turn", "50grad", "1rad", "foo", "0", " 30"))
    }
    | {f"only-{k}": marker(BOX + ' orient="auto"', wanted=f'marker-{k}="url(#m)"') for k in ("start", "mid", "end")}
    | {
        "usual": marker(""),
        "size": marker(BOX + ' markerWidth="6" markerHeight="4"'),
        "user-units": marker(BOX + ' markerUnits="userSpaceOnUse" markerWidth="25" markerHeight="25"'),
        "units-unknown": marker(BOX + ' markerUnits="foo"'),
        "no-view-box": marker('markerWidth="8" markerHeight="8"', '<rect width="6" height="9" fill="red"/>'),
        "ref": marker('viewBox="0 0 10 10" refX="10" refY="0" orient="auto"'),
        "ref-percent": marker('viewBox="0 0 10 10" refX="50%" refY="100%"'),
        "ref-words": marker('viewBox="0 0 10 10" refX="center" refY="center"'),
        "ref-words-corner": marker('viewBox="0 0 10 10" refX="right" refY="bottom"'),
        "overflow": marker(BOX + ' overflow="visible"', '<circle cx="5" cy="5" r="9" fill="red"/>'),
        "overflow-hidden": marker(BOX, '<circle cx="5" cy="5" r="9" fill="red"/>'),
        "overflow-auto": marker(BOX + ' overflow="auto"', '<circle cx="5" cy="5" r="9" fill="red"/>'),
        "overflow-css": marker(BOX + ' style="overflow:visible"', '<circle cx="5" cy="5" r="9" fill="red"/>'),
        "clip-turned": marker(BOX + ' orient="auto"', '<circle cx="5" cy="5" r="6.5" fill="red"/>'),
        "aspect": marker('viewBox="0 0 10 10" markerWidth="6" markerHeight="3" preserveAspectRatio="xMinYMin"'),
        "aspect-none": marker('viewBox="0 0 10 10" markerWidth="6" markerHeight="3" preserveAspectRatio="none"'),
        "aspect-slice": marker(
            'viewBox="0 0 10 10" markerWidth="6" markerHeight="3" preserveAspectRatio="xMidYMid slice"'
        ),
        "view-box-offset": marker('viewBox="-5 -5 10 10" orient="auto"', '<path d="M-5 -5L5 0L-5 5z" fill="red"/>'),
        "width-zero": marker(BOX + ' markerWidth="0"'),
        "width-negative": marker(BOX + ' markerWidth="-2"'),
        "empty": marker(BOX, ""),
        "missing": marker(BOX, wanted='marker-start="url(#zz)" marker-end="url(#m)"'),
        "not-a-marker": f'<g id="m">{ARROW}</g><path d="M30 50L170 150" stroke="red" stroke-width="5" marker-end="url(#m)"/>',
        "none": marker(BOX, wanted='marker-start="none" marker-end="url(#m)"'),
        "shorthand": marker(BOX, wanted='style="marker:url(#m)"'),
        "shorthand-attribute": marker(BOX, wanted='marker="url(#m)"'),
        "shorthand-css": "<style>path{marker:url(#m)}</style>"
        + marker(BOX, '<circle cx="5" cy="5" r="4" style="marker:none"/>', wanted=""),
        "inherited": marker(
            BOX,
            shape=f'<g {WANTED} stroke="green" stroke-width="5" fill="none"><path d="M30 50L170 150"/><polyline points="30,150 100,180 170,150"/></g>',
        ),
        "wide-line": marker(BOX, d="M40 60L160 140", wanted=WANTED + ' style="stroke-width:12"'),
        "no-line": marker(BOX, shape=f'<path d="M40 60L160 140" stroke-width="8" {WANTED}/>'),
        "width-nothing": marker(BOX, shape=f'<path d="M40 60L160 140" stroke="red" stroke-width="0" {WANTED}/>'),
        "hidden": marker(BOX, wanted=WANTED + ' visibility="hidden"'),
        "opacity": marker(BOX, wanted=WANTED + ' opacity=".5"'),
        "stroke-opacity": marker(BOX, wanted=WANTED + ' stroke-opacity=".4"'),
        "marker-opacity": marker(BOX + ' opacity=".4"'),
        "marker-display-none": marker(BOX + ' display="none"'),
        "child-opacity": marker(BOX, f'<g opacity=".4">{ARROW}<circle cx="5" cy="5" r="3"/></g>'),
        "dashed": marker(BOX, wanted=WANTED + ' stroke-dasharray="12 6"'),
        "order": marker(BOX, wanted=WANTED + ' style="paint-order:markers"'),
        "order-fill": marker(
            BOX,
            shape=f'<path d="M40 60H160V160H40z" fill="gold" stroke="green" stroke-width="9" {WANTED} style="paint-order:markers fill stroke"/>',
        ),
        "own-style": f'<g fill="orange" stroke="blue"><marker id="m" {BOX}><circle cx="5" cy="5" r="4"/></marker></g><path d="M40 60L160 140" stroke="red" fill="none" stroke-width="6" {WANTED}/>',
        "moved": '<g transform="translate(20 10) rotate(20) scale(.8)">' + marker(BOX + ' orient="auto"') + "</g>",
        "stretched": '<g transform="scale(1 .5)">' + marker(BOX + ' orient="auto"') + "</g>",
        "self": marker(BOX + ' overflow="visible"', f'<path d="M0 5H10" stroke="red" stroke-width="2" {WANTED}/>'),
        "nested": '<marker id="n" viewBox="0 0 10 10" refX="5" refY="5"><circle cx="5" cy="5" r="5" fill="blue"/></marker>'
        + marker(
            BOX + ' overflow="visible" markerWidth="8" markerHeight="8"',
            '<path d="M0 5H10" stroke="red" stroke-width="1" marker-end="url(#n)"/>',
        ),
        "use-inside": "<defs>" + ARROW.replace("<path", '<path id="a"') + "</defs>" + marker(BOX, '<use href="#a"/>'),
        "gradient-inside": '<linearGradient id="g"><stop offset="0" stop-color="red"/><stop offset="1" stop-color="blue"/></linearGradient>'
        + marker(BOX, '<rect width="10" height="10" fill="url(#g)"/>'),
        "clip-inside": '<clipPath id="c"><circle cx="5" cy="5" r="4"/></clipPath>'
        + marker(BOX, '<rect width="10" height="10" fill="red" clip-path="url(#c)"/>'),
        "context": marker(
            BOX,
            CONTEXT,
            f'<path d="M30 50L80 150L120 60L170 150" fill="gold" stroke="#206040" stroke-width="6" {WANTED}/>',
        ),
        "context-none": marker(
            BOX, CONTEXT, f'<path d="M30 50L80 150L170 150" fill="none" stroke="#206040" stroke-width="6" {WANTED}/>'
        ),
        "context-gradient": '<linearGradient id="g"><stop offset="0" stop-color="red"/><stop offset="1" stop-color="blue"/></linearGradient>'
        + marker(
            BOX, CONTEXT, f'<path d="M30 50L80 150L170 150" fill="none" stroke="url(#g)" stroke-width="6" {WANTED}/>'
        ),
        "context-opacity": marker(
            BOX,
            CONTEXT,
            f'<path d="M30 50L80 150L170 150" fill="gold" stroke="green" stroke-opacity=".4" stroke-width="6" {WANTED}/>',
        ),
        "context-outside": '<path d="M30 50L80 150L170 150" fill="context-fill" stroke="context-stroke" stroke-width="6"/><circle r="40"/>',
        "context-gradient-user": '<linearGradient id="g" gradientUnits="userSpaceOnUse" x1="30" x2="170"><stop offset="0" stop-color="red"/><stop offset="1" stop-color="blue"/></linearGradient>'
        + marker(
            BOX + ' orient="auto"',
            CONTEXT,
            f'<path d="M30 50L80 150L170 150" fill="none" stroke="url(#g)" stroke-width="6" {WANTED}/>',
        ),
        "in-use": f'<defs><path id="q" d="M30 50L80 150L120 60" fill="none" stroke="green" stroke-width="5" {WANTED}/></defs><marker id="m" {BOX}>{ARROW}</marker><use href="#q"/><use href="#q" x="60" y="30"/>',
        "text-not": marker(
            BOX, shape=f'<text x="20" y="100" font-size="50" font-family="DejaVu Sans" {WANTED}>Word</text>'
        ),
    }
)
