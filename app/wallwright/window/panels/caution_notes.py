"""The cautions of an occasion as a note, where the risk arises, until the person closes it for the project."""

from __future__ import annotations

from wallwright.document.language import tr
from wallwright.jobs.sheet.cautions import Occasion, most_urgent
from wallwright.window.model.caution_memory import dismiss, is_dismissed
from wallwright.window.model.project_model import ProjectModel
from wallwright.window.widgets.caution_note import CautionNote


def caution_note(occasion: Occasion, project: ProjectModel | None) -> CautionNote:
    """project: None where there is none yet; the note is then only closed for now."""
    note = CautionNote(tr(most_urgent(occasion)), [tr(risk.value) for risk in occasion.value])
    if project is not None:
        note.dismissed.connect(lambda: dismiss(project, occasion.name))
        if is_dismissed(project, occasion.name):
            note.hide()
    return note


def caution_sentence(occasion: Occasion, project: ProjectModel) -> str:
    """The most urgent caution for a message; "" once it was closed for the project."""
    return "" if is_dismissed(project, occasion.name) else tr("Take care:") + " " + tr(most_urgent(occasion))
