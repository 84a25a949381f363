"""In which direction each character of a line runs (Unicode Standard Annex 9, The Bidirectional Algorithm).

Names are the annex's: a level is the depth of nesting, odd ones run from right to left; an isolating run sequence is a
stretch of one level with what an isolate cuts out of it; W1 to W7, N0 to N2 and I1, I2 are its rules. Own code: libraries
give the reordered text, which does not say where each character went. They are its judges in the tests.
"""

from __future__ import annotations

import functools
import itertools
import unicodedata
from dataclasses import dataclass

EMBEDDINGS = {"LRE": (0, ""), "RLE": (1, ""), "LRO": (0, "L"), "RLO": (1, "R")}
"""Parity of the level that begins, and the class that is forced on what is inside."""
ISOLATES = ("LRI", "RLI", "FSI")
REMOVED = ("LRE", "RLE", "LRO", "RLO", "PDF", "BN")
"""Classes that rule X9 takes out."""
NEUTRAL = ("B", "S", "WS", "ON", "FSI", "LRI", "RLI", "PDI")
DEEPEST = 125
MOST_OPEN = 63
"""Brackets that wait for their partners (BD16)."""
OPENING = {
    "\u2329": "\u3009",
    "\u3008": "\u3009",
    "\u298d": "\u2990",
    "\u298f": "\u298e",
}
"""Partners, in canonical form, of brackets that are not followed by them in Unicode's order."""
CANONICAL = {"\u232a": "\u3009", "\u2329": "\u3008"}


@dataclass(frozen=True)
class _Status:
    """An entry of the directional status stack (X1)."""

    level: int
    override: str
    is_isolate: bool


def levels_of(text: str, is_rtl: bool) -> list[int]:
    """The embedding level of each character of one line, the paragraph's own being 0 or 1 as is_rtl says."""
    base = int(is_rtl)
    classes = [unicodedata.bidirectional(c) or _unassigned(c) for c in text]
    if not is_rtl and all(c in _PLAIN for c in classes):
        return [0] * len(text)
    levels, kinds = _explicit(classes, base)
    kept = [i for i, kind in enumerate(kinds) if kind not in REMOVED]
    given = list(levels)
    for sequence in _sequences(kept, given, classes):
        start, end = _sides(sequence, given, kinds, classes, base)
        _resolve(text, sequence, levels, kinds, classes, (start, end))
    for i, kind in enumerate(kinds):  # X9: what is taken out goes with what is before it
        if kind in REMOVED:
            levels[i] = levels[i - 1] if i else base
    _reset_ends(classes, levels, base)
    return levels


_PLAIN = frozenset(("L", "EN", "ES", "ET", "CS", "NSM", "WS", "ON", "B", "S", "BN"))
"""Classes that leave a left-to-right line as it is."""


def visual_order(levels: list[int]) -> list[int]:
    """Indices of items from left to right, by their levels (L2)."""
    order = list(range(len(levels)))
    for level in range(max(levels, default=0), 0, -1):
        i = 0
        while i < len(order):
            j = i
            while j < len(order) and levels[order[j]] >= level:
                j += 1
            order[i:j] = order[i:j][::-1]
            i = j + 1
    return order


def _unassigned(character: str) -> str:
    """The class of code points without one: R and AL in the blocks kept for such scripts (DerivedBidiClass.txt)."""
    code = ord(character)
    if 0x0600 <= code <= 0x07BF or 0x0860 <= code <= 0x08FF or 0xFB50 <= code <= 0xFDCF:
        return "AL"
    if 0x0590 <= code <= 0x08FF or 0xFB1D <= code <= 0xFB4F or 0x10800 <= code <= 0x10FFF:
        return "R"
    return "R" if 0x1E800 <= code <= 0x1EFFF else "L"


