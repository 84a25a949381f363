"""Fonts that a document brings along: @font-face with data in it (CSS Fonts 4, section 4). Nothing is fetched."""

from __future__ import annotations

from wallwright.artwork.data_uri import bytes_of
from wallwright.artwork.drawing import Severity
from wallwright.artwork.glyphs.fonts import add_embedded
from wallwright.artwork.svg.css_syntax import Tokens, declarations_of
from wallwright.artwork.svg.sink import ShapeSink
from wallwright.artwork.svg.svg_document import SvgDocument
from wallwright.document.language import tr


def embedded_fonts(document: SvgDocument, sink: ShapeSink) -> dict[str, str]:
    """What each family the document brings, in lower case, is known by. One that cannot be read is reported once."""
    return document.fonts.get(None, lambda: _add_fonts(document, sink))


def _add_fonts(document: SvgDocument, sink: ShapeSink) -> dict[str, str]:
    files: dict[str, list[bytes]] = {}
    for content in document.cascade.faces:
        family, data = _face(content)
        if family and data:
            files.setdefault(family, []).append(data)
    names: dict[str, str] = {}
    for family, several in files.items():
        if name := add_embedded(several):
            names[family.lower()] = name
        else:
            text = tr("its embedded font “{0}” cannot be read", family)
            sink.report(Severity.WARNING, document.name, text)
    return names


def _face(content: Tokens) -> tuple[str, bytes | None]:
    """Family and data of a rule; None when its source is elsewhere."""
    family, data = "", None
    for declaration in declarations_of(content):
        if declaration.name == "font-family":
            family = " ".join(t.value for t in declaration.value if t.type in ("ident", "string"))
        if declaration.name == "src":
            urls = [t for t in declaration.value if t.type == "url"]
            urls += [
                a for t in declaration.value if t.type == "function" and t.lower_name == "url" for a in t.arguments
            ]
            data = next(filter(None, (bytes_of(u.value) for u in urls if u.type in ("url", "string"))), None)
    return family, data
