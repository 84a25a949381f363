"""The models of one window. No widgets."""

from __future__ import annotations

import msgspec
from PySide6.QtCore import QObject

from wallwright.document.document import Document
from wallwright.planning.planner import Planner
from wallwright.window.model.artwork_import import ArtworkImport
from wallwright.window.model.messages import Messages
from wallwright.window.model.origin_model import OriginModel
from wallwright.window.model.planning_client import PlanningClient
from wallwright.window.model.project_model import ProjectModel
from wallwright.window.model.selection_model import SelectionModel
from wallwright.window.model.style_samples import StyleSamples


class Models(msgspec.Struct, frozen=True):
    """All models of one document."""

    project: ProjectModel
    selection: SelectionModel
    origin: OriginModel
    planning: PlanningClient
    imports: ArtworkImport
    messages: Messages
    samples: StyleSamples

    @staticmethod
    def of(document: Document, planner: Planner | None = None, sampler: Planner | None = None) -> Models:
        """Returns models of a document without a file that counts as saved."""
        messages = Messages()
        project = ProjectModel(document, messages)
        # Models follow the document before any widget does: Qt calls slots in the order of their connection.
        selection = SelectionModel(project)
        origin = OriginModel(project, selection)
        planning = PlanningClient(project, selection, messages, planner)
        imports, samples = (
            ArtworkImport(project, selection, messages, planning),
            StyleSamples(project, planning, sampler),
        )
        return Models(project, selection, origin, planning, imports, messages, samples)

    def successor(self) -> Models:
        """Returns models with the same document and selection, a new planner and no plan."""
        models = Models.of(self.project.document)
        models.project.copy_state_from(self.project)
        models.selection.copy_state_from(self.selection)
        self.imports.hand_over(models.imports.add)
        return models

    def set_parent(self, parent: QObject) -> None:
        """Gives the models a parent, whose lifetime they share."""
        models = self.messages, self.project, self.selection, self.origin, self.planning, self.imports, self.samples
        for model in models:
            model.setParent(parent)

    def cancel(self) -> None:
        """Cancels reading and planning."""
        self.imports.cancel()
        self.planning.cancel()

    def close(self) -> None:
        """Ends the planner and the reading of files."""
        self.imports.close()
        self.samples.close()
        self.planning.close()
