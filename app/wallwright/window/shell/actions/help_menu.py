"""The Help menu."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QWhatsThis

from wallwright.window.shell.action import Action
from wallwright.window.shell.action_ids import ActionId as Id
from wallwright.window.shell.window_parts import WindowParts

Key = QKeySequence.StandardKey


# Dialogs are imported on first use, for a faster start.


def _show_guide(parts: WindowParts) -> None:
    from wallwright.window.features.guide.feature import show_guide

    show_guide(parts.widget)


def _find_command(parts: WindowParts, actions: tuple[Action, ...]) -> None:
    from wallwright.window.shell.command_search import find_command

    find_command(parts, actions)


def _show_shortcuts(parts: WindowParts, actions: tuple[Action, ...]) -> None:
    from wallwright.window.shell.help import show_shortcuts

    show_shortcuts(parts.widget, actions, parts.actions)


def _show_cautions(parts: WindowParts) -> None:
    from wallwright.window.shell.help import show_cautions

    show_cautions(parts.widget)


def _save_help_report(parts: WindowParts) -> None:
    from wallwright.window.features.help_report.feature import save_help_report

    save_help_report(parts.models, parts.widget)


def _show_about(parts: WindowParts) -> None:
    from wallwright.window.shell.help import show_about

    show_about(parts.widget, parts.log_file)


def help_actions(actions: Callable[[], tuple[Action, ...]]) -> tuple[Action, ...]:
    """Returns the actions of the menu. actions: returns all actions of the program."""
    return (
        Action(
            Id.GUIDE,
            "Help",
            "&Guide",
            "From the first job to troubleshooting at the wall, with search.",
            _show_guide,
            Key.HelpContents,
        ),
        Action(
            Id.SEARCH,
            "Help",
            "&Find a command or a setting…",
            "Search by words for what you want to do or set. Enter runs the command or opens the field.",
            lambda w: _find_command(w, actions()),
            "Ctrl+K",
        ),
        Action(
            Id.WHATS_THIS,
            "Help",
            "&What's this?",
            "Click anything to read what it does.",
            lambda w: QWhatsThis.enterWhatsThisMode(),
            Key.WhatsThis,
        ),
        Action(
            Id.SHORTCUTS,
            "Help",
            "&Shortcuts",
            "All commands with their keys.",
            lambda w: _show_shortcuts(w, actions()),
            "Ctrl+F1",
        ),
        Action(
            Id.CAUTIONS,
            "Help",
            "&Cautions",
            "Dangers at the wall and how to avoid them.",
            _show_cautions,
            apart=True,
        ),
        Action(
            Id.HELP_REPORT,
            "Help",
            "Save a &report…",
            "Puts log, versions and settings into one file that you can give to whoever helps you. Nothing is sent.",
            _save_help_report,
        ),
        Action(
            Id.ABOUT,
            "Help",
            "&About Wallwright",
            "Version, log file and licences.",
            _show_about,
        ),
    )
