"""What the positions in a window are measured from: rulers, fields and readouts follow one choice. No widgets."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from wallwright.document.language import tr
from wallwright.document.origin import Origin, OriginKind, left_anchor, wall_corner
from wallwright.window.model.project_model import ProjectModel
from wallwright.window.model.selection_model import SelectionModel
from wallwright.window.model.settings import choose_origin, chosen_origin


class OriginModel(QObject):
    """The left anchor of the current hanging, or where the wall's left edge meets the floor."""

    changed = Signal()
    """Positions are measured from somewhere else."""

    def __init__(self, project: ProjectModel, selection: SelectionModel) -> None:
        super().__init__()
        self._project, self._selection = project, selection
        self._kind: OriginKind = chosen_origin()
        selection.hanging_changed.connect(self.changed)

    @property
    def kind(self) -> OriginKind:
        """Which of the two."""
        return self._kind

    @property
    def present(self) -> Origin:
        """The origin on the wall as it is now."""
        return self.of_kind(self._kind)

    def of_kind(self, kind: OriginKind) -> Origin:
        """What the origin would be with another choice."""
        document = self._project.document
        if kind == "wall":
            return wall_corner(document)
        return left_anchor(document, document.hangings[min(self._selection.hanging, len(document.hangings) - 1)])

    def title(self, kind: OriginKind) -> str:
        """An origin as a choice."""
        if kind == "wall":
            return tr("Wall edge and floor")
        name = self.of_kind(kind).hanging
        return tr("Left anchor of {0}", name) if name else tr("Left anchor")

    def choose(self, kind: OriginKind) -> None:
        """Measures from somewhere else; the choice is kept for the next start."""
        if kind != self._kind:
            self._kind = kind
            choose_origin(kind)
            self.changed.emit()

    def toggle(self) -> None:
        """Measures from the other one."""
        self.choose("anchor" if self._kind == "wall" else "wall")
