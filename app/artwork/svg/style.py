"""The cascade: which presentation properties hold for an element (CSS 2.1 section 6.4, SVG 1.1 section 6)."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Callable
from dataclasses import dataclass, field

import cssselect2
import tinycss2

from app.artwork.svg.font_properties import compute_font, longhands
from app.artwork.svg.parse import SVG

INHERITED = {
    "color": "#000000", "fill": "#000000", "fill-opacity": "1", "fill-rule": "nonzero", "stroke": "none",
    "stroke-width": "1", "stroke-opacity": "1", "stroke-linecap": "butt", "stroke-linejoin": "miter",
    "stroke-miterlimit": "4", "stroke-dasharray": "none", "stroke-dashoffset": "0", "visibility": "visible",
    "font-size": "16.0", "font-family": "Times New Roman, serif", "font-weight": "400", "font-style": "normal",
    "font-stretch": "normal", "font-variant": "normal", "font-kerning": "auto", "text-anchor": "start",
    "letter-spacing": "normal", "word-spacing": "normal", "writing-mode": "horizontal-tb", "direction": "ltr",
    "dominant-baseline": "auto", "text-rendering": "auto", "white-space": "normal", "image-rendering": "auto",
    "paint-order": "normal", "marker-start": "none",
    "marker-mid": "none",
    "marker-end": "none", "clip-rule": "nonzero", "shape-rendering": "auto",
}  # fmt: skip
OWN = {
    "opacity": "1", "display": "inline", "clip-path": "none", "mask": "none", "filter": "none",
    "mix-blend-mode": "normal", "stop-color": "#000000", "stop-opacity": "1", "overflow": "hidden",
    "transform": "", "transform-origin": "", "vector-effect": "none", "alignment-baseline": "auto",
    "background-color": "transparent",
    "baseline-shift": "0", "text-decoration": "none", "unicode-bidi": "normal", "mask-type": "luminance",
}  # fmt: skip

XML_SPACE = "{http://www.w3.org/XML/1998/namespace}space"


@dataclass
class Cascade:
    """The style sheets of a document, matched against its elements."""

    matcher: cssselect2.Matcher = field(default_factory=cssselect2.Matcher)
    wrappers: dict[int, cssselect2.ElementWrapper] = field(default_factory=dict)
    has_rules: bool = False
    faces: list[list] = field(default_factory=list)
    """Contents of the @font-face rules."""

    @staticmethod
    def of(root: ET.Element, breathe: Callable[[], None] = lambda: None) -> Cascade:
        """The style sheets of a tree. breathe: called every now and then."""
        cascade = Cascade()
        for element in root.iter(f"{SVG}style"):
            if element.get("type", "text/css").strip().lower() == "text/css":
                cascade._add("".join(element.itertext()))
        if cascade.has_rules:
            wrapper = cssselect2.ElementWrapper.from_xml_root(root)
            for one in wrapper.iter_subtree():
                cascade.wrappers[id(one.etree_element)] = one
                breathe()
        return cascade

    def _add(self, sheet: str) -> None:
        for rule in tinycss2.parse_stylesheet(sheet, skip_comments=True, skip_whitespace=True):
            if rule.type == "at-rule" and rule.lower_at_keyword == "font-face" and rule.content:
                self.faces.append(rule.content)
            if rule.type != "qualified-rule":
                continue
            try:
                selectors = cssselect2.compile_selector_list(rule.prelude)
            except cssselect2.SelectorError:
                continue  # CSS 2.1, 4.1.7: a rule with an unknown selector is ignored
            declared = declarations(rule.content)
            for selector in selectors:
                if selector.pseudo_element is None:
                    self.matcher.add_selector(selector, declared)
                    self.has_rules = True

    def own(self, element: ET.Element) -> dict[str, str]:
        """Declared properties of one element: attributes, then rules by specificity and order, then its style."""
        found = {k: v.strip() for k, v in element.attrib.items() if k in INHERITED or k in OWN}
        if XML_SPACE in element.attrib:
            found["white-space"] = "pre" if element.get(XML_SPACE) == "preserve" else "normal"
        important: dict[str, str] = {}
        wrapper = self.wrappers.get(id(element))
        if wrapper is not None:
            for *_, declared in self.matcher.match(wrapper):
                _apply(declared, found, important)
        if style := element.get("style"):
            _apply(declarations(style), found, important)
        return found | important if important else found


def declarations(content) -> list[tuple[str, str, bool]]:
    """(name, value, important) of a style attribute or a rule's content."""
    parsed = tinycss2.parse_declaration_list(content, skip_comments=True, skip_whitespace=True)
    return [
        longhand
        for d in parsed
        if d.type == "declaration"
        for longhand in longhands(d.lower_name, _text(d.value), d.important)
    ]


def _text(value: list) -> str:
    return tinycss2.serialize([token for token in value if token.type != "comment"]).strip()


def _apply(declared: list[tuple[str, str, bool]], found: dict[str, str], important: dict[str, str]) -> None:
    for name, value, strong in declared:
        names = ("marker-start", "marker-mid", "marker-end") if name == "marker" else (name,)  # SVG 2, 13.7.4
        (important if strong else found).update(dict.fromkeys(names, value))


class Style(dict):
    """Computed properties of one element."""

    _base: dict[str, str] | None = None

    def base(self) -> dict[str, str]:
        """What a child begins with: the inherited properties, and initial values of the others."""
        if self._base is None:
            self._base = {name: self.get(name, initial) for name, initial in INHERITED.items()} | OWN
        return self._base


def resolve(own: dict[str, str], parent: Style) -> Style:
    """Computed properties: own ones, inherited ones, and initial values."""
    style = Style(parent.base())
    for name, value in own.items():
        if value == "inherit":
            style[name] = parent.get(name, INHERITED.get(name, OWN.get(name, "")))
        elif value in ("initial", "unset"):
            style[name] = INHERITED.get(name, OWN.get(name, ""))
        elif name in INHERITED or name in OWN:
            style[name] = value
    if own:
        compute_font(style, parent)
    return style
