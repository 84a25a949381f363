"""Walls and machines kept under a name for new projects."""

from PySide6.QtWidgets import QComboBox, QInputDialog

from wallwright.document import edits
from wallwright.document.saved_presets import read_presets
from wallwright.planning.demo import demo_document
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.features.start.guide import GuidedStart
from wallwright.window.model.models import Models


def test_a_wall_and_a_machine_are_kept_for_new_projects(qtbot, monkeypatch):
    document = edits.set_field(demo_document(), "machine.body.mass", 0.91)
    window = ProjectWindow(Models.of(document))
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    monkeypatch.setattr(QInputDialog, "getText", lambda *args, text: (f"{text} again", True))
    window.files.keep_wall()
    window.files.keep_machine()
    kept = read_presets()
    assert [(t.name, t.wall, t.hanging.right) for t in kept.walls] == [
        ("Boat-house wall again", document.wall, document.hangings[0].right)
    ]
    assert [(m.name, m.body) for m in kept.machines] == [(f"{document.machine.name} again", document.machine.body)]
    form = GuidedStart()
    qtbot.addWidget(form)
    form.show_page(2)
    offered = [box.itemText(i) for box in form.findChildren(QComboBox) for i in range(box.count())]
    assert "Boat-house wall again" in offered and f"{document.machine.name} again" in offered


def test_a_template_without_a_name_is_told(qtbot, monkeypatch):
    window = ProjectWindow(Models.of(demo_document()))
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    told = []
    window.models.messages.said.connect(told.append)
    monkeypatch.setattr(QInputDialog, "getText", lambda *args, text: ("  ", True))
    window.files.keep_wall()
    assert told == ["A saved wall or machine needs a name."] and read_presets().walls == ()
