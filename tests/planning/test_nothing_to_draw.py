"""Nothing to draw is an error in its own words, and no export comes of it."""

import pytest

from tests.support.experienced import ExperiencedRunner
from tests.support.jobs import SQUARE, document_of
from wallwright.commands.main import main
from wallwright.document import edits
from wallwright.document.document import Document, Ink
from wallwright.document.errors import BadValue
from wallwright.document.project import write_project
from wallwright.document.wall import Anchor, Hanging, KeepOut, Wall
from wallwright.planning.plan import EVERY, Goal, Request

AROUND = ((700.0, 600.0), (1300.0, 600.0), (1300.0, 1200.0), (700.0, 1200.0))


def clipped(document: Document) -> Document:
    return edits.set_field(document, "settings.outside", "clip")


def out_of_reach() -> Document:
    return clipped(document_of(SQUARE, centre=(1000.0, 2600.0), width=100.0))


def hidden() -> Document:
    document = document_of(SQUARE, width=100.0)
    return edits.set_placement(document, document.placements[0].id, visible=False)


def pens_off() -> Document:
    document = document_of(SQUARE, width=100.0)
    return edits.set_ink(document, document.placements[0].id, Ink("#202020", ""))


def behind_a_keep_out() -> Document:
    document = clipped(document_of(SQUARE, width=100.0))
    return edits.with_field(document, "wall.keep_outs", (KeepOut("Door", AROUND),))


def white() -> Document:
    return document_of(SQUARE.replace(b"#202020", b"#ffffff"), width=100.0)


CASES = {
    "no artwork": (Document, "There is no artwork yet"),
    "out of reach": (out_of_reach, "is outside the draw zone and clipped"),
    "hidden": (hidden, "All artwork is hidden"),
    "pens off": (pens_off, "No colour of the shown artwork has a pen"),
    "keep-out": (behind_a_keep_out, "is outside the draw zone and clipped"),
    "white": (white, "No colour of the shown artwork has a pen"),
}


@pytest.mark.parametrize("name", CASES)
def test_it_is_an_error_in_its_own_words_and_no_export(name, tmp_path):
    make, says = CASES[name]
    document, runner = make(), ExperiencedRunner()
    plan = runner.run(Request(1, document, Goal.PLAN)).plan
    found = [c for c in plan.checks if c.id == "drawable"]
    assert [c.verdict.value for c in found] == ["error"] and says in found[0].text
    with pytest.raises(BadValue, match="not exported") as refused:
        runner.run(Request(2, document, Goal.EXPORT, folder=str(tmp_path / "out")))
    assert says in str(refused.value)
    assert not (tmp_path / "out").exists()


def test_the_commands_say_it_too(tmp_path, capsys):
    project, folder = tmp_path / "job.wallwright", tmp_path / "out"
    write_project(project, out_of_reach())
    assert main(["check", str(project)]) == 1
    assert main(["export", str(project), "--folder", str(folder)]) == 1
    output = capsys.readouterr()
    assert output.out.count("Nothing to draw: All artwork") == 2 and "Nothing was written" in output.err
    assert not folder.exists()


def two_hangings(centre: tuple[float, float]) -> Document:
    document = clipped(document_of(SQUARE, centre=centre, width=100.0))
    second = Hanging("Hanging 2", Anchor(2200.0, 0.0), Anchor(4200.0, 0.0), (3200.0, 800.0))
    return edits.replace(document, wall=Wall(-500.0, -300.0, 6000.0, 2500.0), hangings=(*document.hangings, second))


def test_several_hangings_that_all_draw_nothing_are_an_error_too(tmp_path):
    document, runner = two_hangings((1000.0, 2600.0)), ExperiencedRunner()
    answer = runner.run(Request(1, document, Goal.PLAN, EVERY))
    assert all("error" in {c.verdict.value for c in p.checks if c.id == "drawable"} for p in answer.plans)
    with pytest.raises(BadValue, match="nothing is left"):
        runner.run(Request(2, document, Goal.EXPORT, EVERY, folder=str(tmp_path / "out")))


def test_a_hanging_whose_neighbour_draws_all_is_not_exported_alone(tmp_path):
    document, runner = two_hangings((1000.0, 900.0)), ExperiencedRunner()
    document = edits.set_field(document, "settings.joining.marks", 0)
    plan = runner.run(Request(1, document, Goal.PLAN, 1)).plan
    assert [c.verdict.value for c in plan.checks if c.id == "drawable"] == ["warning"]
    with pytest.raises(BadValue, match="The other hangings draw everything"):
        runner.run(Request(2, document, Goal.EXPORT, 1, folder=str(tmp_path / "out")))
