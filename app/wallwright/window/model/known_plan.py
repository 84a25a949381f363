"""The known plan of one window's document. No widgets."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from wallwright.document.document import Document
from wallwright.jobs.checks import Verdict
from wallwright.planning.plan import PlacementReport, Plan, StrokePreview
from wallwright.window.model.project_model import ProjectModel
from wallwright.window.model.selection_model import SelectionModel

if TYPE_CHECKING:
    from wallwright.planning.drawn_parts import Parts


class KnownPlan(QObject):
    """The latest preview and plans, with their documents."""

    def __init__(self, project: ProjectModel, selection: SelectionModel) -> None:
        super().__init__()
        self._project, self._selection = project, selection
        self.preview: StrokePreview | None = None
        self.preview_document: Document | None = None
        self.plan: Plan | None = None
        """Plan of the current hanging."""
        self.plan_document: Document | None = None
        self.plans: dict[int, Plan] = {}
        """Plans of plan_document by hanging."""
        self._parts: tuple[StrokePreview, Parts] | None = None

    @property
    def plan_is_stale(self) -> bool:
        """Whether the current hanging has no plan of the present document."""
        plan = self.plan
        return (
            plan is None or self.plan_document is not self._project.document or plan.hanging != self._selection.hanging
        )

    @property
    def fresh_plan(self) -> Plan | None:
        """The plan of the present document for the current hanging; None while there is none."""
        return None if self.plan_is_stale else self.plan

    @property
    def fresh_plans(self) -> dict[int, Plan]:
        """Plans of the present document by hanging."""
        return dict(self.plans) if self.plan_document is self._project.document else {}

    @property
    def plan_is_final(self) -> bool:
        """Whether the plan is fresh and final: its stroke numbers are those of the job."""
        plan = self.fresh_plan
        return plan is not None and not plan.is_provisional

    @property
    def is_exportable(self) -> bool:
        """Whether the plan is fresh and no check prevents its export."""
        plan = self.fresh_plan
        return plan is not None and all(c.verdict is not Verdict.ERROR for c in plan.checks)

    def report_of(self, placement: str) -> PlacementReport | None:
        """Returns the findings of reading and composing a placement, once that is done."""
        reports = self.preview.reports if self.preview is not None else ()
        return next((r for r in reports if r.placement == placement), None)

    def drawn_parts(self) -> Parts:
        """Drawn parts of the artworks, as far as known from the last plan."""
        if self.preview is None or self.preview_document is None:
            return {}
        if self._parts is None or self._parts[0] is not self.preview:
            from wallwright.planning.drawn_parts import drawn_parts  # the window opens sooner without

            self._parts = self.preview, drawn_parts(self.preview_document, self.preview)
        return self._parts[1]
