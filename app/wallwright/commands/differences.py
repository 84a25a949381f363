"""Describes the changes that a command has made to a project, one line each."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, TextIO

import msgspec

from wallwright.document.document import Document
from wallwright.document.language import N_, current_language, format_number, mid_sentence, plural, tr
from wallwright.document.quantity import Quantity, quantities
from wallwright.document.typed_numbers import shown
from wallwright.document.wall import Hanging

OMITTED = {"data", "planned", "left_over", "expected", "covariance", "digest"}
"""Fields that mean nothing to a person, or follow from others."""
MOST_LINES = 24
"""Largest number of listed changes; further ones are counted."""
KEYS = ("id", "name", "colour")
"""Fields that identify the items of a list."""
MOST_NAMES = 8
"""Largest number of named items of a kind that were added or removed; further ones are counted."""
TITLES = {
    "wall": N_("wall"),
    "keep_outs": N_("keep-outs"),
    "name": N_("name"),
    "outline": N_("outline"),
    "kind": N_("kind"),
    "machine": N_("machine"),
    "body": N_("body"),
    "centre": N_("centre of mass"),
    "left_exit": N_("left exit"),
    "right_exit": N_("right exit"),
    "belt": N_("belt"),
    "motor": N_("motor"),
    "lift": N_("pen lift"),
    "controller": N_("controller"),
    "takes": N_("input"),
    "pacing": N_("timing"),
    "curves": N_("curves"),
    "page": N_("page"),
    "is_known": N_("page known"),
    "placing": N_("placing"),
    "box": N_("box"),
    "asks": N_("numbers asked"),
    "origin": N_("origin"),
    "point": N_("point"),
    "axes": N_("axes"),
    "unit": N_("unit"),
    "whole_numbers": N_("whole numbers"),
    "start": N_("start"),
    "switch_off": N_("switch off"),
    "always": N_("always on"),
    "attributes": N_("attributes"),
    "one_file": N_("one file"),
    "other_files": N_("other files"),
    "limits": N_("limits"),
    "hangings": N_("hangings"),
    "left": N_("left anchor"),
    "right": N_("right anchor"),
    "start_point": N_("starting point"),
    "survey": N_("calibration"),
    "figure": N_("test drawing"),
    "marks": N_("marks"),
    "measures": N_("readings"),
    "calibration": N_("calibration result"),
    "handover": N_("handover line"),
    "register": N_("register marks"),
    "sightings": N_("readings"),
    "remainder": N_("correction of the formula"),
    "pens": N_("pens"),
    "colour": N_("colour"),
    "artworks": N_("artwork files"),
    "read_anyway": N_("read anyway"),
    "placements": N_("artwork on the wall"),
    "artwork": N_("artwork"),
    "mirror": N_("mirrored"),
    "visible": N_("shown"),
    "locked": N_("locked"),
    "inks": N_("colours"),
    "pen": N_("pen"),
    "fill": N_("fill"),
    "group": N_("group"),
    "overlays": N_("further pens"),
    "colours": N_("choice of pens"),
    "gaps": N_("gaps between colours"),
    "picture": N_("picture"),
    "style": N_("style"),
    "mixing": N_("mixing"),
    "settings": N_("settings"),
    "order": N_("order"),
    "effort": N_("search"),
    "fills": N_("fills"),
    "together": N_("finish together"),
    "fill_lines": N_("direction of fill lines"),
    "cable": N_("point where the cable is fixed"),
    "outside": N_("strokes outside the draw zone"),
    "joining": N_("handover"),
    "photo": N_("photo"),
    "places": N_("places"),
    "guide_lines": N_("guide lines"),
    "stopped": N_("place where the job stopped"),
    "stroke": N_("stroke"),
    "along": N_("distance along the stroke"),
}
"""Titles of fields without a declared title."""


def report_changes(path: Path, copy: Path | None, before: Document, after: Document, out: TextIO) -> None:
    lines = list(differences(before, after))
    if not lines:
        print(tr("{0}: nothing changed.", path), file=out)
        return
    print(tr("{0}: changed:", path), file=out)
    for line in lines[:MOST_LINES]:
        print(f"  {line}", file=out)
    if len(lines) > MOST_LINES:
        print("  " + tr("and {0} more", len(lines) - MOST_LINES), file=out)
    if copy is not None:
        print(tr("Copy of the file before the change: {0}", copy), file=out)


def differences(before: Any, after: Any, place: str = "", names: Mapping[str, str] | None = None) -> Iterator[str]:
    """Yields the differences of two documents, or parts of them, such as "machine, body, mass: 0.75 kg -> 0.9 kg".

    names: names for a person of items that have only an id.
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
            title = mid_sentence(tr(own[field].title)) if field in own else _field_title(field)
            inner = f"{place}, {title}" if place else title
            if field in own:
                yield f"{inner}: {_amount(old, own[field])} -> {_amount(new, own[field])}"
            elif field == "handover":
                yield f"{inner}: " + " -> ".join(tr("none") if v is None else f"{shown(v)} mm" for v in (old, new))
            else:
                yield from differences(old, new, inner, names)
        if getattr(before, "data", None) != getattr(after, "data", None):
            yield tr("{0}: another file", place)
    elif _is_list(before) and _is_list(after):
        yield from _differing_items(before, after, place, names)
    else:
        yield f"{place}: {_words(before, names)} -> {_words(after, names)}"


