"""Selection and current hanging of one window. No widgets."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from wallwright.document.document import Placement
from wallwright.window.model.items import WALL, HangingItem, Item, PlacementItem, together
from wallwright.window.model.project_model import ProjectModel


class SelectionModel(QObject):
    """Selected items and the current hanging. Items removed by an edit are deselected."""

    changed = Signal()
    """The selection has changed."""
    hanging_changed = Signal()
    """The current hanging has changed."""

    def __init__(self, project: ProjectModel) -> None:
        super().__init__()
        self._project = project
        self.items: tuple[Item, ...] = (WALL,)
        """Selected items, at least one."""
        self.hanging = 0
        """Index of the current hanging, to which draw zone, machine, plan and checks refer."""
        project.loaded.connect(self._reset)
        project.changed.connect(self._follow_document)

    @property
    def item(self) -> Item | None:
        """The selected item; None if there are several."""
        return self.items[0] if len(self.items) == 1 else None

    @property
    def placement_ids(self) -> tuple[str, ...]:
        """Ids of all selected placements."""
        return tuple(item.placement for item in self.items if isinstance(item, PlacementItem))

    @property
    def placement_id(self) -> str | None:
        """Id of the selected placement; None unless there is exactly one."""
        return self.placement_ids[0] if len(self.placement_ids) == 1 else None

    @property
    def placements(self) -> tuple[Placement, ...]:
        """The selected placements, in the document's order."""
        ids = self.placement_ids
        return tuple(p for p in self._project.document.placements if p.id in ids)

    def select(self, *items: Item) -> None:
        """Selects an item or several placements; none: the wall. A selected hanging becomes the current one."""
        selected = together(items)
        if selected != self.items:
            self.items = selected
            self._project.close_step()
            self.changed.emit()
        if isinstance(selected[0], HangingItem):
            self.set_current_hanging(selected[0].number)

    def set_current_hanging(self, number: int) -> None:
        """Changes the current hanging."""
        if number != self.hanging:
            self.hanging = number
            self.hanging_changed.emit()

    def copy_state_from(self, other: SelectionModel) -> None:
        """Takes the selection of another model of the same document, before anything shows this one."""
        self.items, self.hanging = other.items, other.hanging

    def _reset(self) -> None:
        self.hanging = 0  # no signal: everything that shows a hanging also follows `changed` of the document
        self.select(WALL)

    def _follow_document(self) -> None:
        """Updates selection and hanging before emitting either signal, since listeners read both."""
        document = self._project.document
        hanging = min(self.hanging, len(document.hangings) - 1)
        items = together(item for item in self.items if item.exists(document))
        is_other_hanging, are_other_items = hanging != self.hanging, items != self.items
        self.hanging, self.items = hanging, items
        if is_other_hanging:
            self.hanging_changed.emit()
        if are_other_items:
            self._project.close_step()
            self.changed.emit()
