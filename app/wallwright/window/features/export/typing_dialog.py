"""What to type at a machine that takes drawings, shown when its files are written."""

from __future__ import annotations

import json
import logging
from collections.abc import Sequence
from pathlib import Path

import msgspec
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QTextBrowser, QVBoxLayout, QWidget

from wallwright.document.language import tr
from wallwright.jobs.sheet.drawing_section import typing_html
from wallwright.jobs.what_to_type import WhatToType
from wallwright.window.features.guide.feature import add_help_button
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.screen_size import resize_within_screen


def typing_of_files(paths: Sequence[Path]) -> WhatToType | None:
    """What the report among written files says of typing; None for machines of other kinds."""
    for path in paths:
        if path.suffix == ".json":
            try:
                content = json.loads(path.read_bytes())
                if isinstance(content, dict) and "what_to_type" in content:
                    return msgspec.convert(content["what_to_type"], WhatToType)
            except (OSError, ValueError, msgspec.ValidationError):
                logging.getLogger("wallwright").exception("the report %s cannot be read", path)
    return None


STYLE = """th { text-align: left; font-weight: normal; padding-right: 12px; padding-bottom: 3px; }
td { padding-right: 12px; padding-bottom: 3px; }
h2 { font-size: large; }"""
"""Tables as on the hanging sheet, in the window's colours."""


class TypingDialog(QDialog):
    """Stays open beside the window while the person types."""

    def __init__(self, what: WhatToType, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(tr("What to type"))
        self.text = QTextBrowser()
        self.text.document().setDefaultStyleSheet(STYLE)
        self.text.setHtml(typing_html(what))
        explain(self.text, tr("The same is on the hanging sheet."), tr("What to type"))
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        add_help_button(buttons, "files")
        buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.addWidget(self.text)
        layout.addWidget(buttons)
        resize_within_screen(self, 640, 520)
