"""XML of an SVG file, read without following anything it points to."""

from __future__ import annotations

import gzip
import io
import re
import xml.etree.ElementTree as ET
import zlib
from collections.abc import Callable
from xml.parsers import expat

from wallwright.document.errors import BadFile
from wallwright.document.language import tr
from wallwright.document.reading_limits import TooCostly, most
from wallwright.document.whole_file import COST, check_size

LARGEST = 128 << 20
"""Bytes of XML that are read, seven times that in memory; an .svgz may unpack to no more."""
ELEMENT = 1_000
"""Bytes of memory for an element with its attributes."""
MOST_ELEMENTS = 500_000
HEAD = 1 << 16
"""Bytes in which the root element is searched."""
PIECE = 1 << 18
"""Bytes of XML between two reports of progress; more within a long attribute."""
DEEPEST = 1000
"""Nested elements that are followed; drawing programs stay below a hundred."""
ENTITY = re.compile(r"&(?!#|(?:lt|gt|amp|quot|apos);)")
"""A reference to an entity that is not one of XML's own."""
SVG = "{http://www.w3.org/2000/svg}"
XLINK = "{http://www.w3.org/1999/xlink}"
WEB_PAGE = re.compile(
    rb"(?:\xef\xbb\xbf)?\s*(?:<\?xml[^>]*>\s*)?(?:<!--.*?-->\s*)*<(?:!doctype\s+html|html)\b", re.I | re.S
)
"""What is often saved in place of a drawing: the page of an error, of signing in, or the one around it (HTML, 13.1)."""


def parse(data: bytes, name: str, progress: Callable[[float], None] = lambda done: None) -> ET.Element:
    """The root element. Entities that stand for others are refused (they are how a small file unpacks to gigabytes),
    external ones are never fetched. Raises BadFile with a sentence."""
    if not data.strip():
        raise BadFile(tr("{0} is empty. Save it again from the program it was made with.", name))
    if data[:2] == b"\x1f\x8b":
        data = _unpacked(data, name)
    check_size(len(data), name, LARGEST)
    if WEB_PAGE.match(data):
        raise BadFile(
            tr(
                "{0} is a web page, not an SVG file. Open it in a browser and save the picture shown there.",
                name,
            )
        )
    builder = _Builder(name)
    parser = expat.ParserCreate(namespace_separator="}")
    parser.buffer_text = True
    parser.StartElementHandler, parser.EndElementHandler = builder.start, builder.end
    parser.CharacterDataHandler = builder.text
    parser.EntityDeclHandler = builder.entity
    parser.ExternalEntityRefHandler = builder.external
    try:
        start, size = 0, PIECE
        while start < len(data):
            before = builder.count
            parser.Parse(data[start : start + size], False)
            start += size
            progress(min(start / len(data), 1.0))
            # Within a long attribute expat begins anew with each piece: growing ones take a time that grows with it.
            size = PIECE if builder.count != before else 2 * size
        parser.Parse(b"", True)
    except expat.ExpatError as error:
        what = expat.errors.messages.get(error.code, "it is damaged")
        if builder.root is None:
            raise BadFile(tr("{0} is not an SVG file: {1} in line {2}.", name, what, error.lineno)) from error
        raise BadFile(
            tr(
                "{0} is damaged in line {1} ({2}); it may be incomplete. Save it again.",
                name,
                error.lineno,
                what,
            )
        ) from error
    except (LookupError, ValueError) as error:
        raise BadFile(tr("{0} cannot be read as text: {1}.", name, error)) from error
    root = builder.root
    if root is None or local(root) != "svg":
        found = "nothing" if root is None else f"<{local(root)}>"
        raise BadFile(tr("{0} is not an SVG drawing: it begins with {1} instead of <svg>.", name, found))
    return root


