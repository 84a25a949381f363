"""How commands write files: what a person would lose is named first, and a dated copy of it is kept."""

from __future__ import annotations

import math
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, TextIO

import msgspec

from wallwright.commands.options import read_file
from wallwright.document.backups import replace_project
from wallwright.document.document import Document
from wallwright.document.errors import BadFile, BadValue
from wallwright.document.file_state import open_project, saving_alone
from wallwright.document.project import SUFFIX, read_project
from wallwright.document.quantity import Quantity, quantities
from wallwright.document.typed_numbers import shown
from wallwright.document.wall import Hanging

OMITTED = {"data", "planned", "left_over", "expected", "covariance", "digest"}
"""Fields that say nothing to a person, or that follow from others."""
MOST_LINES = 24
"""Changes that are listed; the rest is counted."""
KEYS = ("id", "name", "colour")
"""Fields that tell the things of a list apart."""
MOST_NAMES = 8
"""Things of one kind that are named as added or removed; the rest is counted."""
TITLES = {
    "left": "left anchor", "right": "right anchor", "datum": "starting point", "meets": "handover line",
    "register": "register marks", "survey": "calibration", "measures": "readings", "learnt": "calibration result",
    "stopped": "place where the job stopped", "placements": "artwork on the wall", "artworks": "artwork files",
    "inks": "colours", "outside": "strokes outside the draw zone", "centre": "centre of mass",
    "sightings": "readings",
}  # fmt: skip
"""What fields are called that have no title of their own and whose name a person does not know."""


def save_changed(
    path: Path, before: Document, after: Document, may_discard: bool, out: TextIO | None = None
) -> None:
    """Saves a project that a command has changed, keeps a dated copy of the old file, and lists the changes.

    Raises BadValue, and writes nothing, when that would discard what was measured or drawn and the person did not allow it;
    BadFile when the file holds something else than `before` by now.
    """
    lost = losses(before, after)
    if lost and not may_discard:
        raise BadValue(
            f"{path} was not changed: this would discard {'; '.join(lost)}. Add --replace to discard it (a dated copy of "
            "the project is kept)"
        )
    with saving_alone(path):
        if path.exists() and read_project(path) != before:
            raise BadFile(
                f"{path} was not changed: another program has saved it since it was read. Run the command again"
            )
        copy = replace_project(path, after)
    report_changes(path, copy, before, after, out or sys.stdout)


def save_new(path: Path, document: Document, replace: bool, out: TextIO | None = None) -> None:
    """Saves a project under a name of its own. Raises BadValue, and writes nothing, when a file is there and the person did
    not allow to replace it, and in any case when that file is no project."""
    before = claim_project(path, replace)
    copy = replace_project(path, document)
    if before is not None:
        report_changes(path, copy, before, document, out or sys.stdout)


def claim_project(path: Path, replace: bool) -> Document | None:
    """What a new project would replace; None where there is no file. Raises as save_new does; nothing is written."""
    check_project_path(path)
    if not path.exists():
        return None
    try:
        before = read_project(path)
    except BadFile as error:
        reason = str(error).rstrip(".")
        raise BadFile(
            f"{path} was not replaced, since it is not a project that can be read. Choose another name. ({reason})"
        ) from error
    if not replace:
        raise BadValue(
            f"{path} exists already, with {contents(before)}. Add --replace to put the new project in its place (a dated "
            "copy is kept), or choose another name"
        )
    return before


def check_project_path(path: Path) -> None:
    """Raises BadValue for a name that does not end as project files do, since the window would not open it; BadFile when the
    folder is not there."""
    if path.suffix.lower() != SUFFIX:
        raise BadValue(
            f"{path}: the name of a project file ends with {SUFFIX}, for example {path.stem}{SUFFIX}"
        )
    has_folder(path)


def load_project(path: Path) -> Document:
    """Like read_project, with what was probably meant when the file is no project. Raises BadFile."""
    named = path.with_name(path.name + SUFFIX)
    if not path.exists() and named.exists():
        raise BadFile(f"{path} cannot be opened: no such file; did you mean {named}?")
    if path.is_file() and (start := read_file(path)[:2]) and start != b"PK":  # projects are zip files
        raise BadFile(
            f"{path} is not a project file. To put artwork into one, use: wallwright compose NAME{SUFFIX} --artwork {path}"
        )
    return open_project(path)[0]


