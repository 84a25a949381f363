"""Documents on patterns (SVG 2, 14.3), one rule each."""

DOTS = '<circle cx="10" cy="10" r="6" fill="#c03030"/><rect width="8" height="8" fill="#3050c0"/>'
FILLED = '<rect x="20" y="20" width="160" height="140" fill="url(#p)"/>'


def pattern(attributes: str, content: str = DOTS, shape: str = FILLED) -> str:
    return f'<pattern id="p" {attributes}>{content}</pattern>{shape}'


USER = 'patternUnits="userSpaceOnUse" width="20" height="20"'
DOCUMENTS = {
    "user-space": pattern(USER),
    "origin": pattern(USER + ' x="5" y="7"'),
    "box-units": pattern('width=".125" height="0.142857"'),
    "box-units-percent": pattern('width="25%" height="25%"'),
    "box-origin": pattern('x=".1" y=".1" width=".25" height=".25"'),
    "content-box": pattern(
        'width=".25" height=".25" patternContentUnits="objectBoundingBox"',
        '<circle cx=".1" cy=".1" r=".08" fill="teal"/>',
    ),
    "content-box-user": pattern(
        USER + ' patternContentUnits="objectBoundingBox"', '<circle cx=".05" cy=".05" r=".04" fill="teal"/>'
    ),
    "view-box": pattern(USER + ' viewBox="0 0 40 40"', '<circle cx="20" cy="20" r="18" fill="teal"/>'),
    "view-box-slice": pattern(
        'patternUnits="userSpaceOnUse" width="40" height="20" viewBox="0 0 10 10" preserveAspectRatio="xMidYMid slice"',
        '<circle cx="5" cy="5" r="4" fill="teal"/>',
    ),
    "view-box-none": pattern(
        'patternUnits="userSpaceOnUse" width="40" height="20" viewBox="0 0 10 10" preserveAspectRatio="none"',
        '<circle cx="5" cy="5" r="4" fill="teal"/>',
    ),
    "view-box-meet": pattern(
        'patternUnits="userSpaceOnUse" width="40" height="20" viewBox="0 0 10 10" preserveAspectRatio="xMaxYMid"',
        '<circle cx="5" cy="5" r="4" fill="teal"/>',
    ),
    "view-box-beats-content-units": pattern(
        USER + ' viewBox="0 0 40 40" patternContentUnits="objectBoundingBox"',
        '<circle cx="20" cy="20" r="18" fill="teal"/>',
    ),
    "turned": pattern(
        'patternUnits="userSpaceOnUse" width="40" height="40" patternTransform="rotate(30)"',
        '<rect width="20" height="20" fill="teal"/>',
    ),
    "skewed": pattern(
        'patternUnits="userSpaceOnUse" width="40" height="40" patternTransform="skewX(20) translate(5 3)"',
        '<rect width="20" height="20" fill="teal"/>',
    ),
    "scaled": pattern(USER + ' patternTransform="scale(2)"'),
    "leaves-tile": pattern(USER, '<circle cx="20" cy="20" r="12" fill="teal"/>'),
    "overlaps": pattern(
        USER, '<rect width="20" height="20" fill="gold"/><path d="M0 0L20 20" stroke="navy" stroke-width="4"/>'
    ),
    "no-width": pattern('patternUnits="userSpaceOnUse" height="20"'),
    "zero": pattern('patternUnits="userSpaceOnUse" width="0" height="20"'),
    "negative": pattern('patternUnits="userSpaceOnUse" width="-5" height="20"'),
    "empty": pattern(USER, ""),
    "empty-fallback": pattern(USER, "", FILLED.replace("url(#p)", "url(#p) green")),
    "opacity": pattern(USER, DOTS, FILLED.replace("/>", ' fill-opacity=".4"/>')),
    "group-opacity": pattern(USER, f'<g opacity=".5">{DOTS}</g>'),
    "element-opacity": pattern(USER, DOTS, FILLED.replace("/>", ' stroke="black" stroke-width="8" opacity=".5"/>')),
    "circle": pattern(USER, DOTS, '<circle cx="100" cy="100" r="80" fill="url(#p)"/>'),
    "stroke": pattern(USER, DOTS, '<circle cx="100" cy="100" r="60" fill="none" stroke="url(#p)" stroke-width="40"/>'),
    "stroke-straight": pattern(USER, DOTS, '<path d="M20 100H180" stroke="url(#p)" stroke-width="40"/>'),
    "stroke-straight-box": pattern(
        'width=".25" height=".25"', DOTS, '<path d="M20 100H180" stroke="url(#p) green" stroke-width="40"/>'
    ),
    "text": pattern(
        'patternUnits="userSpaceOnUse" width="10" height="10"',
        '<rect width="5" height="10" fill="teal"/>',
        '<text x="10" y="130" font-size="90" font-family="DejaVu Sans" font-weight="bold" fill="url(#p)">Ab</text>',
    ),
    "gradient-inside": pattern(
        'patternUnits="userSpaceOnUse" width="40" height="40"',
        '<linearGradient id="g"><stop offset="0" stop-color="red"/><stop offset="1" stop-color="blue"/></linearGradient><rect width="36" height="36" fill="url(#g)"/>',
    ),
    "pattern-inside": '<pattern id="q" patternUnits="userSpaceOnUse" width="10" height="10"><rect width="5" height="5" fill="red"/></pattern>'
    + pattern('patternUnits="userSpaceOnUse" width="40" height="40"', '<rect width="30" height="30" fill="url(#q)"/>'),
    "self": pattern(USER, '<rect width="10" height="20" fill="url(#p)"/><circle cx="10" cy="10" r="5" fill="teal"/>'),
    "self-fallback": pattern(
        USER, '<rect width="10" height="20" fill="url(#p) green"/><circle cx="10" cy="10" r="5" fill="teal"/>'
    ),
    "mutual": '<pattern id="q" patternUnits="userSpaceOnUse" width="10" height="10"><rect width="5" height="5" fill="url(#p)"/></pattern>'
    + pattern(USER, '<rect width="12" height="20" fill="url(#q)"/><circle cx="10" cy="10" r="5" fill="teal"/>'),
    "href-children": f'<pattern id="a">{DOTS}</pattern><pattern id="p" href="#a" {USER}/>{FILLED}',
    "href-attributes": f'<pattern id="a" {USER} patternTransform="rotate(45)"/><pattern id="p" href="#a">{DOTS}</pattern>{FILLED}',
    "href-long": f'<pattern id="a" {USER}>{DOTS}</pattern><pattern id="b" href="#a" x="5"/><pattern id="p" xlink:href="#b" patternTransform="scale(1.5)"/>{FILLED}',
    "href-self": f'<pattern id="p" href="#p" {USER}>{DOTS}</pattern>{FILLED}',
    "href-view-box": f'<pattern id="a" viewBox="0 0 40 40">{DOTS}</pattern><pattern id="p" href="#a" {USER}/>{FILLED}',
    "moved": pattern(
        USER, DOTS, '<g transform="translate(15 9) scale(1.25)"><rect width="120" height="120" fill="url(#p)"/></g>'
    ),
    "turned-shape": pattern(
        'patternUnits="userSpaceOnUse" width="40" height="40"',
        '<rect width="20" height="20" fill="teal"/>',
        '<rect x="40" y="40" width="110" height="110" transform="rotate(20 100 100)" fill="url(#p)"/>',
    ),
    "rings": '<g fill="orange" stroke="green" stroke-width="2"><pattern id="p" patternUnits="userSpaceOnUse" width="20" height="20"><circle cx="10" cy="10" r="6"/></pattern></g><g fill="red">'
    + FILLED
    + "</g>",
    "use-inside": '<defs><rect id="r" width="10" height="10" fill="teal"/></defs>'
    + pattern(USER, '<use href="#r" x="5" y="5"/>'),
    "hidden-inside": pattern(USER, DOTS + '<rect width="20" height="20" display="none"/>'),
    "display-none": pattern(USER + ' display="none"'),
    "two-shapes": pattern(
        'width=".25" height=".25"',
        '<rect width="10" height="10" fill="teal"/>',
        '<rect width="80" height="80" fill="url(#p)"/><rect x="100" y="100" width="100" height="60" fill="url(#p)"/>',
    ),
    "units-unknown": pattern('patternUnits="foo" width=".25" height=".25"'),
    "mm": pattern(
        'patternUnits="userSpaceOnUse" width="10mm" height="10mm"', '<rect width="5mm" height="5mm" fill="teal"/>'
    ),
    "transform-flat": pattern(USER + ' patternTransform="scale(0)"'),
    "clip-inside": pattern(
        USER,
        '<clipPath id="c"><circle cx="10" cy="10" r="7"/></clipPath><rect width="20" height="20" fill="teal" clip-path="url(#c)"/>',
    ),
    "overflow-visible": pattern(USER + ' overflow="visible"', '<circle cx="20" cy="20" r="8" fill="teal"/>'),
    "fraction": pattern(
        'patternUnits="userSpaceOnUse" width="13.7" height="9.3"', '<rect width="7" height="9.3" fill="teal"/>'
    ),
    "larger-than-shape": pattern(
        'patternUnits="userSpaceOnUse" width="300" height="300"', '<circle cx="100" cy="100" r="70" fill="teal"/>'
    ),
    "stroked-and-filled": pattern(
        USER, DOTS, '<rect x="30" y="30" width="140" height="140" fill="url(#p)" stroke="url(#p)" stroke-width="20"/>'
    ),
}
