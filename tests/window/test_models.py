"""The models of a window: document and selection keep together, and the planner's answers arrive as signals."""

import time

import pytest
from PySide6.QtCore import QTimer

from tests.planning.test_pictures import picture_document
from tests.support.planners import Scripted
from wallwright.document import edits, edits_hangings, edits_keep_outs
from wallwright.planning.demo import demo_document
from wallwright.planning.plan import Goal, StyleSample
from wallwright.strokes.strokes import Strokes
from wallwright.window.model.items import (
    WALL,
    GuideLineItem,
    HangingItem,
    KeepOutItem,
    PartItem,
    PenItem,
    PlacementItem,
    box_of,
    parent_of,
    together,
    toggled,
)
from wallwright.window.model.models import Models


class SlowPlanner:
    """A planner whose worker is still busy with what was given up."""

    def __init__(self) -> None:
        self.deadline = None
        self.notify = None
        self.busy = False
        self.polled: list[float] = []

    def start(self) -> None:
        pass

    def submit(self, request) -> None:
        self.busy = True

    def cancel(self) -> None:
        self.busy = False
        self.deadline = time.monotonic() + 0.05

    def poll(self) -> list:
        self.polled.append(time.monotonic())
        if self.deadline is not None and self.polled[-1] >= self.deadline:
            self.deadline = None
        return []

    def close(self) -> None:
        pass


@pytest.fixture
def models(qtbot):
    models = Models.of(demo_document())
    yield models
    models.close()


@pytest.fixture
def slow(qtbot):
    planner = SlowPlanner()
    models = Models.of(demo_document(), planner)
    yield models, planner
    models.close()


def test_a_plan_arrives_though_nothing_asks_for_it(qtbot, models):
    planning, repeating = models.planning, []
    planning.progress_changed.connect(
        lambda *_: repeating.extend(t for t in planning.findChildren(QTimer) if t.isActive() and not t.isSingleShot())
    )
    with qtbot.waitSignal(planning.preview_changed, timeout=60_000):
        planning.plan_now()
    qtbot.waitUntil(lambda: planning.plan_is_final, timeout=60_000)
    assert repeating == [] and not planning.is_planning and planning.fresh_plan is planning.plan


def test_a_worker_that_does_not_stop_is_seen_to_at_its_deadline_and_then_left_alone(qtbot, slow):
    models, planner = slow
    models.planning.plan_now()
    qtbot.wait(80)
    assert planner.polled == [], "there is no news and no deadline"
    models.planning.cancel()
    deadline = planner.deadline
    qtbot.waitUntil(lambda: planner.deadline is None)
    assert planner.polled[0] >= deadline
    count = len(planner.polled)
    qtbot.wait(80)
    assert len(planner.polled) == count


def test_an_edit_reaches_selection_and_planning_before_those_who_show_it(qtbot, models):
    project, selection = models.project, models.selection
    selection.select(PlacementItem("placement-1"))
    seen = []
    project.changed.connect(lambda: seen.append((selection.items, models.planning.plan_is_stale)))
    project.edit("Remove", edits.replace(project.document, placements=()))
    assert seen == [((WALL,), True)]
    project.undo()
    assert selection.item == WALL, "what was taken away is not selected again"


def test_the_current_hanging_is_one_there_is(qtbot, models):
    project, selection = models.project, models.selection
    project.edit("Add", edits_hangings.duplicate_hanging(project.document, 0))
    changes = []
    selection.hanging_changed.connect(lambda: changes.append(selection.hanging))
    selection.select(HangingItem(1))
    assert selection.hanging == 1
    project.undo()
    assert selection.hanging == 0 and changes == [1, 0]
    assert selection.item == WALL


def test_selecting_ends_a_step_of_undo(qtbot, models):
    project = models.project
    before = project.document
    project.set_field("Mass", "machine.body.mass", 0.8, merge="mass")
    models.selection.select(PenItem("black"))
    project.set_field("Mass", "machine.body.mass", 0.9, merge="mass")
    project.undo()
    assert project.document.machine.body.mass == 0.8
    project.undo()
    assert project.document is before and project.is_dirty is False


def test_what_is_refused_changes_nothing_and_is_reported(qtbot, models):
    messages, before = [], models.project.document
    models.messages.new_message.connect(messages.append)
    assert not models.project.set_field("Mass", "machine.body.mass", -1.0)
    assert models.project.document is before and len(messages) == 1 and messages[0].endswith(".")


def test_loading_leaves_nothing_of_the_last_document(qtbot, models):
    models.selection.select(PlacementItem("placement-1"))
    models.project.set_field("Mass", "machine.body.mass", 0.8)
    other = demo_document()
    models.project.load(other, None)
    assert models.selection.items == (WALL,) and not models.project.history.past
    assert models.planning.preview is None and models.planning.plan is None and not models.project.is_dirty