def check_hanging(document: Document, number: int) -> None:
    """Raises BadValue for a --hanging that the project does not have."""
    count = len(document.hangings)
    if not 1 <= number <= count:
        there = f"hangings 1 to {count}" if count > 1 else "one hanging only"
        raise BadValue(f"--hanging {number}: the project has {there}")


def has_folder(path: Path) -> None:
    """Raises BadFile when the folder of a file to write is not there: before time is spent on what goes into it."""
    if not path.absolute().parent.is_dir():
        raise BadFile(f"{path} cannot be written: there is no folder {path.parent}")


def claim_output(path: Path, begins: bytes, what: str, inputs: tuple[Path, ...] = ()) -> None:
    """Makes sure that a file a command makes anew replaces nothing but an earlier one of its kind.

    begins: how such a file begins. Raises BadValue for a file of another kind, and for one that the command reads.
    """
    if path.suffix.lower() == SUFFIX:
        raise BadValue(f"{path}: {SUFFIX} is for projects; choose another name for {what}")
    has_folder(path)
    if not path.is_file():
        return
    if any(other.exists() and path.samefile(other) for other in inputs):
        raise BadValue(f"{path} is the file to read; choose another name for {what}")
    with path.open("rb") as file:
        start = file.read(len(begins))
    if start and start != begins:
        raise BadValue(f"{path} exists already and is not {what}; choose another name")


def contents(document: Document) -> str:
    """ "2 artworks, 3 hangings, 5 register marks"."""
    hangings = document.hangings
    counts = [
        (len(document.placements), "artwork"),
        (len(hangings), "hanging"),
        (sum(len(h.register.marks) for h in hangings), "register mark"),
        (sum(h.meets is not None for h in hangings), "handover line"),
        (sum(len(h.survey.read) for h in hangings), "calibration reading"),
    ]
    return ", ".join(counted(n, word) for n, word in counts if n or word == "artwork")


def counted(count: int, word: str) -> str:
    return f"{count} {word}{'s' * (count != 1)}"


def losses(before: Document, after: Document) -> list[str]:
    """What was measured or is on the wall already and would be gone, in words."""
    kept = {h.name: h for h in after.hangings}
    lost = []
    for hanging in before.hangings:
        now = kept.get(hanging.name)
        gone = list(_lost_of(hanging, now))
        if now is None:
            lost.append(hanging.name + (f" with {', '.join(gone)}" if gone else ""))
        else:
            lost += [f"{part} of {hanging.name}" for part in gone]
    if before.stopped is not None and after.stopped is None:
        lost.append("the place where the job stopped")
    placed = {p.id for p in after.placements}
    names = [before.artwork(p.artwork).name for p in before.placements if p.id not in placed]
    lost += [f"artwork {name}" for name in names]
    return lost


def _lost_of(hanging: Hanging, now: Hanging | None) -> Iterator[str]:
    if hanging.register.marks and (now is None or now.register.marks != hanging.register.marks):
        yield counted(len(hanging.register.marks), "register mark")
    if hanging.register.sightings and (now is None or not now.register.sightings):
        yield "the correction by register marks"
    if hanging.meets is not None and (now is None or now.meets is None):
        yield "the handover line"
    read = hanging.survey.read
    if read and (
        now is None or (len(now.survey.read) < len(read) and now.survey.marks != hanging.survey.marks)
    ):
        yield counted(len(read), "calibration reading")
    if hanging.learnt is not None and (now is None or now.learnt is None):
        yield "the calibration result"


def report_changes(path: Path, copy: Path | None, before: Document, after: Document, out: TextIO) -> None:
    lines = list(differences(before, after))
    if not lines:
        print(f"{path}: nothing changed.", file=out)
        return
    print(f"{path}: changed:", file=out)
    for line in lines[:MOST_LINES]:
        print(f"  {line}", file=out)
    if len(lines) > MOST_LINES:
        print(f"  and {len(lines) - MOST_LINES} more", file=out)
    if copy is not None:
        print(f"The file as it was: {copy}", file=out)


