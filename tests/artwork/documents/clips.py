"""Documents on clip paths (CSS Masking 1, section 5; SVG 1.1, 14.3), one rule each."""

SHOWN = '<rect x="10" y="10" width="180" height="180" fill="#208060" clip-path="url(#c)"/>'
DISC = '<circle cx="100" cy="90" r="60"/>'
STAR = '<path d="M100 20L150 170L20 75H180L50 170z" {}/>'


def clip(content: str, attributes: str = "", shape: str = SHOWN) -> str:
    return f'<clipPath id="c" {attributes}>{content}</clipPath>{shape}'


DOCUMENTS = {
    "circle": clip(DISC),
    "two-shapes": clip(DISC + '<rect x="20" y="120" width="90" height="60"/>'),
    "nonzero": clip(STAR.format("")),
    "evenodd": clip(STAR.format('clip-rule="evenodd"')),
    "evenodd-on-clip": clip(STAR.format(""), 'clip-rule="evenodd"'),
    "evenodd-parent": '<g clip-rule="evenodd">' + clip(STAR.format("")) + "</g>",
    "fill-rule-ignored": clip(STAR.format('fill-rule="evenodd"')),
    "evenodd-target": clip(STAR.format(""), "", '<g clip-rule="evenodd">' + SHOWN + "</g>"),
    "box-units": clip('<circle cx=".5" cy=".5" r=".4"/>', 'clipPathUnits="objectBoundingBox"'),
    "box-units-group": clip(
        '<circle cx=".5" cy=".5" r=".4"/>',
        'clipPathUnits="objectBoundingBox"',
        '<g clip-path="url(#c)"><rect x="20" y="20" width="60" height="60" fill="teal"/><circle cx="140" cy="130" r="40" fill="navy" stroke="red" stroke-width="20"/></g>',
    ),
    "box-units-turned": clip(
        '<circle cx=".5" cy=".5" r=".4"/>',
        'clipPathUnits="objectBoundingBox"',
        '<rect width="120" height="60" transform="translate(60 20) rotate(30)" fill="teal" clip-path="url(#c)"/>',
    ),
    "box-units-stroked": clip(
        '<rect x=".2" y=".2" width=".8" height="1"/>',
        'clipPathUnits="objectBoundingBox"',
        '<circle cx="100" cy="100" r="60" fill="none" stroke="teal" stroke-width="40" clip-path="url(#c)"/>',
    ),
    "box-units-no-area": clip(
        '<rect width="1" height="1"/>',
        'clipPathUnits="objectBoundingBox"',
        '<path d="M20 100H180" stroke="teal" stroke-width="40" clip-path="url(#c)"/>',
    ),
    "transform": clip(DISC, 'transform="translate(20 20) rotate(20) scale(1 .6)"'),
    "transform-child": clip('<rect width="80" height="80" transform="rotate(45) translate(60 -40)"/>'),
    "transform-both": clip(
        '<rect width="80" height="80" transform="rotate(45) translate(60 -40)"/>', 'transform="scale(1.2)"'
    ),
    "transform-flat": clip(DISC, 'transform="scale(0)"'),
    "transform-target": clip(DISC, "", '<g transform="translate(20 30) scale(.7)">' + SHOWN + "</g>"),
    "transform-on-target": clip(DISC, "", SHOWN.replace("/>", ' transform="skewX(20) scale(.6)"/>')),
    "use": '<defs><rect id="r" x="30" y="30" width="70" height="90"/></defs>'
    + clip('<use href="#r"/><use href="#r" x="70" y="60"/>'),
    "use-transform": '<defs><rect id="r" x="30" y="30" width="70" height="90"/></defs>'
    + clip('<use href="#r" transform="rotate(20)"/>'),
    "use-group": '<defs><g id="r"><rect x="30" y="30" width="70" height="90"/></g></defs>' + clip('<use href="#r"/>'),
    "group-child": clip("<g>" + DISC + "</g>"),
    "group-and-shape": clip("<g>" + DISC + '</g><rect x="20" y="20" width="60" height="60"/>'),
    "svg-child": clip("<svg>" + DISC + "</svg>"),
    "switch-child": clip("<switch>" + DISC + "</switch>"),
    "image-child": clip('<image width="50" height="50"/>' + DISC),
    "symbol-use": '<symbol id="s">' + DISC + "</symbol>" + clip('<use href="#s"/>'),
    "desc-child": clip("<desc>x</desc>" + DISC),
    "unknown-child": clip("<wobble/>" + DISC),
    "text": clip('<text x="10" y="140" font-size="100" font-family="DejaVu Sans" font-weight="bold">Ab</text>'),
    "empty": clip(""),
    "missing": SHOWN,
    "none": SHOWN.replace("url(#c)", "none"),
    "not-a-clip": f'<g id="c">{DISC}</g>{SHOWN}',
    "is-a-mask": f'<mask id="c">{DISC}</mask>{SHOWN}',
    "display-none-child": clip(
        '<circle cx="50" cy="50" r="30" display="none"/><rect x="80" y="80" width="80" height="50"/>'
    ),
    "hidden-child": clip(
        '<circle cx="50" cy="50" r="30" visibility="hidden"/><rect x="80" y="80" width="80" height="50"/>'
    ),
    "display-none-clip": clip(DISC, 'display="none"'),
    "hidden-clip": clip(DISC, 'visibility="hidden"'),
    "no-fill-child": clip('<circle cx="100" cy="90" r="60" fill="none" stroke="red" stroke-width="40"/>'),
    "opacity-child": clip('<circle cx="100" cy="90" r="60" opacity=".2" fill-opacity="0"/>'),
    "line-child": clip('<path d="M20 20L180 180" stroke="black" stroke-width="50"/>'),
    "overlapping-opposite": clip('<path d="M20 20H120V120H20z"/><path d="M80 80V180H180V80z"/>'),
    "on-child": '<clipPath id="d"><rect x="60" y="40" width="60" height="120"/></clipPath>'
    + clip('<circle cx="100" cy="90" r="60" clip-path="url(#d)"/><rect x="150" y="20" width="20" height="100"/>'),
    "on-use-child": '<clipPath id="d"><rect x="60" y="40" width="60" height="120"/></clipPath><defs><circle id="r" cx="100" cy="90" r="60" clip-path="url(#d)"/></defs>'
    + clip('<use href="#r"/>'),
    "on-the-use": '<clipPath id="d"><rect x="60" y="40" width="60" height="120"/></clipPath><defs><circle id="r" cx="100" cy="90" r="60"/></defs>'
    + clip('<use href="#r" x="20" clip-path="url(#d)"/>'),
    "on-clip": '<clipPath id="d"><rect x="60" y="40" width="60" height="120"/></clipPath>'
    + clip(DISC, 'clip-path="url(#d)"'),
    "on-clip-chain": '<clipPath id="e"><rect x="20" y="80" width="160" height="40"/></clipPath><clipPath id="d" clip-path="url(#e)"><rect x="60" y="40" width="60" height="120"/></clipPath>'
    + clip(DISC, 'clip-path="url(#d)"'),
    "on-clip-missing": clip(DISC, 'clip-path="url(#zz)"'),
    "on-child-missing": clip(DISC.replace("/>", ' clip-path="url(#zz)"/>')),
    "on-clip-box-units": '<clipPath id="d" clipPathUnits="objectBoundingBox"><rect width=".5" height="1"/></clipPath>'
    + clip(DISC, 'clip-path="url(#d)"'),
    "on-child-box-units": '<clipPath id="d" clipPathUnits="objectBoundingBox"><rect width=".5" height="1"/></clipPath>'
    + clip(DISC.replace("/>", ' clip-path="url(#d)"/>')),
    "on-clip-transform": '<clipPath id="d" transform="rotate(10)"><rect x="60" y="40" width="60" height="120"/></clipPath>'
    + clip(DISC, 'clip-path="url(#d)" transform="translate(20)"'),
    "self": clip(DISC, 'clip-path="url(#c)"'),
    "self-child": clip(DISC.replace("/>", ' clip-path="url(#c)"/>')),
    "mutual": '<clipPath id="d" clip-path="url(#c)"><rect x="60" y="40" width="60" height="120"/></clipPath>'
    + clip(DISC, 'clip-path="url(#d)"'),
    "mask-on-clip": '<mask id="m"><rect width="70" height="200" fill="white"/></mask>' + clip(DISC, 'mask="url(#m)"'),
    "mask-on-child": '<mask id="m"><rect width="70" height="200" fill="white"/></mask>'
    + clip(DISC.replace("/>", ' mask="url(#m)"/>')),
    "twice": '<clipPath id="d"><rect x="60" y="40" width="60" height="120"/></clipPath>'
    + clip(DISC, "", '<g clip-path="url(#d)">' + SHOWN + "</g>"),
    "group": clip(
        DISC,
        "",
        '<g clip-path="url(#c)" opacity=".6"><rect width="120" height="120" fill="red"/><rect x="60" y="60" width="120" height="120" fill="blue"/></g>',
    ),
    "stroke": clip(
        DISC,
        "",
        '<path d="M20 40L180 60L20 90L180 120" fill="none" stroke="teal" stroke-width="16" clip-path="url(#c)"/>',
    ),
    "dashed": clip(
        DISC,
        "",
        '<path d="M20 40L180 60L20 90L180 120" fill="none" stroke="teal" stroke-width="16" stroke-dasharray="20 9" stroke-linecap="round" clip-path="url(#c)"/>',
    ),
    "svg-element": clip(
        DISC,
        "",
        '<svg x="10" y="10" width="160" height="160" clip-path="url(#c)"><rect width="100%" height="100%" fill="teal"/></svg>',
    ),
    "use-element": clip(
        DISC,
        "",
        '<defs><rect id="r" width="150" height="150" fill="teal"/></defs><use href="#r" x="20" y="20" clip-path="url(#c)"/>',
    ),
    "text-element": clip(
        '<rect x="20" y="90" width="160" height="30"/>',
        "",
        '<text x="10" y="140" font-size="90" font-family="DejaVu Sans" clip-path="url(#c)">Abc</text>',
    ),
    "text-box-units": clip(
        '<rect width="1" height=".5"/>',
        'clipPathUnits="objectBoundingBox"',
        '<g clip-path="url(#c)"><text x="10" y="140" font-size="90" font-family="DejaVu Sans">Abc</text><rect width="200" height="200" fill="none"/></g>',
    ),
    "gradient-under": clip(
        DISC,
        "",
        '<linearGradient id="g"><stop offset="0" stop-color="red"/><stop offset="1" stop-color="blue"/></linearGradient>'
        + SHOWN.replace("#208060", "url(#g)"),
    ),
    "css": "<style>#t{clip-path:url(#c)}</style>"
    + clip(DISC, "", '<rect id="t" width="200" height="200" fill="teal"/>'),
    "style": clip(DISC, "", SHOWN.replace('clip-path="url(#c)"', 'style="clip-path: url(#c)"')),
    "quoted": clip(DISC, "", SHOWN.replace('"url(#c)"', "\"url('#c')\"")),
    "later": SHOWN + f'<clipPath id="c">{DISC}</clipPath>',
    "units-unknown": clip(DISC, 'clipPathUnits="foo"'),
    "percent": clip('<rect x="20%" y="20%" width="50%" height="40%"/>'),
    "marker-in": '<marker id="m" overflow="visible"><circle r="5"/></marker>'
    + clip('<path d="M40 40H160V160" marker-end="url(#m)" marker-start="url(#m)"/>'),
    "polygon": clip('<polygon points="100,20 180,160 20,160"/>'),
    "polyline": clip('<polyline points="100,20 180,160 20,160 60,90"/>'),
    "ellipse": clip('<ellipse cx="100" cy="100" rx="80" ry="40"/>'),
    "round-rect": clip('<rect x="30" y="30" width="120" height="90" rx="30"/>'),
    "not-inherited": clip(
        DISC,
        "",
        '<g clip-path="url(#c)"><g transform="translate(40 0)"><rect width="160" height="160" fill="teal"/></g></g>',
    ),
    "markers-under": '<marker id="m" overflow="visible"><circle r="4" fill="red"/></marker>'
    + clip(
        DISC,
        "",
        '<path d="M40 40L100 90L160 40" stroke="teal" stroke-width="9" fill="none" marker-mid="url(#m)" marker-end="url(#m)" clip-path="url(#c)"/>',
    ),
}
