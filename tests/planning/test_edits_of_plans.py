"""A plan after an edit: a provisional one first, made from the last; then that of the document alone, whatever was planned
before."""

from pathlib import Path

import numpy as np
import pytest

from wallwright.document import edits
from wallwright.document.document import Document, Fill, Ink
from wallwright.document.errors import Cancelled
from wallwright.planning import plan_stage
from wallwright.planning.cache import Cache
from wallwright.planning.demo import demo_document
from wallwright.planning.plan import Goal, Request, Response
from wallwright.planning.runner import Runner


@pytest.fixture(autouse=True)
def every_drawing_is_large(monkeypatch):
    monkeypatch.setattr(plan_stage, "FEW", 0)


def quick(document: Document) -> Document:
    return edits.set_field(document, "settings.order.effort", "quick")


FIRST = quick(demo_document())


def hatched(spacing: float, document: Document = FIRST) -> Document:
    red = Ink("#c02020", "red", fill=Fill("hatch", spacing, 0.3))
    return edits.set_placement(document, document.placements[0].id, inks=(red,))


def asked(runner: Runner, document: Document, **fields) -> tuple[Response | None, Response]:
    """The answer with the provisional plan, when one came, and the last one."""
    early: list[Response] = []
    request = Request(1, document, Goal.PLAN, provisional=True, **fields)
    answer = runner.run(request, early=early.append)
    assert early[0].plan is None and early[0].preview is not None
    assert all(not a.final for a in early) and len(early) <= 2
    return (early[1] if len(early) == 2 else None), answer


def test_an_edit_is_answered_twice():
    runner = Runner()
    none, first = asked(runner, FIRST)
    assert none is None and not first.plan.is_provisional
    provisional, whole = asked(runner, hatched(7.0))
    assert provisional.plan.is_provisional and not whole.plan.is_provisional
    assert {c.id for c in provisional.plan.checks} == {c.id for c in whole.plan.checks}
    # The same strokes in another order.
    assert len(provisional.plan.strokes) == len(whole.plan.strokes)
    assert provisional.plan.strokes.lengths().sum() == pytest.approx(whole.plan.strokes.lengths().sum())
    judge, mended = whole.plan.estimate, provisional.plan.estimate
    assert mended.total_s == pytest.approx(judge.total_s, rel=0.01)
    assert mended.swing_mm <= FIRST.machine.limits.swing
    # What is known needs no provisional plan.
    none, again = asked(runner, FIRST)
    assert none is None and again.plan.motion is first.plan.motion


def test_the_same_document_exports_the_same_bytes_after_any_edits(tmp_path):
    last = hatched(6.0)
    histories = [(), (FIRST,), (FIRST, hatched(9.0)), (hatched(4.0), FIRST, hatched(5.0), last)]
    found = []
    for number, history in enumerate(histories):
        runner = Runner()
        for document in history:
            asked(runner, document)
        folder = tmp_path / str(number)
        files = runner.run(Request(2, last, Goal.EXPORT, folder=str(folder), provisional=True)).files
        found.append({f.removeprefix(str(folder)): Path(f).read_bytes() for f in files})
    assert found[0] and all(one == found[0] for one in found)


def test_a_cancelled_search_leaves_the_provisional_plan_to_go_on_from():
    runner = Runner()
    asked(runner, FIRST)
    early: list[Response] = []

    def stop(stage: str, done: float, saving=None) -> None:
        if any(a.plan is not None for a in early):
            raise Cancelled

    for spacing in (7.0, 8.0):
        early.clear()
        with pytest.raises(Cancelled):
            runner.run(Request(1, hatched(spacing), Goal.PLAN, provisional=True), stop, early.append)
        assert early[-1].plan.is_provisional
    _, whole = asked(runner, hatched(8.0))
    fresh = Runner().run(Request(1, hatched(8.0), Goal.PLAN))
    np.testing.assert_array_equal(whole.plan.motion.belts, fresh.plan.motion.belts)


@pytest.mark.parametrize("stage", ["order", "motion"])
def test_the_provisional_plan_can_be_cancelled(stage):
    runner = Runner()
    asked(runner, FIRST)
    reached = []

    def stop(at: str, done: float, saving=None) -> None:
        if at == stage:
            reached.append(at)
            raise Cancelled

    early: list[Response] = []
    with pytest.raises(Cancelled):
        runner.run(Request(1, hatched(7.0), Goal.PLAN, provisional=True), stop, early.append)
    assert reached and len(early) == 1


@pytest.mark.parametrize(
    ("name", "value"),
    [("settings.order.effort", "balanced"), ("machine.limits.draw_speed", 31.0)],
)
def test_other_rules_or_limits_are_not_those_of_the_last_plan(name, value):
    """Rules of the order change it as a whole; with other limits the order stays, and every stroke is timed anew."""
    runner = Runner()
    asked(runner, FIRST)
    document = edits.set_field(FIRST, name, value)
    provisional, whole = asked(runner, document)
    assert (provisional is None) == name.startswith("settings.order")
    if provisional is not None:
        for plan in (provisional.plan, whole.plan):
            down = np.repeat(plan.motion.down, np.diff(plan.motion.runs))
            assert plan.motion.speed[down].max() <= document.machine.limits.draw_speed + 1e-6
        assert provisional.plan.estimate.total_s == pytest.approx(whole.plan.estimate.total_s, rel=0.01)


def test_no_provisional_plan_unless_one_is_asked_for_or_while_a_stroke_counts():
    runner = Runner()
    asked(runner, FIRST)
    early: list[Response] = []
    runner.run(Request(1, hatched(7.0), Goal.PLAN), early=early.append)
    assert len(early) == 1
    from wallwright.document.continuation import Interruption, StrokePlace

    stopped = edits.replace(hatched(5.0), stopped=Interruption(StrokePlace(3), 50, "", 0))
    assert asked(runner, stopped)[0] is None


def test_results_are_kept_up_to_a_weight():
    cache = Cache(3, 10, len)
    for name, text in (("a", "xxxx"), ("b", "xxxx"), ("c", "xxxx")):
        cache.put(name, text)
    assert cache.find("a") is None and cache.find("b") == cache.find("c") == "xxxx"
    cache.put("d", "x" * 50)
    assert cache.find("b") is None and cache.find("d") == "x" * 50, "the newest stays"
    for name in "efgh":
        cache.put(name, "x")
    assert [cache.find(n) for n in "defgh"] == [None, None, "x", "x", "x"]
