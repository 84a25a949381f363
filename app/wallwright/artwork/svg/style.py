"""The cascade: which presentation properties hold for an element (CSS 2.1 section 6.4, SVG 1.1 section 6)."""

from __future__ import annotations

import functools
import itertools
import math
import xml.etree.ElementTree as ET
from collections.abc import Callable
from dataclasses import dataclass, field

import cssselect2
import cssselect2.compiler
import cssselect2.parser

from wallwright.artwork.svg.css_syntax import Tokens, declarations_of, is_literal, rules_of, text_of
from wallwright.artwork.svg.font_properties import compute_font, longhands
from wallwright.artwork.svg.style_sheet import rules_in_pieces
from wallwright.artwork.svg.xml_parser import SVG

INHERITED = {
    "color": "#000000",
    "fill": "#000000",
    "fill-opacity": "1",
    "fill-rule": "nonzero",
    "stroke": "none",
    "stroke-width": "1",
    "stroke-opacity": "1",
    "stroke-linecap": "butt",
    "stroke-linejoin": "miter",
    "stroke-miterlimit": "4",
    "stroke-dasharray": "none",
    "stroke-dashoffset": "0",
    "visibility": "visible",
    "font-size": "16.0",
    "font-family": "Times New Roman, serif",
    "font-weight": "400",
    "font-style": "normal",
    "font-stretch": "normal",
    "font-variant": "normal",
    "font-kerning": "auto",
    "text-anchor": "start",
    "letter-spacing": "normal",
    "word-spacing": "normal",
    "writing-mode": "horizontal-tb",
    "direction": "ltr",
    "dominant-baseline": "auto",
    "text-rendering": "auto",
    "white-space": "normal",
    "image-rendering": "auto",
    "paint-order": "normal",
    "marker-start": "none",
    "marker-mid": "none",
    "marker-end": "none",
    "clip-rule": "nonzero",
    "shape-rendering": "auto",
}
OWN = {
    "opacity": "1",
    "display": "inline",
    "clip-path": "none",
    "mask": "none",
    "filter": "none",
    "mix-blend-mode": "normal",
    "stop-color": "#000000",
    "stop-opacity": "1",
    "overflow": "hidden",
    "transform": "",
    "transform-origin": "",
    "vector-effect": "none",
    "alignment-baseline": "auto",
    "background-color": "transparent",
    "baseline-shift": "0",
    "text-decoration": "none",
    "unicode-bidi": "normal",
    "mask-type": "luminance",
}

MOST_PARTS = 50
"""Of a selector such as "g g > path"; editors write up to four."""
TOKENS_A_PART = 4
"""A name, a dot and a class, white space."""
MOST_TRIES = 1_000_000
"""Of a selector's parts on one element."""
XML_SPACE = "{http://www.w3.org/XML/1998/namespace}space"


@dataclass
class Cascade:
    """The style sheets of a document, matched against its elements."""

    matcher: cssselect2.Matcher = field(default_factory=cssselect2.Matcher)
    wrappers: dict[int, cssselect2.ElementWrapper] = field(default_factory=dict)
    has_rules: bool = False
    faces: list[Tokens] = field(default_factory=list)
    """Contents of the @font-face rules."""
    left_out: int = 0
    """Rules whose selectors nest too much to be matched."""

    @staticmethod
    def of(root: ET.Element, progress: Callable[[float], None] = lambda done: None) -> Cascade:
        """The style sheets of a tree. progress: called every now and then with the share of their text that is read."""
        cascade = Cascade()
        sheets = [
            "".join(element.itertext())
            for element in root.iter(f"{SVG}style")
            if element.get("type", "text/css").strip().lower() == "text/css"
        ]
        if sheets:
            names = _Names.of(root)
            before, total = 0, sum(map(len, sheets))
            for sheet in sheets:
                cascade._add(sheet, names, functools.partial(_report_share, progress, before, total))
                before += len(sheet)
        if cascade.has_rules:
            wrapper = cssselect2.ElementWrapper.from_xml_root(root)
            for one in wrapper.iter_subtree():
                cascade.wrappers[id(one.etree_element)] = one
                progress(1.0)
        return cascade

    def _add(self, sheet: str, names: _Names, progress: Callable[[int], None]) -> None:
        """progress: called with how many characters are read."""
        for text, end in rules_in_pieces(sheet, names.classes, names.ids, self._leave_out):
            self._add_rules(text, names, functools.partial(progress, end))

    def _leave_out(self) -> None:
        self.left_out += 1

    def _add_rules(self, text: str, names: _Names, poll: Callable[[], None]) -> None:
        """poll: called before each rule."""
        poll()
        for rule in rules_of(text):
            poll()
            if rule.at_keyword == "font-face" and rule.content:
                self.faces.append(rule.content)
            if rule.at_keyword or names.excludes(rule.prelude):
                continue
            try:
                selectors = _compiled(rule.prelude, names)
                declared = declarations(rule.content)
            except cssselect2.SelectorError:
                continue  # CSS 2.1, 4.1.7: a rule with an unknown selector is ignored
            except (RecursionError, MemoryError, SyntaxError):  # Python's compiler, which makes the test
                self.left_out += 1
                continue
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


