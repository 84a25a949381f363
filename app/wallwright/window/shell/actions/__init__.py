"""Table of all actions, from which menus, tool bar, command search and shortcuts are built. One module per menu."""

from __future__ import annotations

from wallwright.document.language import N_
from wallwright.window.shell.action import Action
from wallwright.window.shell.actions.add_menu import ADD_ACTIONS
from wallwright.window.shell.actions.arrange_menu import ARRANGE_ACTIONS
from wallwright.window.shell.actions.edit_menu import EDIT_ACTIONS
from wallwright.window.shell.actions.file_menu import FILE_ACTIONS
from wallwright.window.shell.actions.help_menu import help_actions
from wallwright.window.shell.actions.job_menu import JOB_ACTIONS
from wallwright.window.shell.actions.pens_menu import PENS_ACTIONS
from wallwright.window.shell.actions.view_menu import VIEW_ACTIONS

MENUS = (
    N_("File"),
    N_("Edit"),
    N_("Add"),
    N_("Arrange"),
    N_("Pens"),
    N_("View"),
    N_("Job"),
    N_("Help"),
)
MENU_TITLES = dict(
    zip(
        MENUS,
        (N_("&File"), N_("&Edit"), N_("&Add"), N_("A&rrange"), N_("&Pens"), N_("&View"), N_("&Job"), N_("&Help")),
        strict=True,
    )
)
"""Titles in the menu bar, with access keys."""

LEAVE_TOOLS = ("View", "Help")
"""Menus whose actions change nothing, so that an active tool stays active."""


def all_actions() -> tuple[Action, ...]:
    """Returns the table, for actions that list it."""
    return ACTIONS


ACTIONS: tuple[Action, ...] = (
    *FILE_ACTIONS,
    *EDIT_ACTIONS,
    *ADD_ACTIONS,
    *ARRANGE_ACTIONS,
    *PENS_ACTIONS,
    *VIEW_ACTIONS,
    *JOB_ACTIONS,
    *help_actions(all_actions),
)
