"""Commands that write: nothing of a person's is lost without a word."""

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.support.covered_wall import compose_covered
from tests.support.jobs import SQUARE
from tests.support.walls import banner
from wallwright.commands.differences import differences
from wallwright.commands.export import claim_folder
from wallwright.commands.main import main
from wallwright.commands.saving import claim_output, losses, save_changed
from wallwright.document import edits
from wallwright.document.backups import MARK
from wallwright.document.calibration import Mark, Survey, TapeReading
from wallwright.document.continuation import Interruption, StrokePlace
from wallwright.document.document import Document, Ink
from wallwright.document.errors import BadFile, BadValue
from wallwright.document.language import format_number
from wallwright.document.project import read_project, write_project
from wallwright.document.register import Register, RegisterMark
from wallwright.planning.demo import demo_document
from wallwright.planning.hanging_proposal import completing, missing_zones

MARKS = (
    RegisterMark("2A", 1200.0, 600.0),
    RegisterMark("2B", 1700.0, 700.0),
    RegisterMark("2C", 1300.0, 1100.0),
)


def half_drawn() -> Document:
    """A banner of two hangings, the first of them exported, measured and drawn."""
    document = banner()
    document = edits.replace(document, stopped=Interruption(StrokePlace(3, 5.0), 9, "abc"))
    first = document.hangings[0]
    survey = Survey("few", (Mark("A", 1.0, 2.0, 3.0, 4.0),), (TapeReading("distance", "A", "A", 5.0),))
    first = edits.replace(first, handover=1450.0, survey=survey)
    left, right = (edits.replace(a, x=a.x + 930.0) for a in (first.left, first.right))
    second = edits.replace(
        first,
        name="Hanging 2",
        left=left,
        right=right,
        start_point=(1930.0, 800.0),
        handover=None,
        survey=Survey(),
        register=Register(MARKS),
    )
    return edits.replace(document, hangings=(first, second))


@pytest.fixture
def project(tmp_path):
    path = tmp_path / "wall.wallwright"
    write_project(path, half_drawn())
    return path


def copies(path):
    return sorted(path.parent.glob(f"{path.stem}{MARK}*"))


def test_compose_does_not_overwrite_a_project_without_being_asked(project, tmp_path, capsys):
    (tmp_path / "a.svg").write_bytes(SQUARE)
    before, command = project.read_bytes(), ["compose", str(project), "--artwork", str(tmp_path / "a.svg")]
    assert main(command) == 2
    output = capsys.readouterr().err
    assert "exists already, with 1 artwork, 2 hangings, 3 register marks, 1 handover line" in output
    assert "--replace" in output and project.read_bytes() == before and not copies(project)
    assert main([*command, "--replace"]) == 0
    output = capsys.readouterr().out
    assert (
        "removed Hanging 2 (anchors at 930, 0 and 2930, 0 mm, from the first left anchor)" in output
        and "wall width: 6000 mm -> 3000 mm" in output
    )
    (copy,) = copies(project)
    assert str(copy) in output and copy.read_bytes() == before
    assert read_project(project).artworks[0].name == "a.svg"


@pytest.mark.parametrize("content", [b"my notes", b"", b"PK\x03\x04 half a project"])
def test_what_is_no_project_is_never_replaced(tmp_path, capsys, content):
    path = tmp_path / "a.wallwright"
    path.write_bytes(content)
    assert main(["compose", str(path), "--replace"]) == 2
    assert "was not replaced" in capsys.readouterr().err and path.read_bytes() == content


def test_a_change_in_place_keeps_a_copy_and_lists_what_changed(project, capsys):
    before = read_project(project)
    assert main(["compose", str(project), "--from", str(project), "--set", "machine.body.mass=0.9"]) == 0
    output = capsys.readouterr().out
    assert "machine, body, mass: 0.75 kg -> 0.9 kg" in output
    assert read_project(copies(project)[0]) == before
    assert read_project(project) == edits.set_field(before, "machine.body.mass", 0.9)
    assert main(["compose", str(project), "--from", str(project), "--set", "machine.body.mass=0.9"]) == 0
    assert "nothing changed" in capsys.readouterr().out and len(copies(project)) == 1


