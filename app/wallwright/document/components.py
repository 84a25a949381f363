"""The libraries that the program runs on and the pictures it ships, with their licences.

Follows the requirements of Wallwright in the Python that runs it; each distribution states its licence. What is not
installed, such as numba in packages with loops compiled ahead of time, is left out.
"""

from __future__ import annotations

import importlib.metadata
import re
import sys
import sysconfig
from dataclasses import dataclass
from pathlib import Path

from wallwright.document.resources import resource

PROGRAM = "wallwright"
LICENCE_FILE = re.compile(r"licen[sc]e|copying|notice|authors", re.IGNORECASE)
NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*")
CHECKOUT_LICENCE = Path(__file__).resolve().parents[3] / "packaging" / "LICENSE"
"""The program's licence in a checkout, where the distribution does not contain it yet."""
LONG_TEXT = 300
"""Length, in characters, from which the field License holds the text rather than the name."""


@dataclass(frozen=True)
class Component:
    """A library, the program itself or Python."""

    name: str
    version: str
    licence: str
    """SPDX expression where the distribution gives one, else the licence's name."""
    is_expression: bool
    text: str
    """All licence texts in the distribution; "" when it has none."""


def components() -> list[Component]:
    """Returns the program, then Python, then every library by name."""
    found: dict[str, Component] = {}
    todo, seen = [PROGRAM], set()
    while todo:
        name = normal_name(todo.pop())
        if name in seen:
            continue
        seen.add(name)
        try:
            distribution = importlib.metadata.distribution(name)
        except importlib.metadata.PackageNotFoundError:
            continue
        found[name] = component_of(distribution)
        for line in distribution.requires or ():
            requirement, _, marker = line.partition(";")
            if "extra" not in marker and (match := NAME.match(requirement)):
                todo.append(match.group())
    program = [found.pop(PROGRAM)] if PROGRAM in found else []
    return [*program, _python(), *(found[name] for name in sorted(found))]


def shipped_pictures() -> list[Component]:
    """Returns the third-party pictures that the program ships, with their licences."""
    text = "Photograph by Stéfan van der Walt, who gave up all rights to it. Cropped and turned grey.\n\n"
    return [
        Component(
            "cat.jpg", "1", "CC0-1.0", True, text + resource("licences", "CC0-1.0.txt").read_text(encoding="utf-8")
        )
    ]


def normal_name(name: str) -> str:
    """Returns the name normalised by PEP 503."""
    return re.sub(r"[-_.]+", "-", name).lower()


def component_of(distribution: importlib.metadata.Distribution) -> Component:
    data = distribution.metadata
    expression = (data.get_all("License-Expression") or [""])[0]
    field = (data.get_all("License") or [""])[0].strip()
    classified = [
        str(c).rpartition(" :: ")[2] for c in data.get_all("Classifier") or () if str(c).startswith("License ::")
    ]
    licence = expression or " or ".join(classified) or (field.splitlines()[0] if 0 < len(field) < LONG_TEXT else "")
    texts = []
    for file in sorted(distribution.files or (), key=str):
        if ".dist-info" in str(file) and LICENCE_FILE.search(file.name) and file.suffix not in (".py", ".pyc"):
            path = Path(str(file.locate()))
            if path.is_file():
                texts.append(f"=== {file.name}\n\n{path.read_text(encoding='utf-8', errors='replace').strip()}\n")
    if not texts and len(field) >= LONG_TEXT:
        texts.append(field + "\n")
    if not texts and licence.startswith("LGPL-3.0-only"):  # Qt's distributions contain no licence texts
        texts.append(resource("licences", "LGPL-3.0-only.txt").read_text(encoding="utf-8"))
    if not texts and data["Name"] == PROGRAM and CHECKOUT_LICENCE.is_file():
        texts.append(CHECKOUT_LICENCE.read_text(encoding="utf-8"))
    return Component(data["Name"], distribution.version, licence, bool(expression), "\n".join(texts))


def _python() -> Component:
    version = ".".join(map(str, sys.version_info[:3]))
    folders = (sysconfig.get_path("stdlib"), sys.base_prefix, sys.prefix)
    places = [Path(folder) / "LICENSE.txt" for folder in folders]
    text = next((p.read_text(encoding="utf-8", errors="replace") for p in places if p.is_file()), "")
    return Component("Python", version, "PSF-2.0", True, text or sys.copyright + "\n")
