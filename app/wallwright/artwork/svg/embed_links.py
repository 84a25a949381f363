"""What an SVG file points to, put into it: linked pictures of its own folder, and fonts, as data: URIs (RFC 2397)."""

from __future__ import annotations

import base64
import re
import urllib.parse
import xml.etree.ElementTree as ET
from pathlib import Path

from wallwright.artwork.glyphs.fonts import font_files
from wallwright.artwork.svg.xml_parser import SVG, XLINK, href, parse
from wallwright.document.errors import BadFile
from wallwright.document.language import tr
from wallwright.document.reading_limits import TooCostly, most
from wallwright.document.whole_file import COST, MB, read_whole_file

MOST_LINKED = 64 * MB
"""Bytes of all linked pictures that are brought in; each is carried as often as it is shown."""
KINDS = {
    ".png": "image/png",
    ".jpg": "image/jpeg",
    ".jpeg": "image/jpeg",
    ".gif": "image/gif",
    ".webp": "image/webp",
    ".svg": "image/svg+xml",
    ".svgz": "image/svg+xml",
}


def embed_pictures(data: bytes, name: str, folder: Path) -> bytes:
    """The file with the pictures it links to inside; only files in its own folder or below are read.

    Unchanged when it links to none. Raises BadFile for a file that is no SVG, TooCostly for pictures that need more memory
    than is used unasked.
    """
    if b"<image" not in data and b":image" not in data and data[:2] != b"\x1f\x8b":
        return data
    root = parse(data, name)
    changed, linked = False, 0
    for element in root.iter(f"{SVG}image"):
        target = _inside(folder, href(element))
        if target is None:
            continue
        try:
            content = read_whole_file(target, target.name, MOST_LINKED)
        except TooCostly as error:
            raise TooCostly(tr("{0} contains a picture that cannot be read: {1}", name, error), error.memory) from error
        except BadFile as error:
            raise BadFile(tr("{0} contains a picture that cannot be read: {1}", name, error)) from error
        linked += len(content)
        if linked > most(MOST_LINKED):
            raise TooCostly(
                tr(
                    "The linked pictures in {0} add up to more than {1} MB; each use counts. Make them smaller "
                    "or add them as separate files.",
                    name,
                    most(MOST_LINKED) // MB,
                ),
                2 * COST * linked,
            )
        uri = _uri(content, KINDS[target.suffix.lower()])
        element.attrib.pop(f"{XLINK}href", None)
        element.set("href", uri)
        changed = True
    return _written(root) if changed else data


def embed_fonts(data: bytes, name: str, folder: Path) -> bytes:
    """The file with those fonts of a folder inside whose names stand in it. Raises BadFile."""
    families = font_files(folder)
    root = parse(data, name)
    text = " ".join([" ".join([*e.attrib.values(), e.text or ""]) for e in root.iter()]).lower()
    rules = [
        f"@font-face{{font-family:'{family}';src:url({_uri(content, 'font/ttf')})}}"
        for family, files in sorted(families.items())
        if re.search(rf"\b{re.escape(family.lower())}\b", text)
        for content in files
    ]
    if not rules:
        return data
    style = ET.Element(f"{SVG}style")
    style.text = "\n".join(rules)
    root.insert(0, style)
    return _written(root)


def _inside(folder: Path, link: str) -> Path | None:
    """The file a relative link means, when it is a picture in the folder."""
    if not link or re.match(r"[a-zA-Z][a-zA-Z0-9+.-]*:|/|#|\\", link):
        return None
    path = (folder / urllib.parse.unquote(link.split("#")[0].split("?")[0])).resolve()
    is_ours = path.is_relative_to(folder.resolve()) and path.suffix.lower() in KINDS
    return path if is_ours and path.is_file() else None


def _uri(content: bytes, kind: str) -> str:
    return f"data:{kind};base64,{base64.b64encode(content).decode()}"


def _written(root: ET.Element) -> bytes:
    ET.register_namespace("", SVG[1:-1])
    ET.register_namespace("xlink", XLINK[1:-1])
    return bytes(ET.tostring(root, encoding="utf-8", xml_declaration=True))
