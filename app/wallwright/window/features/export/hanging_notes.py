"""Notes on the jobs of all hangings: warnings, missing files, and hangings without a plan."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from html import escape
from pathlib import Path
from typing import Any

from wallwright.document.language import tr, unbroken_units
from wallwright.jobs.checks import Verdict
from wallwright.jobs.file_names import PLANE, SVG
from wallwright.planning.plan import Plan

FORMULA = "formula"
"""Id of the check that reports belt lengths beyond the controller's formula."""


def warnings_as_rich_text(plans: Mapping[int, Plan], names: Mapping[int, str]) -> str:
    """Returns the warnings of plans as rich text; "" if there are none. names: of the hangings by index, if there are
    several."""
    lines = []
    for number, plan in sorted(plans.items()):
        of = f"{names[number]}, " if number in names else ""
        lines += [
            f"<b>{escape(of + check.title)}:</b> {escape(unbroken_units(check.text))}"
            for check in plan.checks
            if check.verdict is Verdict.WARNING
        ]
    return "<br>".join(lines)


def unplanned(plans: Mapping[int, Plan], names: Mapping[int, str]) -> str:
    """Returns a sentence that names the hangings without a plan; "" when all have one."""
    missing = [name for number, name in names.items() if number not in plans]
    return tr("Not planned yet, so warnings appear after the export: {0}.", ", ".join(missing)) if missing else ""


def missing_files(plans: Mapping[int, Plan], names: Mapping[int, str]) -> list[str]:
    """Returns a sentence for each planned hanging that gets no files in the controller's plane."""
    found = (number for number, plan in sorted(plans.items()) if any(check.id == FORMULA for check in plan.checks))
    return [_without_plane(names.get(number, "")) for number in found]


def _without_plane(hanging: str) -> str:
    """Returns which files are missing, and why. hanging: its name, if there are several."""
    if not hanging:
        return tr("{0} and {1} are not written: the controller's formula cannot reach all belt lengths.", PLANE, SVG)
    return tr(
        "{2} gets no {0} and no {1}: the controller's formula cannot reach all belt lengths.", PLANE, SVG, hanging
    )


def notes_of_reports(reports: Iterable[tuple[Path, Mapping[str, Any]]]) -> list[str]:
    """Returns sentences on the missing files and the warnings of written jobs. reports: path and content of each.

    Raises LookupError, TypeError for damaged reports.
    """
    found = sorted(reports, key=lambda one: one[0])
    names = [str(report["hanging"]) if len(found) > 1 else "" for _, report in found]
    sentences, warned = [], []
    for name, (_, report) in zip(names, found, strict=True):
        if any(check["id"] == FORMULA for check in report["checks"]) and PLANE not in report["verified"]:
            sentences.append(_without_plane(name))
        titles = [check["title"] for check in report["checks"] if check["verdict"] == Verdict.WARNING.value]
        if titles:
            warned.append(f"{name} ({', '.join(titles)})" if name else ", ".join(titles))
    if warned:
        sentences.append(tr("Warnings: {0}.", "; ".join(warned)))
    return sentences