def _explicit(classes: list[str], base: int) -> tuple[list[int], list[str]]:
    """Levels and classes after the explicit marks (X1 to X8)."""
    levels, kinds = [base] * len(classes), list(classes)
    stack = [_Status(base, "", False)]
    isolates = embeddings = valid = 0
    matches = _matching_pdi(classes)
    for i, kind in enumerate(classes):
        top = stack[-1]
        levels[i] = top.level
        if kind in EMBEDDINGS:
            parity, override = EMBEDDINGS[kind]
            new = _next_level(top.level, parity)
            if new <= DEEPEST and not isolates and not embeddings:
                stack.append(_Status(new, override, False))
            elif not isolates:
                embeddings += 1
        elif kind in ISOLATES:
            kinds[i] = top.override or kind
            if kind == "FSI":
                parity = _first_strong(classes[i + 1 : matches.get(i, len(classes))]) or 0
            else:
                parity = int(kind == "RLI")
            new = _next_level(top.level, parity)
            if new <= DEEPEST and not isolates and not embeddings:
                valid += 1
                stack.append(_Status(new, "", True))
            else:
                isolates += 1
        elif kind == "PDI":
            if isolates:
                isolates -= 1
            elif valid:
                embeddings = 0
                while not stack[-1].is_isolate:
                    stack.pop()
                stack.pop()
                valid -= 1
            levels[i] = stack[-1].level
            kinds[i] = stack[-1].override or kind
        elif kind == "PDF":
            if not isolates:
                if embeddings:
                    embeddings -= 1
                elif not top.is_isolate and len(stack) > 1:
                    stack.pop()
        elif kind == "B":
            levels[i] = base
        elif kind != "BN":
            kinds[i] = top.override or kind
    return levels, kinds


def _next_level(level: int, parity: int) -> int:
    """The least level above one that runs the way asked for."""
    return level + 1 if (level + 1) % 2 == parity else level + 2


def _matching_pdi(classes: list[str]) -> dict[int, int]:
    """The end of each isolate that has one, by its beginning (BD9)."""
    found: dict[int, int] = {}
    waiting: list[int] = []
    for i, kind in enumerate(classes):
        if kind in ISOLATES:
            waiting.append(i)
        elif kind == "PDI" and waiting:
            found[waiting.pop()] = i
    return found


def _first_strong(classes: list[str]) -> int | None:
    """0 or 1 as the first strong character outside isolates runs; None when there is none (P2, P3)."""
    depth = 0
    for kind in classes:
        if kind in ISOLATES:
            depth += 1
        elif kind == "PDI":
            depth = max(depth - 1, 0)
        elif depth == 0 and kind in ("L", "R", "AL"):
            return int(kind != "L")
    return None


def _sequences(kept: list[int], levels: list[int], classes: list[str]) -> list[list[int]]:
    """Isolating run sequences (BD13), as indices of the characters in them."""
    runs = [list(group) for _, group in itertools.groupby(kept, key=lambda i: levels[i])]
    matches = _matching_pdi(classes)
    starts = {run[0]: number for number, run in enumerate(runs)}
    ends = set(matches.values())
    found = []
    for run in runs:
        if classes[run[0]] == "PDI" and run[0] in ends:
            continue  # goes on where its isolate began
        sequence = list(run)
        while classes[sequence[-1]] in ISOLATES and matches.get(sequence[-1]) in starts:
            sequence += runs[starts[matches[sequence[-1]]]]
        found.append(sequence)
    return found


def _sides(sequence: list[int], levels: list[int], kinds: list[str], classes: list[str], base: int) -> tuple[str, str]:
    """The directions that count as standing before and after a sequence: sos and eos (X10)."""
    first, last = sequence[0], sequence[-1]
    before = next((levels[i] for i in range(first - 1, -1, -1) if kinds[i] not in REMOVED), base)
    after = next((levels[i] for i in range(last + 1, len(kinds)) if kinds[i] not in REMOVED), base)
    if classes[last] in ISOLATES:  # its end is missing, or the sequence would go on
        after = base
    level = levels[first]
    start, end = ("R" if max(level, side) % 2 else "L" for side in (before, after))
    return start, end


def _resolve(
    text: str, sequence: list[int], levels: list[int], kinds: list[str], classes: list[str], sides: tuple[str, str]
) -> None:
    """Settles the levels of one sequence, in place (W1 to I2)."""
    (start, end), level = sides, levels[sequence[0]]
    here = [kinds[i] for i in sequence]
    _weak(here, start)
    own = "R" if level % 2 else "L"
    _brackets(text, sequence, here, [classes[i] for i in sequence], own, start)
    _neutral(here, own, start, end)
    for i, kind in zip(sequence, here, strict=True):
        if level % 2 == 0:
            levels[i] = level + (1 if kind == "R" else 2 if kind in ("AN", "EN") else 0)
        else:
            levels[i] = level + (1 if kind != "R" else 0)


