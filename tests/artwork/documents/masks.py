"""Documents on masks (CSS Masking 1, section 7; SVG 2, 14.5), one rule each."""

SHOWN = '<rect x="20" y="20" width="160" height="160" fill="#206080" mask="url(#m)"/>'
DISC = '<circle cx="100" cy="100" r="60" fill="{}"/>'
FADE = (
    '<linearGradient id="f"><stop offset="0" stop-color="white"/><stop offset="1" stop-color="black"/></linearGradient>'
)
CLEAR = '<linearGradient id="f"><stop offset="0" stop-color="white"/><stop offset="1" stop-color="white" stop-opacity="0"/></linearGradient>'
ALL = '<rect width="200" height="200" fill="url(#f)"/>'


def mask(content: str, attributes: str = "", shape: str = SHOWN) -> str:
    return f'<mask id="m" {attributes}>{content}</mask>{shape}'


DOCUMENTS = {
    "white": mask(DISC.format("white")),
    "grey": mask(DISC.format("#888")),
    "black": mask(DISC.format("black")),
    "colours": mask(
        '<rect width="70" height="200" fill="red"/><rect x="70" width="60" height="200" fill="lime"/><rect x="130" width="70" height="200" fill="blue"/>'
    ),
    "hole": mask('<rect width="200" height="200" fill="white"/>' + DISC.format("black")),
    "grey-over-white": mask('<rect width="200" height="200" fill="white"/>' + DISC.format("#808080")),
    "gradient": FADE + mask(ALL),
    "gradient-clear": CLEAR + mask(ALL),
    "gradient-alpha": CLEAR + mask(ALL, 'mask-type="alpha"'),
    "gradient-round": '<radialGradient id="f"><stop offset=".2" stop-color="white"/><stop offset="1" stop-color="black"/></radialGradient>'
    + mask(ALL),
    "opacity": mask(DISC.format('white" opacity=".5')),
    "fill-opacity": mask(DISC.format('white" fill-opacity=".3')),
    "stroke": mask('<circle cx="100" cy="100" r="50" fill="none" stroke="white" stroke-width="30"/>'),
    "type-luminance": mask(DISC.format("grey"), 'mask-type="luminance"'),
    "type-style": mask(DISC.format("black"), 'style="mask-type:alpha"'),
    "type-unknown": mask(DISC.format("grey"), 'mask-type="foo"'),
    "alpha-black": mask(DISC.format("black"), 'mask-type="alpha"'),
    "alpha-half": mask(DISC.format('black" opacity=".5'), 'mask-type="alpha"'),
    "usual-region": mask(
        '<rect width="200" height="200" fill="white"/>',
        "",
        '<circle cx="100" cy="100" r="50" fill="none" stroke="teal" stroke-width="60" mask="url(#m)"/>',
    ),
    "region-box": mask('<rect width="200" height="200" fill="white"/>', 'x=".2" y=".3" width=".5" height=".4"'),
    "region-percent": mask('<rect width="200" height="200" fill="white"/>', 'x="20%" y="30%" width="50%" height="40%"'),
    "region-user": mask(
        '<rect width="200" height="200" fill="white"/>',
        'maskUnits="userSpaceOnUse" x="50" y="60" width="80" height="70"',
    ),
    "region-user-percent": mask(
        '<rect width="200" height="200" fill="white"/>',
        'maskUnits="userSpaceOnUse" x="10%" y="20%" width="50%" height="40%"',
    ),
    "region-user-usual": mask('<rect width="200" height="200" fill="white"/>', 'maskUnits="userSpaceOnUse"'),
    "region-zero": mask(DISC.format("white"), 'width="0"'),
    "region-negative": mask(DISC.format("white"), 'height="-1"'),
    "content-box": mask('<circle cx=".5" cy=".5" r=".4" fill="white"/>', 'maskContentUnits="objectBoundingBox"'),
    "both-box": mask(
        '<circle cx=".5" cy=".5" r=".4" fill="grey"/>',
        'maskContentUnits="objectBoundingBox" x="0" y="0" width=".7" height="1"',
    ),
    "content-box-user-region": mask(
        '<circle cx=".5" cy=".5" r=".4" fill="white"/>',
        'maskContentUnits="objectBoundingBox" maskUnits="userSpaceOnUse" x="0" y="0" width="110" height="200"',
    ),
    "no-area": mask(
        '<rect width="200" height="200" fill="white"/>',
        "",
        '<path d="M20 100H180" stroke="teal" stroke-width="40" mask="url(#m)"/>',
    ),
    "no-area-user": mask(
        '<rect width="100" height="200" fill="white"/>',
        'maskUnits="userSpaceOnUse" x="0" y="0" width="200" height="200"',
        '<path d="M20 100H180" stroke="teal" stroke-width="40" mask="url(#m)"/>',
    ),
    "missing": SHOWN,
    "empty": mask(""),
    "not-a-mask": f'<g id="m">{DISC.format("white")}</g>' + SHOWN,
    "none": SHOWN.replace("url(#m)", "none"),
    "is-a-clip": f'<clipPath id="m">{DISC.format("white")}</clipPath>' + SHOWN,
    "self": mask(DISC.format("white"), 'mask="url(#m)"'),
    "self-child": mask("<g mask='url(#m)'>" + DISC.format("white") + "</g>"),
    "on-mask": '<mask id="n"><rect width="100" height="200" fill="white"/></mask>'
    + mask(DISC.format("white"), 'mask="url(#n)"'),
    "on-mask-grey": '<mask id="n"><rect width="100" height="200" fill="#999"/></mask>'
    + mask(DISC.format("#ccc"), 'mask="url(#n)"'),
    "on-mask-child": '<mask id="n"><rect width="100" height="200" fill="white"/></mask>'
    + mask("<g mask='url(#n)'>" + DISC.format("#ddd") + "</g>"),
    "on-mask-missing": mask(DISC.format("white"), 'mask="url(#zz)"'),
    "opacity-on-mask": mask(DISC.format("white"), 'opacity=".3"'),
    "display-none": mask(DISC.format("white"), 'display="none"'),
    "child-none": mask(DISC.format('white" display="none')),
    "child-hidden": mask(DISC.format('white" visibility="hidden')),
    "clip-in-mask": '<clipPath id="c"><rect width="100" height="200"/></clipPath>'
    + mask(DISC.format('white" clip-path="url(#c)')),
    "with-clip": '<clipPath id="c"><rect width="100" height="200"/></clipPath>'
    + mask(DISC.format("#bbb"), "", SHOWN.replace("/>", ' clip-path="url(#c)"/>')),
    "group": mask(
        DISC.format("#aaa"),
        "",
        '<g mask="url(#m)"><rect width="120" height="120" fill="red"/><rect x="60" y="60" width="120" height="120" fill="blue"/></g>',
    ),
    "group-opacity": mask(
        DISC.format("#aaa"),
        "",
        '<g mask="url(#m)" opacity=".5"><rect width="120" height="120" fill="red"/><rect x="60" y="60" width="120" height="120" fill="blue"/></g>',
    ),
    "moved": mask(DISC.format("white"), "", '<g transform="translate(30 20) scale(.7) rotate(10)">' + SHOWN + "</g>"),
    "transform-on-target": FADE + mask(ALL, "", SHOWN.replace("/>", ' transform="translate(60 -20) rotate(30)"/>')),
    "transform-child": mask(DISC.format('white" transform="skewX(20)')),
    "transform-on-mask": mask(DISC.format("white"), 'transform="translate(40)"'),
    "use-in": '<defs><circle id="d" r="40" fill="white"/></defs>'
    + mask('<use href="#d" x="70" y="80"/><use href="#d" x="130" y="110"/>'),
    "on-use": '<defs><rect id="r" width="150" height="150" fill="teal"/></defs>'
    + mask(DISC.format("white"), "", '<use href="#r" x="20" y="20" mask="url(#m)"/>'),
    "on-svg": mask(
        DISC.format("#ccc"),
        "",
        '<svg x="10" y="10" width="160" height="160" mask="url(#m)"><rect width="100%" height="100%" fill="teal"/></svg>',
    ),
    "text-in": mask(
        '<text x="20" y="130" font-size="90" font-family="DejaVu Sans" fill="white" font-weight="bold">Ab</text>'
    ),
    "on-text": mask(
        '<rect width="100" height="200" fill="white"/><rect x="100" width="50" height="200" fill="#777"/>',
        'maskUnits="userSpaceOnUse" x="0" y="0" width="200" height="200"',
        '<text x="10" y="130" font-size="80" font-family="DejaVu Sans" mask="url(#m)">Abc</text>',
    ),
    "pattern-in": '<pattern id="p" patternUnits="userSpaceOnUse" width="20" height="20"><rect width="10" height="20" fill="white"/></pattern>'
    + mask('<rect width="200" height="200" fill="url(#p)"/>'),
    "inherits-own-place": '<g fill="white">' + mask('<circle cx="100" cy="100" r="60"/>', "", "") + "</g>" + SHOWN,
    "css": "<style>#t{mask:url(#m)}</style>"
    + mask(DISC.format("white"), "", '<rect id="t" width="200" height="200" fill="teal"/>'),
    "stroke-target": mask(
        DISC.format("#999"),
        "",
        '<path d="M20 40L180 60L20 90L180 120" fill="none" stroke="teal" stroke-width="16" mask="url(#m)"/>',
    ),
    "later": SHOWN + f'<mask id="m">{DISC.format("white")}</mask>',
    "gradient-target": FADE + mask(ALL, "", SHOWN.replace("#206080", "url(#f)")),
    "overlapping-grey": mask(
        DISC.format("#888") + '<rect x="100" y="100" width="80" height="80" fill="#888" opacity=".5"/>'
    ),
    "two-masks": '<mask id="n"><rect width="100" height="200" fill="#bbb"/></mask>'
    + mask(DISC.format("#ddd"), "", '<g mask="url(#n)">' + SHOWN + "</g>"),
    "units-unknown": mask(DISC.format("white"), 'maskUnits="foo" maskContentUnits="bar"'),
    "linear-light": mask(DISC.format("#888"), 'color-interpolation="linearRGB"'),
}
