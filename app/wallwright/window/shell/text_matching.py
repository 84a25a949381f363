"""Which texts fit a few typed words, and how well. No widgets."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence

BEGINS, WITHIN, HELP = 3, 2, 1
"""What a typed word is worth that begins a word of the title, stands within the title, or stands in the help."""


def plain(text: str) -> str:
    """Small letters without accents: who types "offnen" finds "Öffnen"."""
    parted = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in parted if not unicodedata.combining(letter))


def worth(typed: str, title: str, help: str) -> int:
    """0 when a typed word is nowhere; else the more, the better title and help fit."""
    title, help = plain(title), plain(help)
    begins = re.split(r"[^\w]+", title)
    total = 0
    for word in plain(typed).split():
        if any(start.startswith(word) for start in begins):
            total += BEGINS
        elif word in title:
            total += WITHIN
        elif word in help:
            total += HELP
        else:
            return 0
    return total


def best(typed: str, texts: Sequence[tuple[str, str]]) -> list[int]:
    """Numbers of the (title, help) that fit, best first; all in their order when nothing is typed."""
    if not typed.strip():
        return list(range(len(texts)))
    worths = [worth(typed, *text) for text in texts]
    return sorted((i for i, w in enumerate(worths) if w), key=lambda i: -worths[i])