def test_another_project_is_not_the_one_to_change(project, tmp_path, capsys):
    """--from says where to start; the file to write is another one and stays."""
    other = tmp_path / "other.wallwright"
    write_project(other, Document())
    assert main(["compose", str(project), "--from", str(other)]) == 2
    assert "exists already" in capsys.readouterr().err and read_project(project) == half_drawn()


def test_hanging_again_keeps_the_hangings_and_the_origin(project, capsys):
    before = read_project(project)
    assert main(["compose", str(project), "--from", str(project), "--cover"]) == 0
    after = read_project(project)
    assert after.hangings[:2] == before.hangings and len(after.hangings) > 2
    assert (after.wall, after.placements) == (before.wall, before.placements)
    output = capsys.readouterr().out
    assert (
        "Hanging 2 (unchanged): anchors 2000 mm apart; the left one 1430 mm from the wall's left edge" in output
        and "Hanging 3 (proposed): anchors 2000 mm apart" in output
    )
    assert completing(after).is_covered
    assert main(["compose", str(project), "--from", str(project), "--cover"]) == 0
    assert read_project(project) == after


def test_hanging_again_names_what_would_be_lost_and_where_the_origin_goes(project, capsys):
    before, command = (
        project.read_bytes(),
        ["compose", str(project), "--from", str(project), "--cover", "--cover-anew"],
    )
    assert main(command) == 2
    output = capsys.readouterr().err
    assert "3 register marks of Hanging 2" in output and "the handover line of Hanging 1" in output
    assert project.read_bytes() == before
    assert main([*command, "--replace"]) == 0
    moved = read_project(project).wall.left - half_drawn().wall.left
    assert (
        moved != 0
        and f"{format_number(-moved, '.0f')} mm right of and 0 mm below the old one" in capsys.readouterr().out
    )
    assert copies(project)[0].read_bytes() == before


def test_anchors_given_on_the_command_line_stay(tmp_path, capsys):
    (tmp_path / "a.svg").write_bytes(SQUARE)
    project = tmp_path / "a.wallwright"
    assert compose_covered(project, tmp_path / "a.svg") == 0
    document = read_project(project)
    assert document.hangings[0].right.x == 2100 and document.placements[0].x == 1900 and document.wall.left == -500
    assert len(document.hangings) == 2


@settings(deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.lists(st.tuples(st.floats(-3000, 9000), st.floats(200, 1500)), max_size=4),
    st.floats(-2000, 2000),
    st.floats(100, 8000),
    st.floats(500, 2000),
    st.floats(0, 200),
)
def test_missing_zones_cover_and_share(drawn, left, length, width, shared):
    """Between left and right every place is in a zone, and a new zone shares what it must with its neighbours."""
    right, there = left + length, sorted((x, x + w) for x, w in drawn)
    new = missing_zones(there, left, right, width, shared)
    zones = sorted([*there, *((x, x + width) for x in new)])
    reach = left
    for begin, end in zones:
        assert begin <= reach + 0.01 or begin >= right
        reach = max(reach, end)
    assert reach >= right - 0.01
    assert all(x < right and x + width > left for x in new)  # each draws something
    within = [(begin, end) for begin, end in zones if begin < right and end > left]
    for x in new:
        others = [zone for zone in within if zone != (x, x + width)]
        assert not others or any(min(x + width, end) - max(x, begin) >= shared - 0.01 for begin, end in others)
    assert missing_zones(sorted(zones), left, right, width, shared) == []


def test_all_that_was_measured_counts_as_a_loss():
    before = half_drawn()
    assert losses(before, before) == []
    assert losses(before, Document()) == [
        "the handover line of Hanging 1",
        "1 calibration reading of Hanging 1",
        "Hanging 2 with 3 register marks",
        "the place where the job stopped",
        "artwork banner.svg",
    ]


