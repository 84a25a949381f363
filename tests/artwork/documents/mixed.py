"""Documents in which several rules of painting meet (SVG 2, 3, 13 and 14; CSS Masking 1)."""

GRADIENT = (
    '<linearGradient id="g"><stop offset="0" stop-color="red"/><stop offset="1" stop-color="blue"/></linearGradient>'
)
MARKER = '<marker id="m" viewBox="0 0 10 10" refX="5" refY="5" markerWidth="6" markerHeight="6"><rect width="10" height="10" fill="context-fill" stroke="context-stroke" stroke-width="2"/></marker>'
PATTERN = '<pattern id="p" patternUnits="userSpaceOnUse" width="20" height="20"><rect width="10" height="10" fill="teal"/><rect x="10" y="10" width="10" height="10" fill="gold"/></pattern>'
DOCUMENTS = {
    "ctx-use-gradient": GRADIENT
    + '<defs><g id="q"><rect x="20" y="20" width="60" height="60" fill="context-fill"/><rect x="120" y="120" width="60" height="60" fill="context-fill"/></g></defs><use href="#q" fill="url(#g)"/>',
    "ctx-use-nested": '<defs><rect id="q" x="20" y="20" width="60" height="60" fill="context-fill" stroke="context-stroke" stroke-width="6"/><g id="r"><use href="#q" fill="red" stroke="blue"/><rect x="100" y="100" width="50" height="50" fill="context-fill"/></g></defs><use href="#r" fill="green"/>',
    "ctx-use-nested2": '<defs><rect id="q" x="20" y="20" width="60" height="60" fill="context-fill" stroke="context-stroke" stroke-width="6"/><g id="r"><use href="#q" fill="context-stroke" stroke="context-fill"/></g></defs><use href="#r" fill="green" stroke="red"/>',
    "ctx-marker-gradient": GRADIENT
    + MARKER
    + '<path d="M30 50L80 150L170 150" fill="url(#g)" stroke="url(#g)" stroke-width="4" marker-start="url(#m)" marker-mid="url(#m)" marker-end="url(#m)"/>',
    "ctx-marker-pattern": PATTERN
    + MARKER
    + '<path d="M30 50L80 150L170 150" fill="url(#p)" stroke="url(#p)" stroke-width="4" marker-start="url(#m)" marker-mid="url(#m)" marker-end="url(#m)"/>',
    "ctx-marker-zero-box": GRADIENT
    + MARKER
    + '<path d="M30 50H170" stroke="url(#g)" stroke-width="4" marker-start="url(#m)" marker-end="url(#m)"/>',
    "ctx-symbol": '<symbol id="s"><rect x="20" y="20" width="100" height="100" fill="context-fill" stroke="context-stroke" stroke-width="6"/></symbol><use href="#s" fill="green" stroke="red"/>',
    "ctx-text": '<defs><text id="t" x="10" y="100" font-size="60" font-family="DejaVu Sans" fill="context-fill">Ab</text></defs><use href="#t" fill="red"/>',
    "pattern-up": '<pattern id="q" patternUnits="userSpaceOnUse" width="1" height="1"><circle cx=".5" cy=".5" r=".4" fill="teal"/></pattern><g transform="scale(20)"><rect width="9" height="8" fill="url(#q)"/></g>',
    "pattern-down": '<pattern id="q" patternUnits="userSpaceOnUse" width="200" height="200"><circle cx="100" cy="100" r="80" fill="teal"/></pattern><g transform="scale(.1)"><rect width="1900" height="1800" fill="url(#q)"/></g>',
    "pattern-nested-box": '<pattern id="a" width=".25" height=".25" patternContentUnits="objectBoundingBox"><rect width=".1" height=".1" fill="red"/></pattern><pattern id="b" width=".5" height=".5" patternContentUnits="objectBoundingBox"><rect width=".4" height=".4" fill="url(#a)"/></pattern><rect x="20" y="20" width="160" height="160" fill="url(#b)"/>',
    "pattern-text-child": '<pattern id="q" patternUnits="userSpaceOnUse" width="100" height="80"><text y="60" font-size="40" font-family="DejaVu Sans">Word</text></pattern><rect width="180" height="160" fill="url(#q)"/>',
    "pattern-opacity-child": '<pattern id="q" patternUnits="userSpaceOnUse" width="40" height="40"><rect width="30" height="30" fill="teal" fill-opacity=".5"/><rect x="10" y="10" width="30" height="30" fill="red" opacity=".5"/></pattern><rect width="180" height="160" fill="url(#q)"/>',
    "pattern-mask-child": '<mask id="m1"><circle cx="20" cy="20" r="15" fill="#aaa"/></mask><pattern id="q" patternUnits="userSpaceOnUse" width="40" height="40"><rect width="40" height="40" fill="teal" mask="url(#m1)"/></pattern><rect width="180" height="160" fill="url(#q)"/>',
    "pattern-small": '<pattern id="q" patternUnits="userSpaceOnUse" width="3" height="3"><rect width="1.5" height="3" fill="teal"/></pattern><rect x="10" y="10" width="180" height="160" fill="url(#q)"/>',
    "pattern-stroke-linejoin": PATTERN
    + '<path d="M30 150L100 40L170 150z" fill="none" stroke="url(#p)" stroke-width="30" stroke-linejoin="round"/>',
    "mask-image-group": '<mask id="m1" maskUnits="userSpaceOnUse" x="0" y="0" width="200" height="200"><g fill="white"><circle cx="70" cy="70" r="50"/><circle cx="120" cy="120" r="50" opacity=".5"/></g></mask><g mask="url(#m1)"><rect width="200" height="200" fill="teal"/></g>',
    "mask-stroke-only": '<mask id="m1"><rect width="200" height="200" fill="white"/></mask><path d="M40 40L160 50L100 160" fill="none" stroke="teal" stroke-width="30" mask="url(#m1)"/>',
    "mask-on-marker": '<mask id="m1"><rect width="10" height="5" fill="white"/></mask><marker id="m" viewBox="0 0 10 10" refX="5" refY="5" markerWidth="6" markerHeight="6"><rect mask="url(#m1)" width="10" height="10" fill="context-fill" stroke="context-stroke" stroke-width="2"/></marker><path d="M30 50L80 150L170 150" fill="red" stroke="blue" stroke-width="4" marker-mid="url(#m)"/>',
    "mask-root": '<mask id="m1"><circle cx="100" cy="100" r="60" fill="white"/></mask><g mask="url(#m1)"><g mask="url(#m1)"><rect width="200" height="200" fill="teal"/></g></g>',
    "clip-nested-g": '<clipPath id="c1"><circle cx="80" cy="80" r="60"/></clipPath><clipPath id="c2" clip-path="url(#c1)"><rect x="60" y="60" width="100" height="100"/></clipPath><g clip-path="url(#c2)"><rect width="200" height="200" fill="teal"/><rect x="80" y="80" width="60" height="90" fill="red" stroke="black" stroke-width="5"/></g>',
    "clip-many": '<clipPath id="c1"><circle cx="60" cy="60" r="40"/><circle cx="120" cy="60" r="40"/><circle cx="90" cy="120" r="40"/><rect x="140" y="140" width="40" height="40" transform="rotate(20 160 160)"/></clipPath><rect width="200" height="200" fill="teal" clip-path="url(#c1)"/>',
    "clip-text-stroke": '<clipPath id="c1"><text x="10" y="130" font-size="90" font-family="DejaVu Sans" font-weight="bold">Ab<tspan dy="20">c</tspan></text></clipPath><g clip-path="url(#c1)"><rect width="200" height="100" fill="teal"/><path d="M0 120H200" stroke="red" stroke-width="40"/></g>',
    "stroke-grad-dash": GRADIENT
    + '<rect x="30" y="30" width="140" height="140" fill="none" stroke="url(#g)" stroke-width="20" stroke-dasharray="40 20 5" stroke-linecap="round"/>',
    "grad-thin": GRADIENT + '<path d="M20 20L180 180" stroke="url(#g)" stroke-width="3"/>',
    "grad-skew": '<radialGradient id="q" gradientUnits="userSpaceOnUse" cx="60" cy="60" r="50" fx="40" fy="50" fr="5" spreadMethod="reflect"><stop offset=".1" stop-color="red"/><stop offset=".9" stop-color="blue" stop-opacity=".5"/></radialGradient><g transform="skewX(20) scale(1.2)"><rect width="140" height="140" fill="url(#q)"/></g>',
    "opacity-nested-deep": '<g opacity=".8"><g opacity=".8"><g opacity=".8"><g opacity=".8"><rect x="20" y="20" width="100" height="100" fill="red"/><rect x="60" y="60" width="100" height="100" fill="blue" opacity=".5" stroke="black" stroke-width="10"/></g></g></g></g>',
    "opacity-mask-clip": '<clipPath id="c1"><circle cx="90" cy="90" r="70"/></clipPath><mask id="m1"><rect width="200" height="110" fill="#bbb"/></mask><g opacity=".7" clip-path="url(#c1)" mask="url(#m1)"><rect width="120" height="120" fill="red"/><rect x="60" y="60" width="120" height="120" fill="blue"/></g>',
    "marker-polyline-odd": MARKER
    + '<polyline points="20,20 100,150 180" fill="none" stroke="red" stroke-width="4" marker-mid="url(#m)" marker-end="url(#m)"/>',
    "marker-display": '<marker display=\'none\' id="m" viewBox="0 0 10 10" refX="5" refY="5" markerWidth="6" markerHeight="6"><rect width="10" height="10" fill="context-fill" stroke="context-stroke" stroke-width="2"/></marker><path d="M30 50L80 150L170 150" fill="red" stroke="blue" stroke-width="4" marker-mid="url(#m)"/>',
    "marker-switch-defs": "<defs>"
    + MARKER
    + '</defs><g marker-mid="url(#m)"><path d="M30 50L80 150L170 150" fill="red" stroke="blue" stroke-width="4"/></g>',
    "marker-orient-rot": '<marker orient=\'auto\' id="m" viewBox="0 0 10 10" refX="5" refY="5" markerWidth="6" markerHeight="6"><rect width="10" height="10" fill="context-fill" stroke="context-stroke" stroke-width="2"/></marker><g transform="rotate(30 100 100)"><path d="M30 50L80 150L170 150" fill="none" stroke="blue" stroke-width="4" marker-mid="url(#m)" marker-start="url(#m)"/></g>',
    "stroke-w-percent-nested": '<svg width="100" height="50" viewBox="0 0 100 50"><path d="M10 10L90 40" stroke="teal" stroke-width="10%"/></svg>',
    "miter-obtuse": '<path d="M20 100L100 90L180 100" fill="none" stroke="teal" stroke-width="40" stroke-miterlimit="1"/>',
    "big-stroke-small-path": '<path d="M100 100l1 0l0 1" fill="none" stroke="teal" stroke-width="80" stroke-linejoin="round"/>',
    "big-stroke-circle": '<circle cx="100" cy="100" r="5" fill="none" stroke="teal" stroke-width="80"/>',
    "self-overlap": '<path d="M20 100C20 0 180 0 180 100S20 200 20 100z" fill="none" stroke="teal" stroke-opacity=".5" stroke-width="60"/>',
    "rect-neg-r": '<rect x="20" y="20" width="100" height="80" rx="-5" ry="20" fill="teal"/>',
    "none-group": '<g fill="none" stroke="none"><rect width="90" height="90"/></g><rect x="100" y="100" width="9" height="9"/>',
}
