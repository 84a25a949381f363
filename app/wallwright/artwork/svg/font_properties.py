"""Font properties as numbers: sizes by keyword or relative to the parent's, weights, the font shorthand."""

from __future__ import annotations

import re

from wallwright.artwork.svg.numbers import BadNumber, length

MEDIUM = 16.0
"""User units of the size called medium, as web browsers have it."""
SIZES = {
    "xx-small": 3 / 5,
    "x-small": 3 / 4,
    "small": 8 / 9,
    "medium": 1.0,
    "large": 6 / 5,
    "x-large": 3 / 2,
    "xx-large": 2.0,
    "xxx-large": 3.0,
}
"""Shares of medium (CSS Fonts 4, 2.5: absolute size keyword mapping)."""
STEP = 1.2
"""What larger and smaller change a size by (CSS Fonts 4, 2.5)."""
STRETCHES = {
    "ultra-condensed": 50,
    "extra-condensed": 62,
    "condensed": 75,
    "semi-condensed": 87,
    "normal": 100,
    "semi-expanded": 112,
    "expanded": 125,
    "extra-expanded": 150,
    "ultra-expanded": 200,
}
"""Percent of the normal width (CSS Fonts 4, 2.3)."""


def compute_font(style: dict[str, str], parent: dict[str, str]) -> None:
    """Makes font-size user units and font-weight a number, in place; what cannot be read is inherited."""
    inherited = parent.get("font-size", str(MEDIUM))
    if style["font-size"] != inherited:
        style["font-size"] = repr(_size(style["font-size"], float(inherited)))
    heavy = parent.get("font-weight", "400")
    if style["font-weight"] != heavy:
        style["font-weight"] = _weight(style["font-weight"], heavy)


def _size(text: str, inherited: float) -> float:
    if text in SIZES:
        return MEDIUM * SIZES[text]
    if text in ("larger", "smaller"):
        return inherited * (STEP if text == "larger" else 1 / STEP)
    try:
        size = length(text, inherited, inherited, inherited)
    except BadNumber:
        return inherited
    return size if size >= 0 else inherited


def _weight(text: str, inherited: str) -> str:
    """CSS Fonts 4, 2.2.1: what bolder and lighter make of a weight."""
    weight = int(inherited)
    if text == "bolder":
        return "400" if weight < 350 else "700" if weight < 550 else str(max(weight, 900))
    if text == "lighter":
        return str(min(weight, 100)) if weight < 550 else "400" if weight < 750 else "700"
    if text in ("normal", "bold"):
        return "400" if text == "normal" else "700"
    return str(int(float(text))) if re.fullmatch(r"\d+(\.0*)?", text) and 1 <= float(text) <= 1000 else inherited


def longhands(name: str, value: str, important: bool) -> list[tuple[str, str, bool]]:
    """Longhands of a declaration; font: [style || variant || weight || stretch] size[/height] family (CSS Fonts 4, 2.7)."""
    if name != "font" or value in ("inherit", "initial", "unset"):
        return [(name, value, important)]
    found = {"font-style": "normal", "font-variant": "normal", "font-weight": "400", "font-stretch": "normal"}
    words = re.sub(r"\s*/\s*", "/", value).split()
    for i, word in enumerate(words):
        if word in ("italic", "oblique"):
            found["font-style"] = word
        elif word == "small-caps":
            found["font-variant"] = word
        elif word in ("bold", "bolder", "lighter") or re.fullmatch(r"\d{1,4}", word):
            found["font-weight"] = word
        elif word in STRETCHES and word != "normal":
            found["font-stretch"] = word
        elif word != "normal":
            if i + 1 < len(words):
                found |= {"font-size": word.partition("/")[0], "font-family": " ".join(words[i + 1 :])}
            break
    if "font-family" not in found:
        return []  # not a font: the whole declaration counts as not given
    return [(longhand, text, important) for longhand, text in found.items()]