def test_what_would_be_lost_is_not_saved(project):
    before = project.read_bytes()
    with pytest.raises(BadValue, match="3 register marks"):
        save_changed(project, read_project(project), Document(), may_discard=False)
    assert project.read_bytes() == before and not copies(project)


def test_changes_are_listed_with_names_and_units():
    before = half_drawn()
    after = edits.set_field(before, "settings.fill.angle", 1.0)
    after = edits.set_placement(after, "placement-1", x=2600.0)
    after = edits.replace(after, pens=(edits.replace(after.pens[0], width=3.0), *after.pens[1:]))
    after = edits.set_field(after, "hangings.0.handover", 1500.0)
    assert list(differences(before, after)) == [
        "Hanging 1, handover line: 1450 mm -> 1500 mm",
        "Black, line width: 2 mm -> 3 mm",
        "banner.svg, centre, right of the first left anchor: 2500 mm -> 2600 mm",
        "settings, fill, angle: 22.92 ° -> 57.3 °",
    ]


def test_a_new_test_drawing_does_not_take_readings_away(project, tmp_path, capsys):
    before, test, listed = project.read_bytes(), tmp_path / "test.wallwright", tmp_path / "readings.csv"
    command = ["calibrate", str(project), "--figure", "square", "--test", str(test), "--list", str(listed)]
    assert main(command) == 2
    assert "1 calibration reading of Hanging 1" in capsys.readouterr().err
    assert project.read_bytes() == before and not test.exists() and not listed.exists()
    assert main([*command, "--replace"]) == 0
    assert copies(project)[0].read_bytes() == before
    listed.write_text(listed.read_text().replace(",,", ",701.5,", 1))
    filled = listed.read_text()
    assert main(command) == 2
    assert "readings.csv exists already and has readings in it" in capsys.readouterr().err
    assert listed.read_text() == filled
    assert main([*command[:-2], "--list", str(project), "--replace"]) == 2
    assert main([*command[:4], "--test", str(project), "--replace"]) == 2
    assert "another project file than the one to calibrate" in capsys.readouterr().err
    assert main(command[:-2]) == 2
    assert "test.wallwright exists already" in capsys.readouterr().err
    assert main([*command, "--replace"]) == 0
    assert copies(listed)[0].read_text() == filled and len(copies(test)) <= 1


def test_the_same_readings_do_not_correct_the_anchors_twice(project, tmp_path, capsys):
    listed = tmp_path / "seen.csv"
    listed.write_text("mark,x,y,right,down\n" + "".join(f"{m.name},{m.x},{m.y},1.5,-2\n" for m in MARKS))
    command = ["line-up", str(project), "--hanging", "2", "--readings", str(listed), "--write"]
    before = project.read_bytes()
    assert main(command) == 0
    output = capsys.readouterr().err
    assert (
        "Hanging 2, left anchor, right of the first left anchor: 930 mm -> 931" in output
        and copies(project)[0].read_bytes() == before
    )
    once = project.read_bytes()
    assert main(command) == 2
    assert "by these readings already" in capsys.readouterr().err and project.read_bytes() == once
    assert main([*command, "--replace"]) == 0 and project.read_bytes() != once


def test_suggested_pens_leave_a_copy_of_the_chosen_ones(tmp_path, capsys):
    project, art = tmp_path / "job.wallwright", tmp_path / "a.svg"
    art.write_bytes(SQUARE)
    assert (
        main(
            [
                "compose",
                str(project),
                "--artwork",
                str(art),
                "--pen",
                "#202020,2,Black",
                "--pen",
                "#c02020,2,Red",
            ]
        )
        == 0
    )
    chosen = read_project(project)
    placement = chosen.placements[0].id
    colour = edits.set_ink(chosen, placement, Ink("#000000", chosen.pens[0].id))
    write_project(project, colour)
    assert main(["colours", str(project), "--suggest", "--json"]) == 0
    out, err = capsys.readouterr()
    json.loads(out[out.index("[") :])
    assert "a.svg, colours" in err and read_project(copies(project)[0]) == colour


