"""Lists the components of a package: each library with its version, licence and licence text.

    python packaging/components.py FOLDER [--without-compilers]

Writes components.json (CycloneDX 1.6) and licences/NAME.txt into the folder. Run it with the Python that has Wallwright
installed. --without-compilers omits numba and LLVM, which packages with loops compiled ahead of time do not contain.
A library without a licence or its text is an error.
"""

from __future__ import annotations

import hashlib
import json
import sys
from pathlib import Path
from typing import Any

from wallwright.document.components import PROGRAM, Component, components, normal_name, shipped_pictures

COMPILERS = ("numba", "llvmlite")


def collect(without: tuple[str, ...] = ()) -> list[Component]:
    """Returns the components of a package."""
    return [*(one for one in components() if normal_name(one.name) not in without), *shipped_pictures()]


def bill(listed: list[Component]) -> dict[str, Any]:
    """Returns a CycloneDX 1.6 document. The same components give the same bytes: its serial number derives from the content,
    and it has no date."""
    program, *others = listed
    files = {one.name for one in shipped_pictures()}
    entries = [_entry(one, "file" if one.name in files else "library") for one in others]
    digest = hashlib.sha256(json.dumps(entries, sort_keys=True).encode()).hexdigest()
    number = f"{digest[:8]}-{digest[8:12]}-5{digest[13:16]}-a{digest[17:20]}-{digest[20:32]}"
    return {
        "bomFormat": "CycloneDX",
        "specVersion": "1.6",
        "serialNumber": f"urn:uuid:{number}",
        "version": 1,
        "metadata": {"component": _entry(program, "application")},
        "components": entries,
    }


def _entry(one: Component, kind: str) -> dict[str, Any]:
    source = "generic" if one.name == "Python" or kind == "file" else "pypi"
    url = f"pkg:{source}/{normal_name(one.name)}@{one.version}"
    licence = {"expression": one.licence} if one.is_expression else {"license": {"name": one.licence}}
    return {"type": kind, "bom-ref": url, "name": one.name, "version": one.version, "purl": url, "licenses": [licence]}


def write(folder: Path, without: tuple[str, ...] = ()) -> int:
    """Writes the list and the texts; returns the number of components."""
    listed = collect(without)
    if listed[0].name != PROGRAM:
        sys.exit("Wallwright is not installed in this Python.")
    silent = [one.name for one in listed if not one.text or not one.licence]
    if silent:
        sys.exit(f"No licence or no text of it was found for: {', '.join(silent)}.")
    texts = folder / "licences"
    texts.mkdir(parents=True, exist_ok=True)
    for one in listed:
        (texts / f"{one.name}.txt").write_text(one.text, encoding="utf-8")
    (folder / "components.json").write_text(json.dumps(bill(listed), indent=1) + "\n", encoding="utf-8")
    return len(listed)


def main(arguments: list[str]) -> int:
    if len(arguments) not in (1, 2) or arguments[1:] not in ([], ["--without-compilers"]):
        print(__doc__.strip())
        return 2
    print(f"{write(Path(arguments[0]), COMPILERS if len(arguments) == 2 else ())} components in {arguments[0]}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
