"""Files inside a text: data: URIs (RFC 2397)."""

from __future__ import annotations

import base64
import re
import urllib.parse

HEAD = re.compile(r"\s*data:([^,]*),", re.IGNORECASE)


def bytes_of(uri: str) -> bytes | None:
    """What a data: URI holds; None for any other URI, or broken data."""
    match = HEAD.match(uri)
    if not match:
        return None
    body = uri[match.end() :]
    if not match[1].strip().lower().endswith("base64"):
        return urllib.parse.unquote_to_bytes(body)
    body = re.sub(r"\s+", "", urllib.parse.unquote(body))
    try:
        return base64.b64decode(body + "=" * (-len(body) % 4))
    except ValueError:  # binascii.Error, or letters beyond ASCII
        return None