def test_an_export_replaces_an_earlier_export_only(tmp_path, monkeypatch):
    claim_folder(tmp_path / "new", may_replace=False)
    claim_folder(tmp_path, may_replace=False)
    (tmp_path / "belts.ngc").write_text("my own work")
    with pytest.raises(BadValue, match=r"belts\.ngc exists already, and .* has no report of a Wallwright job"):
        claim_folder(tmp_path, may_replace=False)
    claim_folder(tmp_path, may_replace=True)
    (tmp_path / "report.json").write_text('{"form": "wallwright report", "fingerprint": "a"}')
    claim_folder(tmp_path, may_replace=False)
    (tmp_path / "hanging-2").mkdir()
    (tmp_path / "hanging-2" / "plane.ngc").write_text("mine")
    with pytest.raises(BadValue, match="hanging-2"):
        claim_folder(tmp_path, may_replace=False)


def test_export_says_which_job_it_replaced(tmp_path, capsys):
    project, folder, art = tmp_path / "job.wallwright", tmp_path / "out", tmp_path / "a.svg"
    art.write_bytes(SQUARE)
    assert (
        main(
            [
                "compose",
                str(project),
                "--artwork",
                str(art),
                "--width",
                "300",
                "--at",
                "1000,900",
                "--fill",
                "none",
            ]
        )
        == 0
    )
    folder.mkdir()
    (folder / "report.json").write_text('{"form": "wallwright report", "fingerprint": "other"}')
    assert main(["export", str(project), "--folder", str(folder)]) == 0
    assert "(fingerprint other) was replaced" in capsys.readouterr().err


def test_what_another_program_has_saved_meanwhile_is_not_overwritten(project):
    before = read_project(project)
    write_project(project, edits.set_field(before, "wall.width", 7000.0))
    with pytest.raises(BadFile, match="another program has saved it"):
        save_changed(project, before, edits.set_field(before, "wall.width", 8000.0), may_discard=False)
    assert read_project(project).wall.width == 7000 and not copies(project)


def test_an_edited_demo_is_not_overwritten(tmp_path, capsys):
    project = tmp_path / "harbour.wallwright"
    write_project(project, edits.set_field(demo_document(), "wall.width", 3700.0))
    before = project.read_bytes()
    assert main(["demo", "--folder", str(tmp_path)]) == 2
    assert "exists already" in capsys.readouterr().err and project.read_bytes() == before


def test_files_made_again_replace_only_their_like(tmp_path):
    mine, own = tmp_path / "mine.csv", tmp_path / "own.csv"
    mine.write_text("a,b\n")
    own.write_text("stroke,pen\n1,2\n")
    claim_output(own, b"stroke,", "a stroke table")
    claim_output(tmp_path / "new.csv", b"stroke,", "a stroke table")
    for path, words in ((mine, "not a stroke table"), (tmp_path / "x.wallwright", "for projects")):
        with pytest.raises(BadValue, match=words):
            claim_output(path, b"stroke,", "a stroke table")
    with pytest.raises(BadValue, match="the file to read"):
        claim_output(own, b"stroke,", "a stroke table", (own,))


@pytest.mark.parametrize(
    "command",
    [
        ["read", "{t}/a.svg", "--picture", "{t}/a.svg"],
        ["read", "{t}/a.svg", "--picture", "{t}/n.txt"],
        ["window", "--picture", "{t}/n.txt"],
        ["check", "{t}/w.wallwright", "--strokes", "{t}/n.txt"],
        ["check", "{t}/w.wallwright", "--strokes", "{t}/w.wallwright"],
    ],
)
def test_no_output_takes_the_place_of_another_file(tmp_path, capsys, command):
    (tmp_path / "a.svg").write_bytes(SQUARE)
    (tmp_path / "n.txt").write_text("my notes")
    write_project(tmp_path / "w.wallwright", Document())
    before = {p: p.read_bytes() for p in tmp_path.iterdir()}
    assert main([w.replace("{t}", str(tmp_path)) for w in command]) == 2
    assert "choose another name" in capsys.readouterr().err
    assert {p: p.read_bytes() for p in tmp_path.iterdir()} == before