def differences(
    before: Any, after: Any, place: str = "", names: Mapping[str, str] | None = None
) -> Iterator[str]:
    """What differs between two documents, or two parts of them, a line each: "machine, body, mass: 0.75 kg -> 0.9 kg".

    names: what a person calls the things that have an id only.
    """
    if names is None:
        both = [d for d in (before, after) if isinstance(d, Document)]
        names = {p.id: d.artwork(p.artwork).name for d in both for p in d.placements}
        names |= {pen.id: pen.name for d in both for pen in d.pens}
    if before == after:
        return
    if isinstance(before, msgspec.Struct) and type(before) is type(after):
        own = quantities(type(before))
        for field in before.__struct_fields__:
            old, new = getattr(before, field), getattr(after, field)
            if old == new or field in OMITTED:
                continue
            title = own[field].title.lower() if field in own else TITLES.get(field, field.replace("_", " "))
            inner = f"{place}, {title}" if place else title
            if field in own:
                yield f"{inner}: {_amount(old, own[field])} -> {_amount(new, own[field])}"
            elif field == "meets":
                yield f"{inner}: " + " -> ".join(
                    "none" if v is None else f"{shown(v)} mm" for v in (old, new)
                )
            else:
                yield from differences(old, new, inner, names)
        if getattr(before, "data", None) != getattr(after, "data", None):
            yield f"{place}: another file"
    elif _is_list(before) and _is_list(after):
        yield from _differing_items(before, after, place, names)
    else:
        yield f"{place}: {_words(before, names)} -> {_words(after, names)}"


def _differing_items(
    before: tuple[Any, ...], after: tuple[Any, ...], place: str, names: Mapping[str, str]
) -> Iterator[str]:
    old, new = _by_key(before), _by_key(after)
    removed, added = [k for k in old if k not in new], [k for k in new if k not in old]
    if not any(
        isinstance(k, str) for k in (*old, *new)
    ):  # readings, corners: their numbers tell a person little
        changed = sum(old[k] != new[k] for k in old if k in new)
        more = f", {changed} of them changed" if changed else ""
        yield (
            f"{place}: {len(before)} -> {len(after)}{more}"
            if len(before) != len(after)
            else f"{place}: {changed} changed"
        )
        return
    for keys, what in ((removed, "removed"), (added, "added")):
        if keys:
            few = "; ".join(_introduced(old.get(key) or new[key], names) for key in keys[:MOST_NAMES])
            more = f"; {len(keys) - MOST_NAMES} more" if len(keys) > MOST_NAMES else ""
            yield f"{place}: {what} {few}{more}"
    for key in old:
        if key in new:
            yield from differences(old[key], new[key], _name(old[key], names), names)
    if not removed and not added and list(old) != list(new):
        yield f"{place}: another order"


def _by_key(items: tuple[Any, ...]) -> dict[Any, Any]:
    """By id or name; where there is none, or two have the same, by number."""
    keys = [next((v for n in KEYS if (v := getattr(item, n, None))), None) for item in items]
    if None in keys or len(set(keys)) < len(keys):
        keys = list(range(len(items)))
    return dict(zip(keys, items, strict=True))


def _name(item: Any, names: Mapping[str, str]) -> str:
    own = getattr(item, "id", "")
    return str(getattr(item, "name", "") or names.get(own, own) or getattr(item, "colour", ""))


def _introduced(item: Any, names: Mapping[str, str]) -> str:
    """A name, and of a hanging where its anchors are."""
    name = _name(item, names)
    if not isinstance(item, Hanging):
        return name
    points = ((item.left.x, item.left.y), (item.right.x, item.right.y))
    return f"{name} (anchors at {' and '.join(map(_point, points))} mm)"


def _is_list(value: Any) -> bool:
    return isinstance(value, tuple) and not _is_point(value)


def _is_point(value: Any) -> bool:
    return isinstance(value, tuple) and len(value) == 2 and all(isinstance(v, int | float) for v in value)


def _point(point: tuple[float, float]) -> str:
    return ", ".join(f"{v:.1f}".removesuffix(".0") for v in point)


def _amount(value: Any, quantity: Quantity) -> str:
    if value is None:
        return "none"
    return f"{shown(float(quantity.to_shown(value)))} {quantity.shown_unit}".rstrip()


def _words(value: Any, names: Mapping[str, str]) -> str:
    if value is None or value in ("", ()):
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if _is_point(value):
        return f"{_point(value)} mm"
    if isinstance(value, float):
        return f"{value:.4g}" if math.isfinite(value) else str(value)
    if isinstance(value, msgspec.Struct):
        tag = value.__struct_config__.tag
        return str(tag) if isinstance(tag, str) else "set"
    if isinstance(value, str):
        return names.get(value, value)
    return str(value) if not _is_list(value) else f"{len(value)} entries"
