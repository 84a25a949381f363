"""Several windows of one process, and the language they speak."""

import gc
import weakref
from types import SimpleNamespace

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, QLocale, Qt
from PySide6.QtGui import QFileOpenEvent, QKeySequence
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox

from tests.support.opening import wait_for_files
from wallwright.document.errors import BadValue
from wallwright.document.language import Language, set_language, tr
from wallwright.document.project import write_project
from wallwright.document.typed_numbers import evaluate, evaluate_pair
from wallwright.planning.demo import demo_document
from wallwright.window.application.language_choice import apply_language, wanted_language
from wallwright.window.application.main import DesktopApplication, program_icon
from wallwright.window.application.windows import Windows
from wallwright.window.model import recovery
from wallwright.window.model.items import MACHINE
from wallwright.window.model.settings import choose_language
from wallwright.window.widgets.number_field import NumberField
from wallwright.window.widgets.pair_field import pair_text


@pytest.fixture
def windows(qtbot, monkeypatch):
    monkeypatch.setenv("LC_ALL", "C.UTF-8")
    windows = Windows()
    yield windows
    for window in list(windows.open):
        window.models.project.saved = window.models.project.document
        window.close()
    assert not windows.open
    monkeypatch.setenv("WALLWRIGHT_LANGUAGE", "en")
    apply_language(QApplication.instance())  # Qt's own words too


def test_each_window_has_its_own_document_and_recovery_file(qtbot, windows):
    first, second = windows.make(), windows.another()
    assert second.parts.start.is_shown
    first.models.project.set_field("Mass", "machine.body.mass", 0.9)
    second.models.project.set_field("Mass", "machine.body.mass", 0.8)
    qtbot.waitUntil(lambda: first.files.autosave.file.exists() and second.files.autosave.file.exists(), timeout=5000)
    kept = {recovery.read_project(w.files.autosave.file).machine.body.mass for w in windows.open}
    assert kept == {0.9, 0.8}
    first.models.project.undo()
    assert second.models.project.document.machine.body.mass == 0.8 and not first.models.project.is_dirty


def test_a_project_is_open_once(qtbot, windows, tmp_path, monkeypatch):
    path = tmp_path / "one.wallwright"
    write_project(path, demo_document())
    first = windows.another(path)
    wait_for_files(qtbot, first)
    assert first.models.project.path == path
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *a: (str(path), ""))
    first.parts.actions["open-in-window"].trigger()
    assert len(windows.open) == 1  # it is here already
    second = windows.another()
    second.parts.actions["open"].trigger()
    wait_for_files(qtbot, second)
    assert second.parts.start.is_shown and len(windows.open) == 2


def test_files_that_the_desktop_wants_open(qtbot, windows, tmp_path):
    paths = [tmp_path / name for name in ("one.wallwright", "two.wallwright")]
    for path in paths:
        write_project(path, demo_document())
    first = windows.another()
    wanted = SimpleNamespace(file_wanted=SimpleNamespace(emit=windows.open_wanted))
    for path in (*paths, paths[1]):  # as macOS sends them; the second one twice
        assert DesktopApplication.event(wanted, QFileOpenEvent(str(path)))
        wait_for_files(qtbot, windows.open[-1])
    assert [window.models.project.path for window in windows.open] == paths
    assert windows.open[0] is first


def test_the_program_has_an_icon():
    assert not program_icon().pixmap(48, 48).isNull()


def test_closed_windows_are_gone(qtbot, windows):
    def delete_closed():
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)  # as the program's event loop does
        gc.collect()

    windows.another().close()  # what all windows share is made with the first one
    delete_closed()
    widgets, windows_before = len(QApplication.allWidgets()), []
    for _ in range(2):
        window = windows.another()
        window.models.project.load(demo_document(), None)
        windows_before += map(weakref.ref, (window, window.models.project, window.models.planning, window.canvas))
        window.close()
        del window
        delete_closed()
    assert [kept() for kept in windows_before if kept() is not None] == []
    assert len(QApplication.allWidgets()) <= widgets


def test_quitting_stops_at_the_window_that_stays(qtbot, windows, monkeypatch):
    first, second = windows.make(), windows.make()
    second.models.project.set_field("Mass", "machine.body.mass", 0.8)
    monkeypatch.setattr(QMessageBox, "question", lambda *a, **k: QMessageBox.StandardButton.Cancel)
    first.parts.actions["quit"].trigger()
    assert windows.open == [second]


def test_another_language_keeps_document_history_and_kept_work(qtbot, windows):
    old = windows.make()
    old.models.project.load(demo_document(), None)
    old.models.project.set_field("Mass", "machine.body.mass", 0.9)
    qtbot.waitUntil(old.files.autosave.file.exists, timeout=5000)
    document, past = old.models.project.document, [before for _, before in old.models.project.history.past]
    choose_language("de")
    windows.retranslate()
    (new,) = windows.open
    assert new is not old and new.models.project.document is document
    assert [before for _, before in new.models.project.history.past] == past
    assert new.models.project.is_dirty and recovery.read_project(new.files.autosave.file) == document
    assert len(list(recovery.folder().glob("*.wallwright"))) == 1
    qtbot.waitUntil(lambda: not new.models.planning.plan_is_stale, timeout=60_000)
    assert "Im Zeichenbereich" in [check.title for check in new.models.planning.plan.checks]  # the planner speaks along


