"""The cascade: which presentation properties hold for an element (CSS 2.1 section 6.4, SVG 1.1 section 6)."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import dataclass, field

import cssselect2
import tinycss2

from app.artwork.svg.parse import local

INHERITED = {
    "color": "#000000", "fill": "#000000", "fill-opacity": "1", "fill-rule": "nonzero", "stroke": "none",
    "stroke-width": "1", "stroke-opacity": "1", "stroke-linecap": "butt", "stroke-linejoin": "miter",
    "stroke-miterlimit": "4", "stroke-dasharray": "none", "stroke-dashoffset": "0", "visibility": "visible",
    "font-size": "16", "font-family": "sans-serif", "font-weight": "normal", "font-style": "normal",
    "text-anchor": "start", "letter-spacing": "normal",
    "paint-order": "normal", "marker": "none", "marker-start": "none",
    "marker-mid": "none",
    "marker-end": "none", "clip-rule": "nonzero",
}  # fmt: skip
OWN = {
    "opacity": "1", "display": "inline", "clip-path": "none", "mask": "none", "filter": "none",
    "mix-blend-mode": "normal", "stop-color": "#000000", "stop-opacity": "1", "overflow": "hidden",
    "transform": "", "vector-effect": "none",
}  # fmt: skip


@dataclass
class Cascade:
    """The style sheets of a document, matched against its elements."""

    rules: list[tuple[int, int, object, list[tuple[str, str, bool]]]] = field(default_factory=list)
    wrappers: dict[int, cssselect2.ElementWrapper] = field(default_factory=dict)

    @staticmethod
    def of(root: ET.Element) -> Cascade:
        sheets = [
            e.text or ""
            for e in root.iter()
            if local(e) == "style" and e.get("type", "text/css") == "text/css"
        ]
        cascade = Cascade()
        for sheet in sheets:
            cascade._add(sheet)
        if cascade.rules:
            wrapper = cssselect2.ElementWrapper.from_xml_root(root)
            cascade.wrappers = {id(w.etree_element): w for w in wrapper.iter_subtree()}
        return cascade

    def _add(self, sheet: str) -> None:
        for rule in tinycss2.parse_stylesheet(sheet, skip_comments=True, skip_whitespace=True):
            if rule.type != "qualified-rule":
                continue
            try:
                selectors = cssselect2.compile_selector_list(rule.prelude)
            except cssselect2.SelectorError:
                continue  # CSS 2.1, 4.1.7: a rule with an unknown selector is ignored
            declared = declarations(rule.content)
            for selector in selectors:
                if selector.pseudo_element is None:
                    self.rules.append((selector.specificity, len(self.rules), selector, declared))

    def own(self, element: ET.Element) -> dict[str, str]:
        """Declared properties of one element: attributes, then rules by specificity and order, then its style."""
        found = {k: v.strip() for k, v in element.attrib.items() if k in INHERITED or k in OWN}
        important: dict[str, str] = {}
        wrapper = self.wrappers.get(id(element))
        if wrapper is not None:
            matching = [(s, n, d) for s, n, selector, d in self.rules if selector.test(wrapper)]
            for _, _, declared in sorted(matching, key=lambda m: m[:2]):
                _apply(declared, found, important)
        if style := element.get("style"):
            _apply(declarations(style), found, important)
        return found | important


def declarations(content) -> list[tuple[str, str, bool]]:
    """(name, value, important) of a style attribute or a rule's content."""
    parsed = tinycss2.parse_declaration_list(content, skip_comments=True, skip_whitespace=True)
    return [
        (d.lower_name, tinycss2.serialize(d.value).strip(), d.important)
        for d in parsed
        if d.type == "declaration"
    ]


def _apply(declared: list[tuple[str, str, bool]], found: dict[str, str], important: dict[str, str]) -> None:
    for name, value, strong in declared:
        (important if strong else found)[name] = value


def resolve(own: dict[str, str], parent: dict[str, str]) -> dict[str, str]:
    """Computed properties: own ones, inherited ones, and initial values."""
    style = {name: parent.get(name, initial) for name, initial in INHERITED.items()}
    style |= OWN
    for name, value in own.items():
        if value == "inherit":
            style[name] = parent.get(name, INHERITED.get(name, OWN.get(name, "")))
        elif value in ("initial", "unset"):
            style[name] = INHERITED.get(name, OWN.get(name, ""))
        elif name in INHERITED or name in OWN:
            style[name] = value
    return style
