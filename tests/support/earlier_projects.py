"""Project descriptions in the format of earlier versions, with their field names listed by hand."""

from __future__ import annotations

from typing import Any

NAMES_2 = {
    "hangings": {"start_point": "datum", "calibration": "learnt", "handover": "meets"},
    "anchors": {"rating": "holds"},
    "pictures": {"gap": "choke"},
    "photo": {"opacity": "strength"},
    "guide_lines": {"is_vertical": "plumb"},
}
"""Names of version 2, by the present name."""


def _back(value: dict[str, Any] | None, names: dict[str, str]) -> None:
    for new, old in names.items() if value else ():
        value[old] = value.pop(new)


def back_to_2(head: dict[str, Any]) -> None:
    """Turns the description of a project into that of version 2."""
    document = head["document"]
    head["version"] = 2
    for hanging in document["hangings"]:
        _back(hanging, NAMES_2["hangings"])
        for side in ("left", "right"):
            _back(hanging[side], NAMES_2["anchors"])
    for placement in document["placements"]:
        _back(placement["picture"], NAMES_2["pictures"])
    _back(document["photo"], NAMES_2["photo"])
    for line in document["guide_lines"]:
        _back(line, NAMES_2["guide_lines"])
    settings = document["settings"]
    settings["outside"] = {"draw-anyway": "override"}.get(settings["outside"], settings["outside"])
    settings["order"]["effort"] = {"balanced": "good"}.get(settings["order"]["effort"], settings["order"]["effort"])
