"""The models under the names of the one class that they were, for what does not use them yet; it goes with its last user."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from PySide6.QtCore import QObject

from wallwright.document.document import Document
from wallwright.planning.planner import Planner
from wallwright.window.model import items, selection
from wallwright.window.model.items import Item
from wallwright.window.model.models import Models

PROJECT = {"document": "document", "history": "history", "saved": "saved", "path": "path", "disk": "disk",
           "dirty": "is_dirty", "name": "name", "edit": "edit", "set_field": "set_field", "undo": "undo", "redo": "redo",
           "abandon_step": "abandon_step", "load": "load", "mark_saved": "mark_saved", "document_changed": "changed",
           "file_changed": "file_changed"}  # fmt: skip
SELECTION = {"hanging": "hanging", "placement_id": "placement_id", "placement_ids": "placement_ids",
             "placements": "placements", "take_in_hand": "set_current_hanging", "selection_changed": "changed",
             "hanging_changed": "hanging_changed"}  # fmt: skip
PLANNING = {"preview": "preview", "preview_document": "preview_document", "plan": "plan",
            "plan_document": "plan_document", "plans": "plans", "saving": "saving", "plan_is_stale": "plan_is_stale",
            "plan_is_final": "plan_is_final", "planning": "is_planning", "exportable": "is_exportable",
            "searching": "is_searching", "report_of": "report_of", "plan_now": "plan_now", "plan_every": "plan_every",
            "export": "export", "plan_rest": "plan_continuation", "good_enough": "end_search",
            "preview_changed": "preview_changed", "plan_changed": "plan_changed",
            "progress_changed": "progress_changed", "search_ended": "search_ended",
            "rest_answered": "continuation_answered", "exported": "exported", "_receive": "receive",
            "_request": "_request", "_planner": "_planner", "_soon": "_soon"}  # fmt: skip
FORWARD = (
    {old: ("project", new) for old, new in PROJECT.items()}
    | {old: ("selection", new) for old, new in SELECTION.items()}
    | {old: ("planning", new) for old, new in PLANNING.items()}
    | {
        "trouble": ("messages", "said"),
        "reading": ("imports", "is_busy"),
        "add_files": ("imports", "add_files"),
    }
)


def key_of(item: Item) -> str:
    """An item as a string, like "hanging:0"."""
    match item:
        case items.HangingItem(number):
            return f"hanging:{number}"
        case items.KeepOutItem(number):
            return f"keepout:{number}"
        case items.GuideLineItem(number):
            return f"line:{number}"
        case items.PenItem(pen):
            return f"pen:{pen}"
        case items.PlacementItem(placement):
            return f"placement:{placement}"
        case items.PartItem(placement, colour, group):
            return selection.PartSelection(placement, colour, group).key
        case items.MachineItem():
            return "machine"
        case items.PhotoItem():
            return "photo"
        case items.WallItem():
            return "wall"


def item_of(key: str | Item | selection.PartSelection) -> Item:
    """The item of such a string."""
    if isinstance(key, selection.PartSelection):
        key = key.key
    if not isinstance(key, str):
        return key
    part = selection.PartSelection.of(key)
    if part is not None:
        return items.PartItem(part.placement, part.colour, part.group)
    kind, _, name = key.partition(":")
    match kind:
        case "hanging":
            return items.HangingItem(int(name))
        case "keepout":
            return items.KeepOutItem(int(name))
        case "line":
            return items.GuideLineItem(int(name))
        case "pen":
            return items.PenItem(name)
        case "placement":
            return items.PlacementItem(name)
        case "machine":
            return items.MACHINE
        case "photo":
            return items.PHOTO
        case _:
            return items.WALL


class Session(QObject):
    """Attributes of `models` under their old names; selected items as strings."""

    def __init__(self, document: Document | Models, planner: Planner | None = None) -> None:
        super().__init__()
        self.models = document if isinstance(document, Models) else Models.of(document, planner)
        self.imports = self.models.imports

    def __getattr__(self, name: str) -> Any:
        model, attribute = FORWARD.get(name, ("", ""))
        if not model:
            raise AttributeError(name)
        return getattr(getattr(self.models, model), attribute)

    def __setattr__(self, name: str, value: object) -> None:
        if name in FORWARD:
            model, attribute = FORWARD[name]
            setattr(getattr(self.models, model), attribute, value)
        else:
            super().__setattr__(name, value)

    @property
    def selection(self) -> str:
        item = self.models.selection.item
        return selection.SEVERAL if item is None else key_of(item)

    @property
    def chosen(self) -> tuple[str, ...]:
        return tuple(map(key_of, self.models.selection.items))

    @chosen.setter
    def chosen(self, keys: Sequence[str]) -> None:
        self.models.selection.items = tuple(map(item_of, keys))

    def select(self, *keys: str | Item) -> None:
        self.models.selection.select(*map(item_of, keys))

    def cancel(self) -> None:
        self.models.cancel()

    def close(self) -> None:
        self.models.close()
