"""The type of actions."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
from PySide6.QtGui import QKeySequence

from wallwright.window.shell.action_ids import ActionId
from wallwright.window.shell.window_parts import WindowParts


def always(parts: WindowParts) -> bool:
    """Condition of actions that can be used at any time."""
    return True


class Action(msgspec.Struct, frozen=True):
    """An action; title and help are translated where they are shown."""

    id: ActionId
    menu: str
    title: str
    help: str
    run: Callable[[WindowParts], object]
    shortcut: QKeySequence.StandardKey | str | None = None
    icon: str | None = None
    """Name of the icon in `widgets/icons.py`."""
    enabled: Callable[[WindowParts], bool] = always
    in_tool_bar: bool = False
    apart: bool = False
    """Whether a separator precedes it in its menu."""
