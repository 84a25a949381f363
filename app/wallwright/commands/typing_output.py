"""Printing of what to type at a machine that takes drawings."""

from __future__ import annotations

import json
from pathlib import Path

import msgspec

from wallwright.document.document import Document
from wallwright.jobs.checks import Verdict
from wallwright.jobs.hanging_position import folder_of
from wallwright.jobs.what_to_type import WhatToType, what_to_type
from wallwright.planning.export import job_of
from wallwright.planning.plan import Plan, Response


def typing_of(answer: Response, plan: Plan, document: Document) -> WhatToType | None:
    """Returns what to type for a plan: from its report if exported, else computed. None for machines of other kinds, and
    while nothing can be exported."""
    if document.machine.controller.takes != "drawing" or not len(plan.strokes):
        return None
    if any(check.verdict is Verdict.ERROR for check in plan.checks):
        return None
    if answer.files:
        return _reported(answer, plan)

    return what_to_type(job_of(document, plan.hanging, plan, lambda stage, done: None))


def _reported(answer: Response, plan: Plan) -> WhatToType | None:
    """Reads what to type from the report of an exported plan."""
    for name in answer.files:
        path = Path(name)
        if path.suffix != ".json" or (answer.plans and path.parent.name != folder_of(plan.hanging)):
            continue
        content = json.loads(path.read_bytes())
        if "what_to_type" in content:
            return msgspec.convert(content["what_to_type"], WhatToType)
    return None
