"""The guide: chapters in Markdown, resources/guide/LANGUAGE/NN-ID.md, and their pictures, resources/guide/pictures, with
a folder for each language for those of the window.

In a chapter `*Menu, Command*` names a command, `**Name**` a control, and `[text](guide:ID)` leads to another chapter.
"""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass
from importlib.resources.abc import Traversable

from wallwright.document.language import current_language
from wallwright.document.resources import resource

LINK = "guide:"
"""Scheme of links between chapters."""
MARKUP = re.compile(r"!\[[^\]]*\]\([^)]*\)|\]\([^)]*\)|[*`#\[\]]")


@dataclass(frozen=True)
class Chapter:
    """One page of the guide."""

    id: str
    title: str
    text: str
    """Markdown, with the title."""

    @property
    def plain(self) -> str:
        """Text without markup."""
        return MARKUP.sub("", self.text)


def chapters() -> tuple[Chapter, ...]:
    """Returns all chapters in the current language, in order."""
    return _chapters(current_language().code)


@functools.cache
def _chapters(language: str) -> tuple[Chapter, ...]:
    folder = resource("guide", language)
    if not folder.is_dir():
        folder = resource("guide", "en")
    files = sorted((f for f in folder.iterdir() if f.name.endswith(".md")), key=lambda f: f.name)
    return tuple(_chapter(file) for file in files)


def _chapter(file: Traversable) -> Chapter:
    text = file.read_text(encoding="utf-8")
    title = text.splitlines()[0].removeprefix("# ")
    return Chapter(file.name.removesuffix(".md").split("-", 1)[1], title, text)


def search(words: str) -> list[tuple[Chapter, int]]:
    """Returns the chapters that contain all the words, with the number of matches; those with a word in the title first,
    then by number of matches. Without words: all chapters in order, with 0."""
    wanted = words.casefold().split()
    if not wanted:
        return [(chapter, 0) for chapter in chapters()]
    found = []
    for chapter in chapters():
        text = chapter.plain.casefold()
        counts = [text.count(word) for word in wanted]
        if all(counts):
            found.append((any(word in chapter.title.casefold() for word in wanted), sum(counts), chapter))
    found.sort(key=lambda one: (not one[0], -one[1]))
    return [(chapter, count) for _, count, chapter in found]


def picture(name: str) -> bytes | None:
    """Returns the bytes of a picture by the name used in chapters, "pictures/NAME"; None when there is none. A picture of
    the window is in the current language, else English; drawings are the same in all."""
    folder, _, file = name.rpartition("/")
    for part in (current_language().code, "en", ""):
        found = resource("guide", *filter(None, (*folder.split("/"), part, file)))
        if found.is_file():
            return found.read_bytes()
    return None