def root_of(data: bytes) -> ET.Element | None:
    """The root element without what is in it, its head alone read; None when that cannot be done."""
    found: list[ET.Element] = []

    def start(tag: str, attributes: dict[str, str]) -> None:
        if not found:
            found.append(ET.Element(_qualified(tag), {_qualified(k): v for k, v in attributes.items()}))

    parser = expat.ParserCreate(namespace_separator="}")
    parser.StartElementHandler = start
    try:
        if data[:2] == b"\x1f\x8b":
            data = zlib.decompressobj(wbits=31).decompress(data, HEAD)
        parser.Parse(data[:HEAD], False)
    except (expat.ExpatError, LookupError, ValueError, zlib.error):
        pass  # what is wrong is reported when the file is read
    return found[0] if found and local(found[0]) == "svg" else None


def local(element: ET.Element) -> str:
    """Tag of an SVG element without its namespace; "" for elements of other namespaces."""
    tag = element.tag
    if tag.startswith(SVG):
        return tag[len(SVG) :]
    return "" if tag.startswith("{") else tag


def href(element: ET.Element) -> str:
    """Target of a reference: href, else the older xlink:href (SVG 2, 16.1)."""
    return (element.get("href") or element.get(f"{XLINK}href") or "").strip()


def _unpacks_to_more(name: str) -> TooCostly:
    text = tr("{0} unpacks to more than {1} MB and is not read.", name, most(LARGEST) >> 20)
    return TooCostly(text, 2 * COST * most(LARGEST))


def _unpacked(data: bytes, name: str) -> bytes:
    try:
        with gzip.GzipFile(fileobj=io.BytesIO(data)) as file:
            plain = file.read(most(LARGEST) + 1)
    except (OSError, EOFError, zlib.error) as error:
        raise BadFile(tr("{0} is compressed and cannot be unpacked ({1}). Save it again.", name, error)) from error
    if len(plain) > most(LARGEST):
        raise _unpacks_to_more(name)
    return plain


class _Builder:
    """Builds the tree from expat's events."""

    def __init__(self, name: str) -> None:
        self.root: ET.Element | None = None
        self._name = name
        self._open: list[ET.Element] = []
        self._last: ET.Element | None = None
        self._size = self._elements = 0

    @property
    def count(self) -> int:
        """Grows with everything that is met."""
        return self._elements + self._size

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        element = ET.Element(_qualified(tag), {_qualified(k): v for k, v in attributes.items()})
        self._count(sum(map(len, attributes.values())))
        if self._open:
            self._open[-1].append(element)
        elif self.root is None:
            self.root = element
        self._open.append(element)
        self._last = None
        self._elements += 1
        if self._elements > most(MOST_ELEMENTS):
            raise TooCostly(
                tr(
                    "{0} has more than {1:,} elements and is not read. Simplify it or split it into several files.",
                    self._name,
                    most(MOST_ELEMENTS),
                ),
                4 * ELEMENT * self._elements,
            )
        if len(self._open) > DEEPEST:
            raise BadFile(
                tr(
                    "{0} nests elements more than {1} levels deep and is not read.",
                    self._name,
                    DEEPEST,
                )
            )

    def end(self, tag: str) -> None:
        self._last = self._open.pop()

    def text(self, data: str) -> None:
        self._count(len(data))
        if self._last is not None:
            self._last.tail = (self._last.tail or "") + data
        elif self._open:
            self._open[-1].text = (self._open[-1].text or "") + data

    def entity(self, name: str, parameter: bool, value: str | None, *rest: object) -> None:
        # Short names for text and namespaces are read; what stands for other entities or for files is refused.
        if value is None or ENTITY.search(value) or "%" in value:
            raise BadFile(
                tr(
                    "{0} defines an entity “{1}” that stands for other text or files; it is not read. Save it "
                    "as plain SVG.",
                    self._name,
                    name,
                )
            )

    def _count(self, size: int) -> None:
        self._size += size
        if self._size > most(LARGEST):
            raise _unpacks_to_more(self._name)

    def external(self, *where: object) -> int:
        raise BadFile(tr("{0} refers to another file in its text and is not read. Save it as plain SVG.", self._name))


def _qualified(name: str) -> str:
    return "{" + name if "}" in name else name
