"""What a text style asks for: the font, spacings, and how far letters stand off the baseline (SVG 2, 11.8 and 11.10)."""

from __future__ import annotations

from wallwright.artwork.glyphs.fonts import FontFace, FontRequest
from wallwright.artwork.svg.css_syntax import is_literal, tokens_of
from wallwright.artwork.svg.font_properties import STRETCHES
from wallwright.artwork.svg.numbers import BadNumber, length
from wallwright.artwork.svg.text.characters import TextElement

VARIANTS = {"small-caps": ("smcp",), "all-small-caps": ("smcp", "c2sc")}


def wanted_of(style: dict[str, str], names: dict[str, str]) -> FontRequest:
    """The font of a style. names: of fonts that the document brings, by what it calls them in lower case."""
    features = [(tag, 1) for word in style["font-variant"].split() for tag in VARIANTS.get(word, ())]
    if spacing(style, "letter-spacing") != 0:
        features += [("liga", 0), ("clig", 0)]  # CSS Text 3, 8.2: no ligatures in spaced words
    stretch = style["font-stretch"]
    try:
        percent = STRETCHES.get(stretch) or round(length(stretch, 100.0, 100.0))
    except BadNumber:
        percent = 100
    is_italic = style["font-style"].split()[:1] in (["italic"], ["oblique"])
    families = tuple(names.get(f.lower(), f) for f in families_of(style["font-family"]))
    return FontRequest(
        families,
        int(style["font-weight"]),
        is_italic,
        percent,
        tuple(features),
        style["font-kerning"] != "none",
    )


def families_of(text: str) -> tuple[str, ...]:
    """Names of a font-family list, without quotes."""
    names: list[str] = []
    words: list[str] = []
    for token in [*tokens_of(text), None]:
        if token is None or is_literal(token, ","):
            if words:
                names.append(" ".join(words))
            words = []
        elif token.type in ("ident", "string"):
            words.append(token.value)
    return tuple(names)


def spacing(style: dict[str, str], name: str) -> float:
    """User units of letter-spacing or word-spacing."""
    if style[name] == "normal":
        return 0.0
    try:
        return length(style[name], 0.0, 0.0, float(style["font-size"]))
    except BadNumber:
        return 0.0


def rise(part: TextElement, face: FontFace) -> float:
    """How far letters of a part stand above the baseline of their text, user units."""
    total = 0.0
    for one in part.chain()[1:]:
        total += _shift(one, face)
    style = part.context.style
    size = float(style["font-size"])
    kind = style["alignment-baseline"]
    if kind in ("auto", "baseline", ""):
        kind = style["dominant-baseline"]
    return total - size * _baseline(kind, face)


def _shift(part: TextElement, face: FontFace) -> float:
    """baseline-shift of one element, upwards."""
    value, size = part.context.style["baseline-shift"], float(part.context.style["font-size"])
    outer_size = float(part.outer.context.style["font-size"]) if part.outer else size
    if value in ("sub", "super"):
        return -outer_size * face.sub if value == "sub" else outer_size * face.super
    try:
        return length(value, size, 0.0, size)
    except BadNumber:
        return 0.0  # baseline


def _baseline(kind: str, face: FontFace) -> float:
    """Height of a baseline above the alphabetic one, of the letter's size."""
    high, low = face.ascent, -face.descent
    return {
        "middle": face.x_height / 2,
        "central": (high + low) / 2,
        "text-before-edge": high,
        "before-edge": high,
        "text-top": high,
        "text-after-edge": low,
        "after-edge": low,
        "text-bottom": low,
        "ideographic": low,
        "hanging": 0.8 * high,
        "mathematical": 0.5 * high,
    }.get(kind, 0.0)