def _field_title(field: str) -> str:
    return tr(TITLES[field]) if field in TITLES else field.replace("_", " ")


def _differing_items(
    before: tuple[Any, ...], after: tuple[Any, ...], place: str, names: Mapping[str, str]
) -> Iterator[str]:
    old, new = _by_key(before), _by_key(after)
    removed, added = [k for k in old if k not in new], [k for k in new if k not in old]
    if not any(isinstance(k, str) for k in (*old, *new)):  # readings, corners: their indices mean little to a person
        changed = sum(old[k] != new[k] for k in old if k in new)
        if len(before) == len(after):
            yield f"{place}: " + tr("{0} changed", changed)
        else:
            more = ", " + tr("{0} of them changed", changed) if changed else ""
            yield f"{place}: {len(before)} -> {len(after)}{more}"
        return
    for keys, items, form in (
        (removed, old, N_("{0}: removed {1}")),
        (added, new, N_("{0}: added {1}")),
    ):
        if keys:
            few = [_introduced(items[key], names) for key in keys[:MOST_NAMES]]
            if len(keys) > MOST_NAMES:
                few.append(tr("{0} more", len(keys) - MOST_NAMES))
            yield tr(form, place, "; ".join(few))
    for key in old:
        if key in new:
            yield from differences(old[key], new[key], _name(old[key], names), names)
    if not removed and not added and list(old) != list(new):
        yield tr("{0}: another order", place)


def _by_key(items: tuple[Any, ...]) -> dict[Any, Any]:
    """Returns items by id or name; by index where these are missing or not unique."""
    keys = [next((v for n in KEYS if (v := getattr(item, n, None))), None) for item in items]
    if None in keys or len(set(keys)) < len(keys):
        keys = list(range(len(items)))
    return dict(zip(keys, items, strict=True))


def _name(item: Any, names: Mapping[str, str]) -> str:
    own = getattr(item, "id", "")
    return str(getattr(item, "name", "") or names.get(own, own) or getattr(item, "colour", ""))


def _introduced(item: Any, names: Mapping[str, str]) -> str:
    """Returns a name, for a hanging with the positions of its anchors."""
    name = _name(item, names)
    if not isinstance(item, Hanging):
        return name
    points = ((item.left.x, item.left.y), (item.right.x, item.right.y))
    return tr("{0} (anchors at {1} and {2} mm, from the first left anchor)", name, *map(_point, points))


def _is_list(value: Any) -> bool:
    return isinstance(value, tuple) and not _is_point(value)


def _is_point(value: Any) -> bool:
    return isinstance(value, tuple) and len(value) == 2 and all(isinstance(v, int | float) for v in value)


def _point(point: tuple[float, float]) -> str:
    sign = current_language().decimal
    return ("; " if sign == "," else ", ").join(f"{v:.1f}".removesuffix(".0").replace(".", sign) for v in point)


def _amount(value: Any, quantity: Quantity) -> str:
    if value is None:
        return tr("none")
    return f"{shown(float(quantity.to_shown(value)))} {quantity.shown_unit}".rstrip()


def _words(value: Any, names: Mapping[str, str]) -> str:
    if value is None or value in ("", ()):
        return tr("none")
    if isinstance(value, bool):
        return tr("yes") if value else tr("no")
    if _is_point(value):
        return f"{_point(value)} mm"
    if isinstance(value, float):
        return format_number(value, ".4g") if math.isfinite(value) else str(value)
    if isinstance(value, msgspec.Struct):
        tag = value.__struct_config__.tag
        return str(tag) if isinstance(tag, str) else tr("set")
    if isinstance(value, str):
        return names.get(value, value)
    return str(value) if not _is_list(value) else plural("{0} entry", "{0} entries", len(value))