def test_titles_of_edits_come_in_the_language_of_the_menu_that_undoes_them(qtbot, windows):
    """ "Rückgängig: Paler picture" was seen."""
    window = windows.another()
    project = window.models.project
    for title in ("Paler picture", "A title of no catalogue"):
        project.set_field(tr(title), "machine.body.mass", project.document.machine.body.mass + 0.1)
    project.undo()
    for code, undone in (("de", "Blasseres Bild"), ("en", "Paler picture")):
        choose_language(code)
        windows.retranslate()
        history = windows.open[-1].models.project.history
        assert history.past[-1][0] == undone and history.future[-1][0] == "A title of no catalogue"
        assert windows.open[-1].parts.actions["undo"].text().endswith(f": {undone}")


def test_the_language_is_the_environments_then_the_persons_then_the_systems(monkeypatch, windows):
    choose_language("de")
    assert wanted_language() == Language("de", ",")
    monkeypatch.setenv("WALLWRIGHT_LANGUAGE", "en")
    assert wanted_language() == Language("en", ".")
    monkeypatch.setattr(QLocale, "system", staticmethod(lambda: QLocale("de_CH")))
    monkeypatch.setenv("WALLWRIGHT_LANGUAGE", "")
    monkeypatch.setenv("LC_ALL", "de_CH.UTF-8")
    assert wanted_language() == Language(
        "de", "."
    )  # Switzerland writes 1.5 (Unicode CLDR 44, de_CH, decimal; from memory)
    choose_language("")
    assert wanted_language() == Language("de", ".")


@pytest.mark.parametrize("formats", ["C.UTF-8", "C", "POSIX", ""])
def test_a_language_without_formats_has_its_usual_decimal_sign(monkeypatch, formats):
    """LANGUAGE=de alone once wrote 0.75 kg within German sentences, and the pair -60, 0. GNU gettext manual, "The
    LANGUAGE variable": it names languages of texts; POSIX.1-2017, XBD 8.2: LC_ALL, then LC_NUMERIC, then LANG rule numbers."""
    monkeypatch.setattr(QLocale, "system", staticmethod(lambda: QLocale("de_CH")))
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setenv("WALLWRIGHT_LANGUAGE", "de")
    monkeypatch.delenv("LC_NUMERIC", raising=False)
    monkeypatch.delenv("LC_ALL", raising=False)
    monkeypatch.setenv("LANG", formats)
    assert wanted_language() == Language("de", ",")
    monkeypatch.setenv("LC_NUMERIC", "de_CH.UTF-8")
    assert wanted_language() == Language("de", ".")


def test_qt_speaks_along(qtbot, windows):
    choose_language("de")
    apply_language(QApplication.instance())
    assert QApplication.translate("QPlatformTheme", "Cancel") == "Abbrechen"
    native = QKeySequence.SequenceFormat.NativeText
    assert QKeySequence("Ctrl+Return").toString(native) == "Strg+Eingabe"  # no German keyboard has a key Return
    choose_language("en")
    apply_language(QApplication.instance())
    assert QApplication.translate("QPlatformTheme", "Cancel") == "Cancel"


@pytest.mark.parametrize(
    ("text", "decimal", "value"),
    [
        ("1,5 m", ",", 1500),
        ("1.5 m", ",", 1500),
        ("1,5 m / 3", ".", 500),
        ("0,125", ",", 0.125),
        ("2.032", ".", 2.032),
    ],
)
def test_either_decimal_sign_is_read(windows, text, decimal, value):
    set_language(Language("de" if decimal == "," else "en", decimal))
    assert evaluate(text, "mm") == pytest.approx(value)


@pytest.mark.parametrize(("text", "decimal"), [("1.000", ","), ("2,400 mm", "."), ("3 * 1,000", ".")])
def test_a_sign_that_may_group_thousands_is_not_guessed_at(windows, text, decimal):
    set_language(Language("de" if decimal == "," else "en", decimal))
    with pytest.raises(BadValue, match=r"two ways|zwei"):
        evaluate(text, "mm")


def test_fields_show_and_take_numbers_as_the_person_writes_them(qtbot, windows):
    choose_language("de")
    apply_language(QApplication.instance())
    window = windows.another()
    window.models.project.load(demo_document(), None)
    window.models.selection.select(MACHINE)
    mass = next(f for f in window.findChildren(NumberField) if f.quantity.name == "mass")
    assert mass.text() == "0,75 kg"
    mass.setFocus()
    mass.selectAll()
    qtbot.keyClicks(mass, "0,6 + 0,25")
    qtbot.keyClick(mass, Qt.Key.Key_Return)
    assert window.models.project.document.machine.body.mass == pytest.approx(0.85) and mass.text() == "0,85 kg"
    assert pair_text(-60.0, 20.25) == "−60; 20,25 mm" and evaluate_pair(pair_text(-60.0, 20.25)) == (-60.0, 20.25)