def _report_share(progress: Callable[[float], None], before: int, total: int, done: int) -> None:
    progress((before + done) / total)


@dataclass(frozen=True)
class _Names:
    """What a document has that selectors ask for."""

    classes: frozenset[str]
    ids: frozenset[str]
    depth: int
    """Of the deepest element, at least 1."""
    siblings: int
    """Children of the element that has most, at least 1."""

    @staticmethod
    def of(root: ET.Element) -> _Names:
        classes: set[str] = set()
        ids: set[str] = set()
        siblings, depth, level = 1, 0, [root]
        while level:
            depth += 1
            below: list[ET.Element] = []
            for element in level:
                classes.update(element.get("class", "").split())
                ids.add(element.get("id", ""))
                siblings = max(siblings, len(element))
                below += element
            level = below
        return _Names(frozenset(classes), frozenset(ids), depth, siblings)

    def excludes(self, prelude: Tokens) -> bool:
        """Whether selectors that have no comma ask for a class or id that no element has; compiling them takes most of
        the time of a large style sheet. What stands within parentheses is not tested: :not() means the contrary."""
        if any(is_literal(token, ",") for token in prelude):
            return False
        for before, token in itertools.pairwise(prelude):
            if token.type == "ident" and is_literal(before, ".") and token.value not in self.classes:
                return True
        return any(token.type == "hash" and token.value not in self.ids for token in prelude)

    def tries_of(self, selector: cssselect2.parser.Selector) -> float:
        """How often parts of a selector may be tried on one element: each " " and "~" is tried on all that stand above
        or before it, in every combination."""
        node, counts = selector.parsed_tree, {" ": 0, "~": 0, ">": 0, "+": 0}
        while isinstance(node, cssselect2.parser.CombinedSelector):
            counts[node.combinator] = counts.get(node.combinator, 0) + 1
            node = node.left
        if sum(counts.values()) > MOST_PARTS:
            return math.inf
        above = math.comb(max(self.depth, counts[" "]), counts[" "])
        return above * math.comb(max(self.siblings, counts["~"]), counts["~"])


def _compiled(prelude: Tokens, names: _Names) -> list[cssselect2.compiler.CompiledSelector]:
    """The selectors of a rule. Raises SelectorError for unknown ones, RecursionError for those that nest too much."""
    commas = [-1, *(i for i, token in enumerate(prelude) if is_literal(token, ",")), len(prelude)]
    longest = max(after - before for before, after in itertools.pairwise(commas))
    if longest > TOKENS_A_PART * MOST_PARTS:
        raise RecursionError  # before it is parsed, which takes a time that grows with the square
    parsed = list(cssselect2.parser.parse(prelude))
    if any(names.tries_of(selector) > MOST_TRIES for selector in parsed):
        raise RecursionError
    return [cssselect2.compiler.CompiledSelector(selector) for selector in parsed]


def declarations(content: str | Tokens) -> list[tuple[str, str, bool]]:
    """(name, value, important) of a style attribute or a rule's content."""
    return [
        longhand for d in declarations_of(content) for longhand in longhands(d.name, text_of(d.value), d.is_important)
    ]


def _apply(declared: list[tuple[str, str, bool]], found: dict[str, str], important: dict[str, str]) -> None:
    for name, value, strong in declared:
        names = ("marker-start", "marker-mid", "marker-end") if name == "marker" else (name,)  # SVG 2, 13.7.4
        (important if strong else found).update(dict.fromkeys(names, value))


class Style(dict[str, str]):
    """Computed properties of one element."""

    _base: dict[str, str] | None = None

    def base(self) -> dict[str, str]:
        """What a child begins with: the inherited properties, and initial values of the others."""
        if self._base is None:
            self._base = {name: self.get(name, initial) for name, initial in INHERITED.items()} | OWN
        return self._base

    @property
    def em(self) -> float:
        """User units of an em."""
        return float(self["font-size"])


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
