"""The origin of the positions in a window, shared by rulers, fields and readouts. No widgets."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from wallwright.document.language import tr
from wallwright.document.origin import Origin, OriginKind, left_anchor, wall_corner
from wallwright.window.model.project_model import ProjectModel
from wallwright.window.model.selection_model import SelectionModel
from wallwright.window.model.settings import choose_origin, chosen_origin


class OriginModel(QObject):
    """Choice between the left anchor of the current hanging and the bottom left corner of the wall."""

    changed = Signal()
    """The origin has changed."""

    def __init__(self, project: ProjectModel, selection: SelectionModel) -> None:
        super().__init__()
        self._project, self._selection = project, selection
        self._kind: OriginKind = chosen_origin()
        selection.hanging_changed.connect(self.changed)

    @property
    def kind(self) -> OriginKind:
        """The chosen kind of origin."""
        return self._kind

    @property
    def present(self) -> Origin:
        """The current origin."""
        return self.of_kind(self._kind)

    def of_kind(self, kind: OriginKind) -> Origin:
        """Returns the origin of a kind."""
        document = self._project.document
        if kind == "wall":
            return wall_corner(document)
        return left_anchor(document, document.hangings[min(self._selection.hanging, len(document.hangings) - 1)])

    def title(self, kind: OriginKind) -> str:
        """Returns the title of a kind of origin."""
        if kind == "wall":
            return tr("Wall edge and floor")
        name = self.of_kind(kind).hanging
        return tr("Left anchor of {0}", name) if name else tr("Left anchor")

    def choose(self, kind: OriginKind) -> None:
        """Chooses a kind of origin and remembers it for the next start."""
        if kind != self._kind:
            self._kind = kind
            choose_origin(kind)
            self.changed.emit()

    def toggle(self) -> None:
        """Switches to the other kind."""
        self.choose("anchor" if self._kind == "wall" else "wall")
