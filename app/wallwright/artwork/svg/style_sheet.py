"""A style sheet's text in pieces of whole rules, without those that no element can match.

The tokenizer takes a text as a whole, and most of the time of a large sheet; drawing programs write a rule for each of
thousands of classes. Where a rule ends follows from CSS Syntax 3, sections 4 and 5.4: at the brace that closes its block,
which no string, comment, unquoted address or unclosed bracket hides.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator

PIECE = 32_000
"""Characters tokenized together: a few hundredths of a second."""
LONGEST_RULE = 1_000_000
"""Characters of one rule, addresses not counted (they carry fonts); more are a bracket that nobody closed."""
LANDMARK = re.compile(
    r"""/\*.*?(?:\*/|\Z) | \\. | "(?:[^"\\\n]|\\.)*["\n]? | '(?:[^'\\\n]|\\.)*['\n]?
    | (?<![\w-])[uU][rR][lL]\(\s*(?!["'\s])(?:[^)\\]|\\.)*\)? | [(){}\[\]]""",
    re.S | re.X,
)
CLOSES = {")": "(", "]": "[", "}": "{"}
PLAIN = re.compile(r"[\w\s.#>+~*-]*", re.A)
"""A selector without commas, escapes, functions, conditions or comments: its names are what they look like."""
CLASS_OR_ID = re.compile(r"([.#])([\w-]+)", re.A)


def rules_in_pieces(
    sheet: str, classes: Collection[str], ids: Collection[str], left_out: Callable[[], None]
) -> Iterator[tuple[str, int]]:
    """Texts of whole rules, and how many characters of the sheet are read with them. classes and ids: what the document has;
    a rule that asks for another is not among them.

    left_out is called for each rule that is too long to be read.
    """
    waiting: list[str] = []
    size = end = 0
    for rule, head, addresses in _rules(sheet):
        end += len(rule)
        if len(rule) - addresses > LONGEST_RULE:
            left_out()
            continue
        if head >= 0 and _excluded(rule[:head], classes, ids):
            rule = ""
        waiting.append(rule)
        size += len(rule) - addresses
        if size > PIECE or len(waiting) > PIECE:
            yield "".join(waiting), end
            waiting, size = [], 0
    yield "".join(waiting), end


def _rules(sheet: str) -> Iterator[tuple[str, int, int]]:
    """Each rule's text, the place of its first brace (-1: none), and how many of its characters are addresses."""
    start, head, addresses = 0, -1, 0
    open_: list[str] = []
    for mark in LANDMARK.finditer(sheet):
        text = mark[0]
        if text in CLOSES:
            if open_ and open_[-1] == CLOSES[text]:
                open_.pop()
                if text == "}" and not open_:
                    yield sheet[start : mark.end()], head - start, addresses
                    start, head, addresses = mark.end(), -1, 0
        elif text in "([{":
            if text == "{" and not open_ and head < 0:
                head = mark.start()
            open_.append(text)
        elif text[0] in "uU":
            addresses += len(text)
    if start < len(sheet):
        yield sheet[start:], -1, addresses


def _excluded(selector: str, classes: Collection[str], ids: Collection[str]) -> bool:
    if not PLAIN.fullmatch(selector):
        return False
    return any(name not in (classes if kind == "." else ids) for kind, name in CLASS_OR_ID.findall(selector))
