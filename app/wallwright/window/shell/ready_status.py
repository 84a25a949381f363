"""One-line state of the job at the right end of the tool bar."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QWidget

from wallwright.document.language import duration, plural, tr
from wallwright.jobs.checks import LONG_JOB, Verdict
from wallwright.planning.plan import Plan
from wallwright.planning.stages import share_done
from wallwright.window.model.models import Models
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.state_button import StateButton
from wallwright.window.widgets.state_icons import State

LONGEST = 50
"""Length of text, characters, for which room is reserved."""


class ReadyStatus(StateButton):
    """Button with the state; a click opens the checks."""

    def __init__(self, models: Models, parent: QWidget | None = None) -> None:
        super().__init__(State.BUSY, parent)
        self._models, self._done, self._room = models, 0.0, 0
        self.is_bold = True
        explain(self, tr("Whether the job can be exported. Click to see the checks."), tr("State of the job"))
        models.planning.progress_changed.connect(self._show_progress)
        for signal in (
            models.planning.plan_changed,
            models.project.changed,
            models.project.loaded,
            models.selection.hanging_changed,
        ):
            signal.connect(self.refresh)
        self.refresh()

    def sizeHint(self) -> QSize:
        hint = super().sizeHint()
        return QSize(min(hint.width(), max(self.most_width(), self._room)), hint.height())

    def most_width(self) -> int:
        """Returns its width with the longest text, px."""
        return LONGEST * self.fontMetrics().averageCharWidth()

    def give_room(self, width: int) -> None:
        """Pixels that it may take, more than it asks for with its longest text: of a long name more can be read."""
        if width != self._room:
            self._room = width
            self.updateGeometry()

    def _show_progress(self, stage: str, done: float) -> None:
        self._done = share_done(stage, done) if stage else 0.0
        self.refresh()

    def refresh(self) -> None:
        planning = self._models.planning
        plan = planning.fresh_plan
        if planning.is_planning and not planning.plan_is_final:
            self._say(State.BUSY, tr("Planning {0:.0f} %", 100 * self._done), self._done)
        elif plan is None:
            self._say(State.BUSY, tr("Not planned yet"))
        elif not self._models.project.document.placements:
            self._say(State.NOTE, tr("No artwork yet"))  # an empty project is not a fault
        else:
            state, text = describe_plan(plan)
            hangings = self._models.project.document.hangings
            if len(hangings) > 1:
                text = f"{text} ({hangings[plan.hanging].name})"
                others = [hangings[number].name for number in _to_see(planning.fresh_plans) if number != plan.hanging]
                if others:
                    text = tr("{0}. See also {1}.", text, ", ".join(others))
                    state = State.WARNING if state in (State.OK, State.NOTE) else state
            self._say(state, text)

    def _say(self, state: State, text: str, share: float = 0.0) -> None:
        if (state, text, share) == (self.state, self.text(), self.share):
            return
        self.show_state(state, text, share=share)
        self.setAccessibleDescription(text)
        self.setToolTip(f"{text}\n{self.whatsThis()}")


def _to_see(plans: Mapping[int, Plan]) -> list[int]:
    """Returns the indices of hangings with a warning or an error."""
    return [
        n
        for n, plan in sorted(plans.items())
        if any(c.verdict in (Verdict.WARNING, Verdict.ERROR) for c in plan.checks)
    ]


def describe_plan(plan: Plan) -> tuple[State, str]:
    """Returns the most important finding about a plan."""
    verdicts = [check.verdict for check in plan.checks]
    bad, warnings = verdicts.count(Verdict.ERROR), verdicts.count(Verdict.WARNING)
    if bad:
        return State.ERROR, plural("{0} thing to fix", "{0} things to fix", bad)
    if not len(plan.strokes):
        return State.WARNING, tr("Nothing to draw")
    pens = len({part.pen for part in plan.estimate.per_pen})
    job = plural("{1}, {0} pen", "{1}, {0} pens", pens, duration(plan.estimate.total_s))
    if warnings:
        return State.WARNING, plural("Ready, {0} warning: {1}", "Ready, {0} warnings: {1}", warnings, job)
    if any(check.id == LONG_JOB for check in plan.checks):
        return State.NOTE, tr("Ready, but long: {0}", job)
    return State.OK, tr("Ready to export: {0}", job)
