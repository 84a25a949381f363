"""Changes to inputs that readers are likely to meet badly: of bytes, of numbers and tokens, of XML and of JSON."""

from __future__ import annotations

import json
import random
import re
from collections.abc import Callable, Sequence
from typing import Any

EXTREMES = (
    "0",
    "-0",
    "-1",
    "1",
    "1e-300",
    "-1e-9",
    "1e9",
    "-1e15",
    "1e300",
    "1e400",
    "nan",
    "inf",
    "-inf",
    "",
    ".",
    "-",
    "1.2.3",
    "0x10",
    "1e",
    "1_000",
    "99999999999999999999",
    "2147483648",
    "-2147483649",
    "65536",
    "1,5",
    "1%",
    "100%",
    "1em",
    "0.1",
)
"""What replaces a number."""
WORDS = (
    "",
    "none",
    "inherit",
    "url(#a)",
    "url(#)",
    "#",
    "#a",
    "red",
    "currentColor",
    "auto",
    "\0",
    "\ufffe",
    "&#0;",
    "&a;",
    "-->",
    "]]>",
    "<",
    ">",
    '"',
    "'",
    "(",
    ")",
    "{",
    "}",
    ";",
    "/",
    "\\",
    "\r",
    "é",
    "名",
    "\U0001f600",
    "a" * 300,
    "((((((((",
    "M0 0",
)
"""What replaces a word."""
NUMBER = re.compile(rb"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
WORD = re.compile(rb"[A-Za-z][\w-]*")
ATTRIBUTE = re.compile(rb"([\w:-]+)\s*=\s*(\"[^\"]*\"|'[^']*')")
ELEMENT = re.compile(rb"<[\w:-]+(?:\s[^<>]*)?/>|<([\w:-]+)(?:\s[^<>]*)?>[^<>]*</\1>")
LARGEST = 200_000
"""Bytes of an input: what is large is tested by measurements, not by chance."""

Mutation = Callable[[random.Random, bytes, Sequence[bytes]], bytes]


def flip(chance: random.Random, data: bytes, others: Sequence[bytes]) -> bytes:
    """Some bits or bytes become others."""
    changed = bytearray(data)
    for _ in range(1 << chance.randrange(6)):
        at = chance.randrange(len(changed))
        changed[at] = chance.choice((chance.randrange(256), changed[at] ^ (1 << chance.randrange(8)), 0, 255, 127, 128))
    return bytes(changed)


def cut(chance: random.Random, data: bytes, others: Sequence[bytes]) -> bytes:
    """The end, or a part, is missing."""
    first = chance.randrange(len(data))
    last = len(data) if chance.random() < 0.5 else min(len(data), first + 1 + chance.randrange(200))
    return data[:first] + data[last:]


def repeat(chance: random.Random, data: bytes, others: Sequence[bytes]) -> bytes:
    """A part comes several times."""
    first = chance.randrange(len(data))
    part = data[first : first + 1 + chance.randrange(200)]
    return data[:first] + part * (1 << chance.randrange(8)) + data[first:]


def splice(chance: random.Random, data: bytes, others: Sequence[bytes]) -> bytes:
    """The head of one input and the tail of another."""
    other = chance.choice(others)
    return data[: chance.randrange(len(data) + 1)] + other[chance.randrange(len(other) + 1) :]


def insert(chance: random.Random, data: bytes, others: Sequence[bytes]) -> bytes:
    """A part of another input within this one."""
    other = chance.choice(others)
    at, first = chance.randrange(len(data) + 1), chance.randrange(len(other) + 1)
    return data[:at] + other[first : first + chance.randrange(300)] + data[at:]


def number(chance: random.Random, data: bytes, others: Sequence[bytes]) -> bytes:
    """Numbers become extreme ones."""
    return _replaced(chance, data, NUMBER, lambda found: chance.choice(EXTREMES).encode())


def word(chance: random.Random, data: bytes, others: Sequence[bytes]) -> bytes:
    """Words become others, of the input itself or unlikely ones."""
    known = WORD.findall(data) or [b""]
    return _replaced(
        chance, data, WORD, lambda found: chance.choice((chance.choice(known), chance.choice(WORDS).encode()))
    )


def attribute(chance: random.Random, data: bytes, others: Sequence[bytes]) -> bytes:
    """XML attributes change their values, vanish, or come twice."""
    known = ATTRIBUTE.findall(data + chance.choice(others)) or [(b"x", b'"0"')]

    def change(found: bytes) -> bytes:
        name, value = chance.choice(known)
        own = found.partition(b"=")[0]
        return chance.choice(
            (
                own + b"=" + value,
                name + b"=" + value,
                b"",
                own + b'="' + chance.choice(EXTREMES).encode() + b'"',
                own + b'="' + chance.choice(WORDS).encode().replace(b'"', b"") + b'"',
                found + b" " + name + b"=" + value,
            )
        )

    return _replaced(chance, data, ATTRIBUTE, change)


def element(chance: random.Random, data: bytes, others: Sequence[bytes]) -> bytes:
    """XML elements change places: one of another input stands in place of, before or within one of this."""
    known = [m.group() for m in ELEMENT.finditer(chance.choice(others))] or [b"<g/>"]

    def change(found: bytes) -> bytes:
        other = chance.choice(known)
        return chance.choice(
            (other, found + other, b"", b"<g>" + found + other + b"</g>", found * chance.randrange(1, 9))
        )

    return _replaced(chance, data, ELEMENT, change)


TEXT: tuple[Mutation, ...] = (flip, cut, repeat, splice, insert, number, number, word, word)
BYTES: tuple[Mutation, ...] = (flip, flip, cut, repeat, splice, insert)
XML: tuple[Mutation, ...] = (*TEXT, attribute, attribute, attribute, element, element)


def mutated(chance: random.Random, corpus: Sequence[bytes], mutations: Sequence[Mutation], most: int = 4) -> bytes:
    """An input of the corpus, changed a few times."""
    data = chance.choice(corpus)
    for _ in range(1 + chance.randrange(most)):
        if not data:
            break
        data = chance.choice(mutations)(chance, data, corpus)[:LARGEST]
    return data


def json_mutated(chance: random.Random, data: bytes) -> bytes:
    """A JSON text whose values are changed and which is JSON still."""
    content = json.loads(data)
    for _ in range(1 + chance.randrange(3)):
        content = _changed_value(chance, content)
    return json.dumps(content).encode()


def _changed_value(chance: random.Random, value: Any) -> Any:
    if chance.random() < 0.85 and isinstance(value, dict) and value:
        name = chance.choice(list(value))
        if chance.random() < 0.1:
            return {k: v for k, v in value.items() if k != name}
        return value | {name: _changed_value(chance, value[name])}
    if chance.random() < 0.85 and isinstance(value, list) and value:
        at = chance.randrange(len(value))
        if chance.random() < 0.2:
            return value[:at] + value[at : at + 1] * chance.choice((0, 2, 3)) + value[at + 1 :]
        return [*value[:at], _changed_value(chance, value[at]), *value[at + 1 :]]
    return chance.choice(
        (
            None,
            True,
            False,
            [],
            {},
            "",
            "a",
            "../x",
            "\0",
            "é" * 100,
            0,
            -1,
            1,
            1e-300,
            1e300,
            -1e300,
            10**30,
            2**63,
            0.1,
            [value],
            [value, value],
            {"x": value},
            [0.0, 0.0],
            str(value),
        )
    )


def _replaced(
    chance: random.Random, data: bytes, pattern: re.Pattern[bytes], change: Callable[[bytes], bytes]
) -> bytes:
    found = list(pattern.finditer(data))
    if not found:
        return data
    chosen = chance.sample(found, min(len(found), 1 + chance.randrange(3)))
    for match in sorted(chosen, key=lambda m: -m.start()):
        data = data[: match.start()] + change(match.group()) + data[match.end() :]
    return data
