"""Collects what a package carries: each library with its version, licence and the licence's text.

    python packaging/components.py FOLDER     components.json (CycloneDX 1.6) and licences/NAME.txt into the folder

Starts from the requirements of Wallwright in the Python that runs it and follows theirs. The texts are those that each library's
own distribution carries; what a library bundles (OpenBLAS, Qt, GEOS) is in them. A library without any is an error.
Standard library only, but for `packaging`, which reads the conditions of requirements.
"""

from __future__ import annotations

import hashlib
import importlib.metadata
import json
import re
import sys
from pathlib import Path
from typing import Any

from packaging.requirements import Requirement

COMPILERS = ("numba", "llvmlite")
"""Not carried by packages with loops compiled ahead of time."""
TEXT = re.compile(r"(licen[sc]e|copying|notice|authors)", re.IGNORECASE)
PYTHON_TEXT = "Python itself: https://docs.python.org/3/license.html"
KNOWN_TEXTS = {
    # These distributions name their licence and carry no text; the licence's own text is in `licence_texts/`.
    "pyside6-essentials": ("LGPL-3.0-only", "GPL-3.0-only"),
    "shiboken6": ("LGPL-3.0-only", "GPL-3.0-only"),
}


def normal(name: str) -> str:
    """The name as PEP 503 writes it."""
    return re.sub(r"[-_.]+", "-", name).lower()


def distributions(
    root: str = "wallwright", without: tuple[str, ...] = ()
) -> dict[str, importlib.metadata.Distribution]:
    """Every distribution that the root needs to run here, itself left out, by normal name."""
    found: dict[str, importlib.metadata.Distribution] = {}
    todo = [root]
    while todo:
        name = normal(todo.pop())
        if name in found or name in without:
            continue
        found[name] = importlib.metadata.distribution(name)
        for line in found[name].requires or ():
            requirement = Requirement(line)
            if requirement.marker is None or requirement.marker.evaluate({"extra": ""}):
                todo.append(requirement.name)
    del found[normal(root)]
    return dict(sorted(found.items()))


def licence_name(distribution: importlib.metadata.Distribution) -> str:
    """An SPDX expression where the distribution gives one, else the licence's name; "" when it says nothing."""
    data = distribution.metadata
    if expression := data.get("License-Expression"):
        return str(expression)
    named = [c.rpartition(" :: ")[2] for c in data.get_all("Classifier") or () if c.startswith("License ::")]
    text = (data.get("License") or "").strip()
    if named:
        return " or ".join(named)
    return text.splitlines()[0][:80] if text else ""


def licence_text(distribution: importlib.metadata.Distribution) -> str:
    """All texts about licences that the distribution carries, one after the other."""
    parts = []
    for file in sorted(distribution.files or (), key=str):
        if TEXT.search(file.name) and ".dist-info" in str(file) and not file.name.endswith((".py", ".pyc")):
            path = Path(str(file.locate()))
            if path.is_file():
                text = path.read_text(encoding="utf-8", errors="replace").strip()
                parts.append(f"=== {file.name}\n\n{text}\n")
    if not parts:
        text = (distribution.metadata.get("License") or "").strip()
        if len(text) > 300:
            parts.append(text + "\n")
    return "\n".join(parts)


def standard_text(name: str) -> str:
    """A licence whose text a distribution leaves out, from the system's copies (Debian keeps them) or our own."""
    for folder, file in (
        (Path(__file__).resolve().parent / "licence_texts", f"{name}.txt"),
        (Path("/usr/share/common-licenses"), re.sub(r"\.0-.*", "", name)),
    ):
        if (folder / file).is_file():
            return (folder / file).read_text(encoding="utf-8", errors="replace")
    return ""


def collect(without: tuple[str, ...] = ()) -> list[dict[str, Any]]:
    """A component for each distribution, as CycloneDX writes it, with its licence text under "text"."""
    components = []
    for name, distribution in distributions(without=without).items():
        licence = licence_name(distribution)
        text = licence_text(distribution) or "\n".join(filter(None, map(standard_text, KNOWN_TEXTS.get(name, ()))))
        version = distribution.version
        is_expression = bool(distribution.metadata.get("License-Expression"))
        components.append(
            {
                "type": "library",
                "bom-ref": f"pkg:pypi/{name}@{version}",
                "name": distribution.metadata["Name"],
                "version": version,
                "purl": f"pkg:pypi/{name}@{version}",
                "licenses": [{"expression": licence} if is_expression else {"license": {"name": licence}}],
                "text": text,
            }
        )
    return components


def bill(components: list[dict[str, Any]], version: str) -> dict[str, Any]:
    """A CycloneDX 1.6 document; the same components give the same bytes, so it has no date and a number from its content."""
    listed = [{k: v for k, v in c.items() if k != "text"} for c in components]
    digest = hashlib.sha256(json.dumps(listed, sort_keys=True).encode()).hexdigest()
    number = f"{digest[:8]}-{digest[8:12]}-5{digest[13:16]}-a{digest[17:20]}-{digest[20:32]}"
    return {
        "bomFormat": "CycloneDX",
        "specVersion": "1.6",
        "serialNumber": f"urn:uuid:{number}",
        "version": 1,
        "metadata": {
            "component": {
                "type": "application",
                "bom-ref": f"wallwright@{version}",
                "name": "wallwright",
                "version": version,
                "licenses": [{"license": {"id": "MIT"}}],
            }
        },
        "components": listed,
    }


def write(folder: Path, without: tuple[str, ...] = ()) -> int:
    """Writes the list and the texts; returns how many components there are."""
    components = collect(without)
    silent = [c["name"] for c in components if not c["text"] or not any(c["licenses"][0].values())]
    if silent:
        sys.exit(f"No licence was found for: {', '.join(silent)}. Add its text to {Path(__file__).name}.")
    texts = folder / "licences"
    texts.mkdir(parents=True, exist_ok=True)
    for component in components:
        (texts / f"{component['name']}.txt").write_text(component["text"], encoding="utf-8")
    content = bill(components, importlib.metadata.version("wallwright"))
    (folder / "components.json").write_text(json.dumps(content, indent=1) + "\n", encoding="utf-8")
    return len(components)


def main(arguments: list[str]) -> int:
    if len(arguments) not in (1, 2) or (len(arguments) == 2 and arguments[1] != "--without-compilers"):
        print(__doc__.strip())
        return 2
    print(f"{write(Path(arguments[0]), COMPILERS if len(arguments) == 2 else ())} components in {arguments[0]}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