def test_a_successor_continues_with_history_file_and_selection(qtbot, models):
    models.project.set_field("Mass", "machine.body.mass", 0.8)
    models.selection.select(PlacementItem("placement-1"))
    successor = models.successor()
    assert successor.project.document is models.project.document and successor.project.is_dirty
    assert successor.selection.items == models.selection.items
    successor.project.undo()
    assert successor.project.document == demo_document()
    successor.close()


def test_items_say_whether_they_exist_and_where():
    document = edits_keep_outs.add_keep_out(
        demo_document(), "Door", edits_keep_outs.rectangle((100.0, 200.0), (300.0, 500.0))
    )
    last = len(document.wall.keep_outs) - 1
    assert KeepOutItem(last).exists(document) and not KeepOutItem(last + 1).exists(document)
    assert KeepOutItem(last).box(document) == (100.0, 200.0, 300.0, 500.0)
    for item in (
        GuideLineItem(99),
        PenItem("none"),
        PlacementItem("none"),
        PartItem("none"),
        HangingItem(99),
    ):
        assert not item.exists(document)
    wall = document.wall
    assert box_of(document, (PenItem("black"),)) == (wall.left, wall.top, wall.right, wall.floor)
    both = box_of(document, (KeepOutItem(last), PlacementItem("placement-1")))
    assert both[0] <= 100.0 and both[1] <= 200.0


def test_only_placements_are_selected_several_at_once():
    one, two, pen = PlacementItem("a"), PlacementItem("b"), PenItem("black")
    assert together((one, two, one)) == (one, two)
    assert together((pen, HangingItem(0))) == (HangingItem(0),) and together(()) == (WALL,)
    assert together((pen, one)) == (one,)
    assert toggled((one,), two) == (one, two) and toggled((one, two), one) == (two,)
    assert toggled((one,), one) == (WALL,) and toggled((one, two), pen) == (pen,)
    part = PartItem("a", "#c02020")
    assert parent_of(part) == one and parent_of(one) == WALL and parent_of(None) == WALL


def test_what_is_selected_exists_whenever_a_change_is_announced():
    """Removing the selected last hanging changes both the current hanging and the selection."""
    models = Models.of(demo_document())
    before = models.project.document
    models.project.edit("Beside", edits.replace(before, hangings=before.hangings * 2))
    models.selection.select(HangingItem(1))
    seen = []
    for signal in (models.origin.changed, models.selection.hanging_changed, models.selection.changed):
        signal.connect(lambda: seen.append((models.selection.hanging, models.selection.items)))
    models.project.undo()
    assert seen == [(0, (WALL,))] * 3
    models.close()


def test_pictures_wait_for_plans_unless_somebody_looks_for_them(qtbot):
    """Then samples are made beside the plan, which goes on."""
    planner, sampler = Scripted(), Scripted()
    models = Models.of(picture_document(), planner, sampler)
    planning, samples = models.planning, models.samples
    planning.plan_now()
    assert not planning.sample_styles("placement-1") and not planning.paint_sheet()
    samples.want("placement-1")
    assert not samples.is_sampling and sampler.requests == []
    samples.want("placement-1", at_once=True)
    assert planning.is_planning and samples.is_sampling
    assert [r.goal for r in planner.requests] == [Goal.PLAN] and [r.goal for r in sampler.requests] == [Goal.SAMPLES]
    planner.answer()
    planning.receive()
    assert not planning.is_planning and samples.is_sampling and len(planner.requests) == 1
    sampler.answer(final=False, sample=StyleSample("stipple", Strokes.empty(), (30.0, 20.0)))
    samples.receive()
    assert list(samples.found) == ["stipple"] and samples.is_sampling
    paler = edits.set_field(models.project.document, "placements.0.picture.lightness", 0.4)
    models.project.edit("Paler", paler)
    assert not samples.is_sampling, "samples of the picture as it was are no longer wanted"
    models.close()


def test_placements_without_ink_are_shown_as_read_until_their_ink_comes(qtbot):
    planner, seen = Scripted(), []
    models = Models.of(demo_document(), planner)
    planning = models.planning
    planning.unseen_changed.connect(lambda: seen.append((planning.unseen, dict(planning.pictures))))
    planning.plan_now()
    assert planner.requests[-1].unseen == ("placement-1",)
    planner.answer(final=False, pictures={"placement-1": b"PNG"})
    planning.receive()
    planner.answer(trouble="It cannot be read.")
    planning.receive()
    assert seen == [(("placement-1",), {}), (("placement-1",), {"placement-1": b"PNG"}), ((), {})]
    models.close()
