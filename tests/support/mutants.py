"""Programs with one word or line dropped, doubled or changed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

WORD = re.compile(r"([A-Z])(-?[\d.]+)")
OTHERS = {
    "G0": ("G1",),
    "G1": ("G0", "G2", "G91", "G93"),
    "G2": ("G3", "G1"),
    "G3": ("G2", "G1"),
    "G4": ("G0",),
    "G17": ("G18", "G19"),
    "G21": ("G20",),
    "G40": ("G41",),
    "G49": ("G43",),
    "G80": ("G1", "G81"),
    "G90": ("G91",),
    "G94": ("G93",),
    "G92": ("G92.1", "G1", "G0"),
    "M0": ("M1", "M2", "M3"),
    "M2": ("M0", "M30"),
    "M3": ("M4", "M5"),
    "M5": ("M3", "M4"),
}
"""Replacements of G and M words."""


@dataclass(frozen=True)
class Mutant:
    """A changed program."""

    kind: str
    """"word dropped", "word doubled", "word changed", "line dropped", "line doubled", "cut short"."""
    where: str
    """"header", "footer" or "body"."""
    line: int
    """Index of the line."""
    change: str
    """Description of the change for a person."""
    text: str


def sampled_lines(lines: list[str], body: int) -> list[tuple[int, str]]:
    """Returns indices and parts of every line of head and foot, and of `body` lines of each other kind, spread over
    the file."""
    first = next(i for i, line in enumerate(lines) if line.startswith("(stroke"))
    head = [(i, "header") for i in range(first)]
    last = max(first, len(lines) - 4)
    kinds: dict[str, list[int]] = {}
    for i in range(first, last):
        kinds.setdefault(re.sub(r"-?[\d.]+", "#", lines[i].split("(")[0]) or "(", []).append(i)
    inner = sorted({group[(2 * k + 1) * len(group) // (2 * body)] for group in kinds.values() for k in range(body)})
    return [*head, *((i, "body") for i in inner), *((i, "footer") for i in range(last, len(lines)))]


def mutants(text: str, body: int = 3) -> Iterator[Mutant]:
    """Yields all mutants of a program. body: number of lines of each kind that are changed between head and foot."""
    lines = text.splitlines()

    def made(kind: str, where: str, at: int, new: list[str], change: str) -> Mutant:
        return Mutant(kind, where, at, change, "\n".join([*lines[:at], *new, *lines[at + 1 :]]) + "\n")

    for at, where in sampled_lines(lines, body):
        line = lines[at]
        if line.startswith("("):
            continue
        yield made("line dropped", where, at, [], line)
        yield made("line doubled", where, at, [line, line], line)
        yield Mutant("cut short", where, at, line, "\n".join(lines[:at]) + "\n")
        for word in WORD.finditer(line):
            before, after = line[: word.start()], line[word.end() :]
            yield made("word dropped", where, at, [(before + after).strip()], word[0])
            yield made("word doubled", where, at, [f"{before}{word[0]} {word[0]}{after}"], word[0])
            for other in _others(word[1], word[2]):
                yield made("word changed", where, at, [before + other + after], f"{word[0]} > {other}")


def _others(letter: str, value: str) -> Iterator[str]:
    if letter in "GM":
        yield from OTHERS.get(letter + value, (f"{letter}{int(float(value)) + 1}",))
        return
    number = float(value)
    for other in (number * 10, number / 10, -number, 0.0, number + 1):
        if other != number:
            yield f"{letter}{other:.4f}"
