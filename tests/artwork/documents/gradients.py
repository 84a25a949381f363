"""Documents on gradients (SVG 2, 14.2), one rule each."""

TWO = '<stop offset="0" stop-color="#e02020"/><stop offset="1" stop-color="#2040ff"/>'
THREE = '<stop offset="10%" stop-color="yellow"/><stop offset=".5" stop-color="green"/><stop offset="90%" stop-color="navy" stop-opacity=".4"/>'
FILLED = '<rect x="20" y="30" width="160" height="120" fill="url(#g)"/>'
ROUND = '<circle cx="100" cy="100" r="80" fill="url(#g)"/>'


def linear(attributes: str = "", stops: str = TWO, shape: str = FILLED) -> str:
    return f'<linearGradient id="g" {attributes}>{stops}</linearGradient>{shape}'


def radial(attributes: str = "", stops: str = TWO, shape: str = FILLED) -> str:
    return f'<radialGradient id="g" {attributes}>{stops}</radialGradient>{shape}'


LINEAR = {
    "plain": "",
    "vector": 'x1=".2" y1=".1" x2=".7" y2=".9"',
    "percent": 'x1="20%" y1="10%" x2="70%" y2="90%"',
    "backwards": 'x1="1" x2="0"',
    "down": 'x2="0" y2="1"',
    "no-length": 'x1=".5" x2=".5"',
    "reflect": 'x1=".4" x2=".6" spreadMethod="reflect"',
    "repeat": 'x1=".4" x2=".6" spreadMethod="repeat"',
    "pad": 'x1=".4" x2=".6" spreadMethod="pad"',
    "spread-unknown": 'x1=".4" x2=".6" spreadMethod="bounce"',
    "user-space": 'gradientUnits="userSpaceOnUse" x1="40" y1="40" x2="160" y2="120"',
    "user-space-percent": 'gradientUnits="userSpaceOnUse" x1="20%" y1="20%" x2="80%" y2="60%"',
    "user-space-usual": 'gradientUnits="userSpaceOnUse"',
    "turned": 'gradientTransform="rotate(30)"',
    "skewed": 'gradientTransform="skewX(30) translate(.1)"',
    "turned-user-space": 'gradientUnits="userSpaceOnUse" x1="40" x2="160" gradientTransform="rotate(40 100 100) scale(.8)"',
    "transform-flat": 'gradientTransform="scale(0)"',
    "repeat-turned": 'x2=".2" spreadMethod="repeat" gradientTransform="rotate(20)"',
    "unit-unknown": 'gradientUnits="wide"',
    "mm": 'gradientUnits="userSpaceOnUse" x1="10mm" x2="40mm"',
}
RADIAL = {
    "plain": "",
    "centre": 'cx=".3" cy=".4" r=".4"',
    "focus": 'fx=".3" fy=".4"',
    "focus-right": 'fx=".8"',
    "percent": 'cx="40%" cy="60%" r="30%" fx="35%"',
    "repeat": 'r=".15" spreadMethod="repeat"',
    "reflect": 'r=".15" spreadMethod="reflect"',
    "focus-repeat": 'r=".2" fx=".4" spreadMethod="repeat"',
    "focus-reflect": 'r=".25" fx=".4" fy=".4" spreadMethod="reflect"',
    "focal-radius": 'fr=".2"',
    "focal-radius-aside": 'fr=".1" fx=".4" fy=".6"',
    "focal-radius-repeat": 'r=".3" fr=".1" spreadMethod="repeat"',
    "focus-outside": 'fx="1.1" r=".3"',
    "no-radius": 'r="0"',
    "negative-radius": 'r="-1"',
    "focal-radius-larger": 'fr=".6" r=".5"',
    "focal-radius-same": 'fr=".5" r=".5"',
    "user-space": 'gradientUnits="userSpaceOnUse" cx="80" cy="90" r="60"',
    "user-space-percent": 'gradientUnits="userSpaceOnUse" cx="50%" cy="50%" r="30%"',
    "turned": 'gradientTransform="rotate(30) scale(.8 .5)"',
    "user-turned": 'gradientUnits="userSpaceOnUse" cx="100" cy="60" r="40" fx="90" gradientTransform="skewX(20)"',
}
STOPS = {
    "three": THREE,
    "one": '<stop offset=".5" stop-color="teal"/>',
    "none": "",
    "falling": '<stop offset=".6" stop-color="red"/><stop offset=".3" stop-color="blue"/><stop offset="1" stop-color="lime"/>',
    "same": '<stop offset=".5" stop-color="red"/><stop offset=".5" stop-color="blue"/>',
    "three-same": '<stop offset=".5" stop-color="red"/><stop offset=".5" stop-color="lime"/><stop offset=".5" stop-color="blue"/>',
    "beyond": '<stop offset="-1" stop-color="red"/><stop offset="2" stop-color="blue"/>',
    "late": '<stop offset=".4" stop-color="red"/><stop offset=".6" stop-color="blue"/>',
    "no-offset": '<stop stop-color="red"/><stop offset="1" stop-color="blue"/>',
    "bad-offset": '<stop stop-color="red"/><stop offset="far" stop-color="lime"/><stop offset="1" stop-color="blue"/>',
    "opacity": '<stop offset="0" stop-color="red" stop-opacity="0"/><stop offset="1" stop-color="blue" stop-opacity=".8"/>',
    "opacity-percent": '<stop offset="0" stop-color="red" stop-opacity="20%"/><stop offset="1" stop-color="blue"/>',
    "alpha-colour": '<stop offset="0" stop-color="rgba(255,0,0,.3)"/><stop offset="1" stop-color="#00f8" stop-opacity=".5"/>',
    "current": '<stop offset="0" stop-color="currentColor" color="orange"/><stop offset="1" stop-color="blue"/>',
    "no-colour": '<stop offset="0"/><stop offset="1" stop-color="orange"/>',
    "bad-colour": '<stop offset="0" stop-color="sunny"/><stop offset="1" stop-color="orange"/>',
    "css": '<style>.a{stop-color:purple;stop-opacity:.7}</style><stop class="a" offset="0"/><stop offset="1" style="stop-color:gold"/>',
    "foreign-child": '<stop offset="0" stop-color="red"/><desc>x</desc><rect/><stop offset="1" stop-color="gold"/>',
    "many": "".join(f'<stop offset="{i / 8}" stop-color="hsl({i * 45},80%,50%)"/>' for i in range(9)),
}
PLACES = {
    "stroke": '<rect x="40" y="40" width="120" height="100" fill="none" stroke="url(#g)" stroke-width="24"/>',
    "dashed-stroke": '<circle cx="100" cy="100" r="60" fill="none" stroke="url(#g)" stroke-width="24" stroke-dasharray="20 10"/>',
    "moved": '<g transform="translate(20 10) rotate(15) scale(.8)"><rect width="160" height="120" fill="url(#g)"/></g>',
    "skewed": '<rect width="120" height="120" transform="translate(20 20) skewX(20)" fill="url(#g)" stroke="url(#g)" stroke-width="9"/>',
    "fill-opacity": '<rect width="160" height="120" fill="url(#g)" fill-opacity=".4"/>',
    "opacity": '<rect x="20" y="20" width="160" height="120" fill="url(#g)" stroke="black" stroke-width="10" opacity=".5"/>',
    "group-opacity": '<g opacity=".6"><rect width="120" height="120" fill="url(#g)"/><circle cx="120" cy="120" r="60" fill="url(#g)"/></g>',
    "no-height": '<path d="M20 100H180" stroke="url(#g)" stroke-width="30"/>',
    "no-height-fallback": '<path d="M20 100H180" stroke="url(#g) green" stroke-width="30"/>',
    "fallback-unused": '<rect width="160" height="120" fill="url(#g) green"/>',
    "quoted": """<rect width="160" height="120" fill="url('#g')"/>""",
    "two": '<rect width="90" height="60" fill="url(#g)"/><rect x="100" y="80" width="80" height="110" fill="url(#g)"/>',
    "text": '<text x="10" y="120" font-size="80" font-family="DejaVu Sans" fill="url(#g)">Word</text>',
    "use": '<defs><rect id="r" width="80" height="60" fill="url(#g)"/></defs><use href="#r" x="10" y="20"/><use href="#r" x="100" y="120"/>',
}
CHAIN = {
    "stops": f'<linearGradient id="a">{THREE}</linearGradient><linearGradient id="g" href="#a" x2=".5"/>{FILLED}',
    "xlink": f'<linearGradient id="a">{THREE}</linearGradient><linearGradient id="g" xlink:href="#a" x2=".5"/>{FILLED}',
    "attributes": f'<linearGradient id="a" x1=".3" x2=".6" spreadMethod="reflect" gradientTransform="rotate(20)">{TWO}</linearGradient><linearGradient id="g" href="#a"/>{FILLED}',
    "own-stops": f'<linearGradient id="a" x1=".3" x2=".6">{TWO}</linearGradient><linearGradient id="g" href="#a">{THREE}</linearGradient>{FILLED}',
    "units": f'<linearGradient id="a" gradientUnits="userSpaceOnUse">{TWO}</linearGradient><linearGradient id="g" href="#a" x1="50" x2="150"/>{FILLED}',
    "radial-from-linear": f'<linearGradient id="a" x1=".3" spreadMethod="repeat">{TWO}</linearGradient><radialGradient id="g" href="#a" r=".2"/>{FILLED}',
    "linear-from-radial": f'<radialGradient id="a" r=".1" gradientTransform="rotate(20)">{TWO}</radialGradient><linearGradient id="g" href="#a"/>{FILLED}',
    "three-long": f'<linearGradient id="a" x1=".3">{TWO}</linearGradient><linearGradient id="b" href="#a" x2=".6"/><linearGradient id="g" href="#b" y2=".5"/>{FILLED}',
    "radial-attributes": f'<radialGradient id="a" cx=".3" cy=".3" r=".3" fx=".2">{TWO}</radialGradient><radialGradient id="g" href="#a" cy=".6"/>{FILLED}',
    "self": f'<linearGradient id="g" href="#g">{TWO}</linearGradient>{FILLED}',
    "self-empty": f'<linearGradient id="g" href="#g"/>{FILLED}',
    "to-nothing": f'<linearGradient id="g" href="#a">{TWO}</linearGradient>{FILLED}',
    "later": f'{FILLED}<linearGradient id="g" href="#a"/><linearGradient id="a">{TWO}</linearGradient>',
    "to-pattern": f'<pattern id="a" width="1" height="1">{TWO}</pattern><linearGradient id="g" href="#a"/>{FILLED}',
}

DOCUMENTS = (
    {f"linear-{k}": linear(v) for k, v in LINEAR.items()}
    | {f"radial-{k}": radial(v) for k, v in RADIAL.items()}
    | {f"radial-round-{k}": radial(v, THREE, ROUND) for k, v in list(RADIAL.items())[:6]}
    | {f"stops-{k}": linear("", v) for k, v in STOPS.items()}
    | {f"stops-radial-{k}": radial("", v, ROUND) for k, v in STOPS.items()}
    | {f"on-{k}": linear('x2=".8" y2=".3"', THREE, v) for k, v in PLACES.items()}
    | {f"radial-on-{k}": radial('cx=".4"', TWO, v) for k, v in PLACES.items()}
    | {f"chain-{k}": v for k, v in CHAIN.items()}
)
