"""Opening and saving projects, with questions about unsaved changes; recent files."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QFileDialog, QInputDialog, QMessageBox, QWidget

from wallwright.artwork.media import ARTWORK_FILES
from wallwright.document.atomic_write import link_target, remove_partial_files
from wallwright.document.document import Document
from wallwright.document.errors import UserError
from wallwright.document.file_state import ChangedMeanwhile, newer_state, save_project
from wallwright.document.language import tr
from wallwright.document.machine_file import read_machine, write_machine
from wallwright.document.project import SUFFIX
from wallwright.document.saved_presets import SavedPresets, read_presets, write_presets
from wallwright.window.application.changed_file import Decision, ask_about_change, backup, free_name
from wallwright.window.application.file_watch import FileWatch, is_open_elsewhere
from wallwright.window.features.start.thumbnails import keep_picture
from wallwright.window.model.host import WindowHost
from wallwright.window.model.models import Models
from wallwright.window.model.recovery import Autosave, RecoveredDocument
from wallwright.window.model.settings import keep_folder, last_folder, recent, remember

if TYPE_CHECKING:
    from wallwright.planning.file_reading import ReadProject


class FileCommands(QObject):
    """File commands of one window."""

    not_opened = Signal()
    """A project could not be opened."""

    def __init__(self, models: Models, windows: WindowHost | None = None) -> None:
        """windows: the windows of this process, if there can be several."""
        super().__init__()
        self.models, self._windows = models, windows
        self._window: QWidget | None = None
        self._left = models.project.document
        """The document that is being replaced by the project being opened."""
        self._again = False
        models.imports.opened.connect(self._show_opened)
        models.imports.not_opened.connect(lambda path: self.not_opened.emit())
        self.autosave = Autosave(models.project, models.messages)
        self.file_watch = FileWatch(models.project)
        self.file_watch.noticed.connect(models.messages.say)

    def set_window(self, window: QWidget) -> None:
        """Sets the parent window of dialogs."""
        self._window = window
        self.setParent(window)

    def close(self) -> None:
        """Ends file work when the window closes normally."""
        self.keep_picture()
        self.autosave.close()
        self.file_watch.close()

    # Questions about unsaved changes.

    def may_leave(self) -> bool:
        """Whether the document may be replaced: it is saved, or the person agrees."""
        if not self.models.project.is_dirty:
            self.keep_picture()
            return True
        Button = QMessageBox.StandardButton
        answer = QMessageBox.question(
            self._window,
            tr("Unsaved changes"),
            tr("Save the changes to “{0}” first?", self.models.project.name),
            Button.Save | Button.Discard | Button.Cancel,
            Button.Save,
        )
        if answer == Button.Save:
            return self.save()
        return answer == Button.Discard

    def demo(self) -> None:
        from wallwright.planning.demo import demo_document

        if self.may_leave():
            self.models.project.load(demo_document(), None)

    def example(self, id: str) -> None:
        from wallwright.planning.examples import EXAMPLES

        if self.may_leave():
            self.models.project.load(next(one for one in EXAMPLES if one.id == id).document(), None)

    def open(self) -> None:
        if not self.may_leave():
            return
        name, _ = QFileDialog.getOpenFileName(
            self._window, tr("Open a project"), last_folder("project", self._folder()), tr("Projects (*{0})", SUFFIX)
        )
        if name:
            keep_folder("project", Path(name))
            self.open_path(Path(name))

    def open_in_window(self) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self._window, tr("Open a project"), last_folder("project", self._folder()), tr("Projects (*{0})", SUFFIX)
        )
        if name:
            keep_folder("project", Path(name))
        if name and self._windows is not None and not self._windows.shows(Path(name)):
            self._windows.another(Path(name))

    def _shown_elsewhere(self, path: Path) -> bool:
        """Whether another window has the project open; brings that one to the front."""
        return self._windows is not None and self._windows.shows(path, besides=self._window)

    def open_path(self, path: Path, again: bool = False) -> None:
        """Starts to open a project or import artwork. The present document stays until it is read, or if it cannot be.
        again: even when another window of this process shows it."""
        path = _absolute(path)
        if path.suffix.lower() != SUFFIX:
            self.models.imports.add_files([path])
            return
        self._left, self._again = self.models.project.document, again
        self.models.imports.open(path)

    def _show_opened(self, read: ReadProject) -> None:
        if not self._again and self._shown_elsewhere(read.path):
            return
        if self.models.project.document is not self._left and not self.may_leave():
            return  # it was edited while the other one was read
        remove_partial_files(read.path)
        self.models.project.load(read.document, read.path, read.disk)
        remember(read.path)

    def save(self) -> bool:
        return self._save_to(self.models.project.path) if self.models.project.path else self.save_as()

    def save_as(self) -> bool:
        folder = Path(last_folder("project", self._folder()))
        start = str(self.models.project.path or folder / f"{self.models.project.name}{SUFFIX}")
        name, _ = QFileDialog.getSaveFileName(
            self._window, tr("Save the project"), start, tr("Projects (*{0})", SUFFIX)
        )
        if not name:
            return False
        path = Path(name)
        keep_folder("project", path)
        return self._save_to(path if path.suffix else path.with_suffix(SUFFIX))

    def _save_to(self, path: Path) -> bool:
        """Saves; asks first if somebody else has written the file since it was opened here."""
        known = self.models.project.disk if self._is_ours(path) else None
        try:
            if known is None and not self._is_ours(path) and not self._may_replace(path):
                return False
            while (theirs := newer_state(path, known) if known is not None else None) is not None:
                decision = ask_about_change(self._window, path, theirs, beside=self._windows is not None)
                if decision is Decision.CANCEL:
                    return False
                if decision is Decision.OPEN_THEIRS and self._windows is not None:
                    self._windows.another(path, again=True)
                    return False
                if decision is Decision.COPY:
                    path, known = free_name(path, " ({0})", 2), None
                    break
                backup(path)
                known = theirs
            disk = save_project(path, self.models.project.document, known)
        except ChangedMeanwhile:
            return self._save_to(path)  # written again between the question and the save
        except UserError as error:
            self.models.messages.say(str(error))
            return False
        self.models.project.mark_saved(path, disk)
        remember(path)
        self.keep_picture()
        self.models.messages.remark(tr("Saved as {0}.", path))
        return True

    def _is_ours(self, path: Path) -> bool:
        return self.models.project.path is not None and _same_file(path, self.models.project.path)

    def _may_replace(self, path: Path) -> bool:
        """Whether a file other than this window's own may be replaced; asks if another window has it open."""
        if not is_open_elsewhere(path, self.file_watch):
            return True
        box = QMessageBox(
            QMessageBox.Icon.Warning,
            tr("Open in another window"),
            tr("“{0}” is open in another window. Overwrite it?", path.name),
            parent=self._window,
        )
        over = box.addButton(tr("Overwrite"), QMessageBox.ButtonRole.DestructiveRole)
        box.setDefaultButton(box.addButton(QMessageBox.StandardButton.Cancel))
        box.exec()
        return box.clickedButton() is over

    def add_artwork(self) -> None:
        names, _ = QFileDialog.getOpenFileNames(
            self._window,
            tr("Add artwork"),
            last_folder("artwork", self._folder()),
            tr("Artwork ({0})", ARTWORK_FILES),
        )
        if names:
            keep_folder("artwork", Path(names[0]))
            is_first = not self.models.project.document.placements
            self.models.imports.add_files([Path(n) for n in names], is_filling=is_first)

    # For new projects.

    def keep_wall(self) -> None:
        """Saves wall and anchors by name; the start page offers them for new projects."""
        self._keep(
            tr("Save the wall for reuse"),
            self.models.project.document.hangings[0].name,
            SavedPresets.with_wall,
        )

    def keep_machine(self) -> None:
        """Saves the machine by name."""
        self._keep(
            tr("Save the machine for reuse"),
            self.models.project.document.machine.name,
            SavedPresets.with_machine,
        )

    def export_machine(self) -> None:
        """Saves the machine to a file."""
        machine = self.models.project.document.machine
        name, _ = QFileDialog.getSaveFileName(
            self._window,
            tr("Save the machine as a file"),
            str(Path(last_folder("machine", self._folder())) / f"{machine.name}.json"),
            tr("Machines ({0})", "*.json"),
        )
        if name:
            path = Path(name if name.lower().endswith(".json") else f"{name}.json")
            keep_folder("machine", path)
            self._with_machine_file(lambda: write_machine(path, machine))

    def import_machine(self) -> None:
        """Loads the machine from a file."""
        name, _ = QFileDialog.getOpenFileName(
            self._window,
            tr("Use a machine from a file"),
            last_folder("machine", self._folder()),
            tr("Machines ({0})", "*.json"),
        )
        if name:
            keep_folder("machine", Path(name))
            self._with_machine_file(
                lambda: self.models.project.set_field(tr("Machine from a file"), "machine", read_machine(Path(name)))
            )

    def _with_machine_file(self, action: Callable[[], object]) -> None:
        try:
            action()
        except UserError as error:
            self.models.messages.say(str(error).rstrip(".") + ".")

    def _keep(self, title: str, name: str, kept: Callable[[SavedPresets, str, Document], SavedPresets]) -> None:
        name, wanted = QInputDialog.getText(self._window, title, tr("Name"), text=name)
        if not wanted:
            return
        try:
            write_presets(kept(read_presets(), name, self.models.project.document))
        except UserError as error:
            self.models.messages.say(str(error).rstrip(".") + ".")
        else:
            self.models.messages.say(tr("“{0}” is saved. The start page offers it for new projects.", name.strip()))

    # From the start page.

    def begin(self, document: Document, artwork: tuple[Path, ...], harbour: bool) -> None:
        """Shows a new project and imports its first artwork."""
        from wallwright.planning.demo import NATURAL, with_harbour

        if self.may_leave():
            if harbour:
                from wallwright.planning.proposed_places import with_starts_clear_of_ink
                from wallwright.window.model.start_proposal import first_box

                box = first_box(document, 0, NATURAL[1] / NATURAL[0])
                middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2) if box is not None else None
                document = with_harbour(document, middle, box[2] - box[0] if box is not None else None)
                document = with_starts_clear_of_ink(document, [0], {})
            self.models.project.load(document, None)
            if artwork:
                self.models.imports.add_files(artwork, is_filling=True)

    def open_recent(self, path: Path) -> None:
        if self.may_leave():
            self.open_path(path)

    def recover(self, left: RecoveredDocument) -> None:
        """Shows a document recovered after a crash. It counts as unsaved, and its recovery file becomes this window's."""
        if self.may_leave():
            if not self.autosave.adopt(left):
                self.models.messages.say(tr("Another window has already opened this work."))
                return
            self.models.project.load(left.document, left.path, left.disk, is_saved=False)

    def keep_picture(self) -> None:
        """Stores a picture of the wall for the list of recent projects, as far as it is known."""
        path, planning = self.models.project.path, self.models.planning
        if path is not None and planning.preview is not None and planning.preview_document is not None:
            keep_picture(path, planning.preview_document, planning.preview.strokes)

    def _folder(self) -> str:
        last = recent()[:1]
        return str(
            self.models.project.path.parent if self.models.project.path else last[0].parent if last else Path.home()
        )


def _absolute(path: Path) -> Path:
    """Returns the absolute path, since after a crash the program starts in another folder. If the working folder was
    deleted, returns the path unchanged; opening it then reports the error."""
    try:
        return path.absolute()
    except OSError:
        return path


def _same_file(one: Path, other: Path) -> bool:
    """Whether two paths are the same file, through links too; also before it exists."""
    try:
        return _absolute(one) == _absolute(other) or link_target(one).resolve() == link_target(other).resolve()
    except (OSError, ValueError):
        return False
