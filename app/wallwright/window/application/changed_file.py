"""Conflicts with changes to a project file by others: the question to the person, and backups of both versions."""

from __future__ import annotations

import enum
import shutil
from pathlib import Path

from PySide6.QtCore import QDateTime, QLocale
from PySide6.QtWidgets import QMessageBox, QWidget

from wallwright.document.atomic_write import os_reason
from wallwright.document.errors import BadFile
from wallwright.document.file_state import FileState
from wallwright.document.language import tr
from wallwright.document.whole_file import open_regular_file


class Decision(enum.Enum):
    """The person's choice."""

    SAVE_OVER = enum.auto()
    COPY = enum.auto()
    OPEN_THEIRS = enum.auto()
    CANCEL = enum.auto()


def ask_about_change(parent: QWidget | None, path: Path, theirs: FileState, beside: bool) -> Decision:
    """Asks what to do with the two versions. beside: whether another window can be opened."""
    when = QDateTime.fromMSecsSinceEpoch(theirs.modified_ns // 1_000_000)
    box = QMessageBox(
        QMessageBox.Icon.Warning,
        tr("The file has changed"),
        tr(
            "“{0}” was changed by another program or window after you opened it here ({1}).",
            path.name,
            QLocale().toString(when, QLocale.FormatType.ShortFormat),
        ),
        parent=parent,
    )
    role = QMessageBox.ButtonRole
    copy = box.addButton(tr("Save as a copy"), role.AcceptRole)
    over = box.addButton(tr("Overwrite"), role.DestructiveRole)
    theirs_beside = box.addButton(tr("Open the other version too"), role.ActionRole) if beside else None
    box.addButton(QMessageBox.StandardButton.Cancel)
    box.setDefaultButton(copy)
    box.setInformativeText(
        tr(
            "“Save as a copy” writes your version to “{0}” and leaves the other version unchanged. “Overwrite” "
            "first keeps the other version as “{1}”.",
            free_name(path, " ({0})", 2).name,
            backup_name(path).name,
        )
    )
    box.exec()
    chosen = box.clickedButton()
    box.deleteLater()
    if chosen is copy:
        return Decision.COPY
    if chosen is over:
        return Decision.SAVE_OVER
    return Decision.OPEN_THEIRS if chosen is theirs_beside and beside else Decision.CANCEL


def free_name(path: Path, form: str, first: int) -> Path:
    """Returns the first free path beside this one, with a number in the given form appended to its stem."""
    number = first
    while (free := path.with_stem(path.stem + form.format(number))).exists() or free.is_symlink():
        number += 1
    return free


def backup_name(path: Path) -> Path:
    """Returns the dated path for a backup of the version on disk."""
    dated = path.with_stem(f"{path.stem}-before-{QDateTime.currentDateTime().toString('yyyy-MM-dd')}")
    return dated if not dated.exists() else free_name(dated, "-{0}", 2)


def backup(path: Path) -> Path:
    """Copies the version on disk to another name. Raises BadFile on failure."""
    kept = backup_name(path)
    try:
        with open_regular_file(path, str(path)) as source, open(kept, "xb") as target:
            shutil.copyfileobj(source, target)
    except OSError as error:
        kept.unlink(missing_ok=True)
        raise BadFile(
            tr(
                "The other version could not be kept as {0} ({1}). Nothing was saved. Save under another name.",
                kept,
                os_reason(error),
            )
        ) from error
    return kept