def _weak(here: list[str], start: str) -> None:
    """Numbers and what belongs to them (W1 to W7)."""
    strong = before = start
    for i, kind in enumerate(here):  # W1, W2, W3
        if kind == "NSM":
            here[i] = kind = "ON" if before in (*ISOLATES, "PDI") else before
        elif kind == "EN" and strong == "AL":
            here[i] = "AN"
        before = kind
        if kind in ("L", "R", "AL"):
            strong = kind
    here[:] = ["R" if kind == "AL" else kind for kind in here]
    for i in range(1, len(here) - 1):  # W4
        if here[i - 1] == here[i + 1] and (
            (here[i] in ("ES", "CS") and here[i - 1] == "EN") or (here[i] == "CS" and here[i - 1] == "AN")
        ):
            here[i] = here[i - 1]
    for i, j in _stretches(here, ("ET",)):  # W5
        if (i > 0 and here[i - 1] == "EN") or (j < len(here) and here[j] == "EN"):
            here[i:j] = ["EN"] * (j - i)
    strong = start
    for i, kind in enumerate(here):  # W6, W7
        if kind in ("ES", "ET", "CS"):
            here[i] = "ON"
        elif kind in ("L", "R"):
            strong = kind
        elif kind == "EN" and strong == "L":
            here[i] = "L"


def _brackets(text: str, sequence: list[int], here: list[str], classes: list[str], own: str, start: str) -> None:
    """Pairs of brackets go with what is in them (N0)."""
    for first, last in _pairs([text[i] for i in sequence], here):
        inside = [_strength(kind) for kind in here[first + 1 : last]]
        if own in inside:
            way = own
        elif any(inside):
            context = next((s for kind in reversed(here[:first]) if (s := _strength(kind))), start)
            way = context if context != own else own
        else:
            continue
        for at in (first, last):
            here[at] = way
            for k in range(at + 1, len(here)):  # marks on a bracket go with it
                if classes[k] != "NSM":
                    break
                here[k] = way


def _pairs(characters: list[str], here: list[str]) -> list[tuple[int, int]]:
    """Places of brackets and their partners, by the place of the first (BD16)."""
    waiting: list[tuple[str, int]] = []
    found = []
    for i, character in enumerate(characters):
        if here[i] != "ON":
            continue
        if partner := _partner(character):
            if len(waiting) == MOST_OPEN:
                break
            waiting.append((partner, i))
        elif _is_closing(character):
            closing = CANONICAL.get(character, character)
            for k in range(len(waiting) - 1, -1, -1):
                if waiting[k][0] == closing:
                    found.append((waiting[k][1], i))
                    del waiting[k:]
                    break
    return sorted(found)


@functools.cache
def _partner(character: str) -> str:
    """The closing bracket of an opening one; "" for anything else. Unicode has nearly all of them side by side."""
    if character in OPENING:
        return OPENING[character]
    if unicodedata.category(character) != "Ps" or not unicodedata.mirrored(character):
        return ""
    following = chr(ord(character) + (2 if character in "[{" else 1))
    return following if _is_closing(following) else ""


def _is_closing(character: str) -> bool:
    return unicodedata.category(character) == "Pe" and bool(unicodedata.mirrored(character))


def _strength(kind: str) -> str:
    """The direction of a class for what is neutral beside it, numbers being R; "" when it has none."""
    return "R" if kind in ("R", "EN", "AN") else "L" if kind == "L" else ""


def _neutral(here: list[str], own: str, start: str, end: str) -> None:
    """What has no direction takes that of both sides when they agree, else its sequence's (N1, N2)."""
    for i, j in _stretches(here, NEUTRAL):
        left = _strength(here[i - 1]) if i > 0 else start
        right = _strength(here[j]) if j < len(here) else end
        here[i:j] = [left if left == right else own] * (j - i)


def _stretches(here: list[str], kinds: tuple[str, ...]) -> list[tuple[int, int]]:
    """Ranges of characters whose classes are among some."""
    found, i = [], 0
    for is_in, group in itertools.groupby(here, key=lambda kind: kind in kinds):
        count = sum(1 for _ in group)
        if is_in:
            found.append((i, i + count))
        i += count
    return found


def _reset_ends(classes: list[str], levels: list[int], base: int) -> None:
    """Separators, and white space before them and at the end, run as the line does (L1)."""
    is_end = True
    for i in range(len(classes) - 1, -1, -1):
        if classes[i] in ("B", "S"):
            is_end = True
            levels[i] = base
        elif classes[i] in ("WS", *ISOLATES, "PDI", *REMOVED):
            if is_end:
                levels[i] = base
        else:
            is_end = False
