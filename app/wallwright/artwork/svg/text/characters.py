"""Characters of a text element: white space settled, each with its style and the places asked for it (SVG 2, 11.4)."""

from __future__ import annotations

import dataclasses
import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass, field

from wallwright.artwork.drawing import Severity
from wallwright.artwork.svg.context import ReadingContext
from wallwright.artwork.svg.numbers import BadNumber, length
from wallwright.artwork.svg.sink import ShapeSink
from wallwright.artwork.svg.structure import passes
from wallwright.artwork.svg.svg_document import SvgDocument
from wallwright.artwork.svg.xml_parser import href, local
from wallwright.document.language import tr

LISTS = ("x", "y", "dx", "dy")


@dataclass(eq=False)
class TextElement:
    """A text content element: text, tspan, a, textPath, tref."""

    element: ET.Element
    tag: str
    context: ReadingContext
    outer: TextElement | None
    lists: dict[str, list[float]] = field(default_factory=dict)
    """User units of x, y, dx, dy; degrees of rotate."""
    first: int = 0
    """Characters [first, last) of the whole text."""
    last: int = 0

    def chain(self) -> list[TextElement]:
        """The elements it stands in, outermost first, itself last."""
        return [*(self.outer.chain() if self.outer else []), self]


@dataclass(eq=False)
class Character:
    """One character and where it is asked to stand; None: after the one before."""

    text: str
    part: TextElement
    x: float | None = None
    y: float | None = None
    dx: float = 0.0
    dy: float = 0.0
    rotate: float = 0.0


def characters_of(element: ET.Element, name: str, context: ReadingContext, sink: ShapeSink) -> list[Character]:
    """The characters of a text element after white space is settled. Raises BadFile for too many."""
    collector = _Collector(context.document, sink, name)
    collector.walk(element, TextElement(element, "text", context, None), _keeps(context))
    collector.end()
    for part in collector.parts:
        _ask_places(collector.found, part)
    return collector.found


@dataclass
class _Collector:
    document: SvgDocument
    sink: ShapeSink
    name: str
    found: list[Character] = field(default_factory=list)
    parts: list[TextElement] = field(default_factory=list)
    kept: list[bool] = field(default_factory=list)
    """Whether each found character's white space is preserved."""

    def walk(self, element: ET.Element, part: TextElement, keeps: bool) -> None:
        self.parts.append(part)
        part.lists = {key: self._numbers(element, key, part.context) for key in (*LISTS, "rotate")}
        part.first = len(self.found)
        if part.tag == "tref":
            target = self.document.by_id.get(href(element).removeprefix("#"))
            self._add("".join(target.itertext()) if target is not None else "", part, keeps)
        else:
            self._add(element.text, part, keeps)
            for child in element:
                self._child(child, part, keeps)
                self._add(child.tail, part, keeps)
        part.last = len(self.found)

    def _child(self, child: ET.Element, part: TextElement, keeps: bool) -> None:
        tag = local(child)
        if tag not in ("tspan", "a", "textPath", "tref"):
            if tag not in ("title", "desc", "animate", "animateTransform", "animateMotion", "set", ""):
                self.sink.report(Severity.WARNING, self.name, tr("<{0}> in text is not drawn", tag))
            return
        if tag == "textPath" and part.tag not in ("text", "a"):
            return
        style = self.document.style_of(child, part.context.style)
        if style["display"] == "none" or not passes(child):
            return
        context = dataclasses.replace(part.context, style=style)
        self.walk(child, TextElement(child, tag, context, part), _keeps(context))

    def _add(self, text: str | None, part: TextElement, keeps: bool) -> None:
        self.document.usage.add_letters(len(text or ""))
        for character in re.sub(r"\r\n?|[\n\t]", " ", text or ""):
            if (
                character == " "
                and not keeps
                and (not self.found or (self.found[-1].text == " " and not self.kept[-1]))
            ):
                continue  # a blank after a blank, or at the very start
            self.found.append(Character(character, part))
            self.kept.append(keeps)

    def end(self) -> None:
        """A blank at the very end goes."""
        while self.found and self.found[-1].text == " " and not self.kept[-1]:
            self.found.pop()
            self.kept.pop()
        for part in self.parts:
            part.first, part.last = (min(v, len(self.found)) for v in (part.first, part.last))

    def _numbers(self, element: ET.Element, key: str, context: ReadingContext) -> list[float]:
        text = element.get(key)
        if not text or (element.tag.endswith("textPath") and key != "rotate"):
            return []
        reference = context.viewport[0 if key.endswith("x") else 1]
        values: list[float] = []
        try:
            for item in re.split(r"[\s,]+", text.strip()):
                values.append(length(item, reference, font_size=context.style.em))
        except BadNumber as error:
            self.sink.report(Severity.WARNING, self.name, tr("the position of its letters cannot be read: {0}", error))
        return values


def _keeps(context: ReadingContext) -> bool:
    """Whether white space is preserved."""
    return context.style["white-space"] in ("pre", "pre-wrap", "break-spaces")


def _ask_places(characters: list[Character], part: TextElement) -> None:
    """Gives the values of an element's lists to its characters; inner elements come later and win."""
    for key in LISTS:
        for character, value in zip(characters[part.first : part.last], part.lists[key], strict=False):
            setattr(character, key, value)
    if turns := part.lists["rotate"]:
        for i, character in enumerate(characters[part.first : part.last]):
            character.rotate = turns[min(i, len(turns) - 1)]  # the last one goes on (11.4)
