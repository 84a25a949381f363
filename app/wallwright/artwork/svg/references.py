"""References from one element to another: url(#id) values (SVG 2, 5.1)."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

from wallwright.artwork.svg.svg_document import SvgDocument

URL = re.compile(r"url\(\s*['\"]?#([^'\")]+?)['\"]?\s*\)\s*(.*)", re.DOTALL)
"""The id, and what is written behind the reference."""


def target_of(document: SvgDocument, value: str) -> ET.Element | None:
    """The element that a url() value means; None when it is no reference, or to nothing in the file."""
    match = URL.match(value)
    return document.by_id.get(match[1]) if match else None
