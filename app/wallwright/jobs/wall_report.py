"""The wall report: totals of all hangings of a wall. Schema: resources/schemas/wall-report.schema.json."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from wallwright.document.document import Document
from wallwright.jobs.file_names import REPORT
from wallwright.jobs.hanging_position import anchor_positions_report, folder_of
from wallwright.jobs.ignored_limits import IgnoredLimits
from wallwright.motion.plan import Estimate
from wallwright.strokes.strokes import Strokes

WALL_REPORT = "wall-report.json"


def wall_report(document: Document, drawn: Sequence[tuple[int, Strokes, Estimate, IgnoredLimits]]) -> dict[str, Any]:
    """Returns the report as plain values. drawn: (hanging, strokes, estimate, ignored limits) of each hanging that draws
    something, in order."""
    estimates = [estimate for _, _, estimate, _ in drawn]
    return {
        "form": "wallwright wall report",
        "version": 1,
        "hangings": [
            {
                "name": document.hangings[number].name,
                "folder": folder_of(number),
                "report": f"{folder_of(number)}/{REPORT}",
                "places": anchor_positions_report(document, number),
                "strokes": len(strokes),
                "limits_ignored": ignored.report(),
                **_taken([estimate]),
            }
            for number, strokes, estimate, ignored in drawn
        ],
        "strokes": sum(len(strokes) for _, strokes, _, _ in drawn),
        **_taken(estimates),
    }


def _taken(estimates: Sequence[Estimate]) -> dict[str, Any]:
    passes = [p for e in estimates for p in e.per_pen]
    return {
        "total_s": round(sum(e.total_s for e in estimates), 2),
        "changing_s": round(sum(e.changing_s for e in estimates), 2),
        "ink_m": round(sum(p.ink_m for p in passes), 4),
        "travel_m": round(sum(p.travel_m for p in passes), 4),
        "belt_run_m": [round(sum(e.belt_run_m[side] for e in estimates), 3) for side in (0, 1)],
        "longest_belt_mm": [
            round(max((e.longest_belt_mm[side] for e in estimates), default=0.0), 2) for side in (0, 1)
        ],
        "energy_wh": round(sum(e.energy_wh for e in estimates), 3),
        "work_j": [round(sum(e.work_j[side] for e in estimates), 2) for side in (0, 1)],
    }
