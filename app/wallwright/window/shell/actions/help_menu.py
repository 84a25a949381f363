"""The Help menu."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QWhatsThis

from wallwright.window.features.guide.feature import show_guide
from wallwright.window.features.help_report.feature import save_help_report
from wallwright.window.shell import help
from wallwright.window.shell.action import Action
from wallwright.window.shell.action_ids import ActionId as Id
from wallwright.window.shell.command_search import find_command

Key = QKeySequence.StandardKey


def help_actions(actions: Callable[[], tuple[Action, ...]]) -> tuple[Action, ...]:
    """Its actions. actions: gives all of the program."""
    return (
        Action(
            Id.GUIDE,
            "Help",
            "&Guide",
            "From the first job to troubleshooting at the wall, with search.",
            lambda w: show_guide(w.widget),
            Key.HelpContents,
        ),
        Action(
            Id.SEARCH,
            "Help",
            "&Find a command…",
            "Search by words for what you want to do. Enter runs the command.",
            lambda w: find_command(w.widget, actions(), w.actions),
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
            lambda w: help.show_shortcuts(w.widget, actions(), w.actions),
            "Ctrl+F1",
        ),
        Action(
            Id.CAUTIONS,
            "Help",
            "&Cautions",
            "Dangers at the wall and how to avoid them.",
            lambda w: help.show_cautions(w.widget),
            apart=True,
        ),
        Action(
            Id.HELP_REPORT,
            "Help",
            "Save a &report…",
            "Puts log, versions and settings into one file that you can give to whoever helps you. Nothing is sent.",
            lambda w: save_help_report(w.models, w.widget),
        ),
        Action(
            Id.ABOUT,
            "Help",
            "&About Wallwright",
            "Version, log file and licences.",
            lambda w: help.show_about(w.widget, w.log_file),
        ),
    )
