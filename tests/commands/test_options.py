"""The options of the commands: what belongs to what, units, choices, and typing mistakes."""

import math

import pytest

from tests.support.jobs import SQUARE
from wallwright.commands import calibrate, compose, continuation_options, pens, read
from wallwright.commands.main import COMMANDS, main, parser
from wallwright.document.document import Document
from wallwright.document.project import read_project, write_project

VALUES = {
    "--photo-corners": "1,2,3,4,5,6,7,8",
    "--width": "300",
    "--height": "300",
    "--at": "5,5",
    "--turn": "9",
    "--text-set": "size=9",
    "--fonts": ".",
    "--cover-anew": None,
    "--along": "5",
    "--ran": "a.ngc",
    "--pass": "1",
    "--as-measured": None,
    "--uncertainty": "1",
    "--back": "1",
    "--overlap": "1",
    "--remember": None,
    "--pen-to-anchors": "900,900",
    "--pen-at": "9,9",
    "--read-anyway": None,
    "--anyway": None,
    "--off": "1,2,3,4",
    "--within": "0,0,9,9",
    "--test": "t.wallwright",
    "--list": "l.csv",
    "--write": None,
    "--replace": None,
    "--hanging": "1",
}
"""A value that each dependent option takes."""
MINIMAL = {
    "compose": ["{t}/new.wallwright"],
    "export": ["{t}/job.wallwright", "--folder", "{t}/out"],
    "calibrate": ["{t}/job.wallwright", "--readings", "x"],
    "read": ["{t}/a.svg"],
    "pose": ["{t}/points.csv"],
    "line-up": ["{t}/job.wallwright", "--hanging", "2", "--readings", "x"],
    "pens": ["{t}/job.wallwright"],
}
NEEDS = {
    "compose": compose.NEEDS,
    "export": continuation_options.NEEDS,
    "calibrate": calibrate.NEEDS,
    "read": read.NEEDS,
    "pose": {"--hanging": ("--project",)},
    "line-up": {"--replace": ("--write",), "--anyway": ("--write",)},
    "pens": pens.NEEDS,
}
FREE = {
    "window": {"--demo", "--picture"},
    "compose": {
        "--from",
        "--replace",
        "--set",
        "--wall",
        "--wall-corner",
        "--right-anchor",
        "--start",
        "--keep-out",
        "--cover",
        "--add-hanging",
        "--artwork",
        "--text",
        "--pen",
        "--ink",
        "--fill",
        "--spacing",
        "--angle",
        "--outside",
        "--style",
        "--picture-pens",
        "--picture-set",
        "--takes",
        "--page",
        "--machine",
        "--save-machine",
    },
    "colours": {"--suggest", "--advise", "--json"},
    "check": {"--hanging", "--machine", "--json", "--strokes", "--folder"},
    "export": {"--hanging", "--machine", "--json", "--folder", "--replace", "--outside", *continuation_options.FROM},
    "calibrate": {"--hanging", "--replace", "--json", "--figure", "--readings", "--proof", "--proof-tape"},
    "line-up": {"--hanging", "--readings", "--uncertainty", "--write", "--json"},
    "pens": {
        "--hanging",
        "--offset-figure",
        "--offset",
        "--sample-strip",
        "--seen",
        "--friction-figure",
        "--friction",
        "--friction-photo",
        "--light-to-dark",
        "--save-pen",
        "--add-saved-pen",
        "--drawn",
        "--write",
        "--json",
    },
    "pose": {"--project", "--right-anchor", "--set", "--from-belts", "--json"},
    "read": {"--picture", "--fonts", "--read-anyway", "--json"},
    "demo": {"--folder", "--replace", "--json"},
}
"""Options that mean something by themselves, or whose owner is not another option (see the tests below)."""


@pytest.fixture
def square(tmp_path):
    (tmp_path / "a.svg").write_bytes(SQUARE)
    (tmp_path / "b.svg").write_bytes(SQUARE)
    return tmp_path / "a.svg"


def test_every_option_is_known_to_stand_alone_or_to_need_another():
    for name, command in parser().commands.items():
        assert set(command.options) - {"-h", "--help"} == FREE[name] | set(NEEDS.get(name, {})), name
    assert len(parser().commands) == len(COMMANDS)


@pytest.mark.parametrize(("command", "option"), [(c, o) for c, needs in NEEDS.items() for o in needs])
def test_an_option_that_would_be_ignored_names_what_it_belongs_to(tmp_path, capsys, command, option):
    value = VALUES[option]
    given = MINIMAL[command]
    if option == "--write":
        given = ["{t}/job.wallwright"]
    words = [w.replace("{t}", str(tmp_path)) for w in [*given, option, *([value] if value else [])]]
    assert main([command, *words]) == 2
    output = capsys.readouterr().err
    assert f"{option} belongs to " in output and NEEDS[command][option][0] in output
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--style", "one-line"], "--style belongs to pictures"),
        (["--picture-set", "lightness=0.2"], "--picture-set belongs to pictures"),
        (["--picture-pens", "1"], "--picture-pens belongs to pictures"),
        (["--ink", "#202020=1"], "--ink belongs to artwork"),
        (["--fill", "none", "--spacing", "5"], "--spacing belongs to a fill"),
        (["--fill", "contour", "--angle", "5"], "--angle belongs to the fills quickest, hatch"),
        (["--cover"], "no artwork to cover"),
    ],
)
def test_what_the_project_has_no_use_for_is_refused(tmp_path, capsys, options, words):
    assert main(["compose", str(tmp_path / "a.wallwright"), *options]) == 2
    assert words in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_a_colour_that_no_artwork_has_is_refused(tmp_path, square, capsys):
    project = str(tmp_path / "a.wallwright")
    assert main(["compose", project, "--artwork", str(square), "--ink", "#12ab34=1"]) == 2
    assert "no artwork has the colour “#12ab34”; there is #" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["exprot"], "did you mean export?"),
        (["job.wallwright"], "wallwright window job.wallwright"),
        (["compose", "--widht", "800", "a.wallwright"], "no option --widht; did you mean --width?"),
        (["check", "a.wallwright", "b.wallwright"], "“b.wallwright” is one argument too many"),
        (["check"], "give PROJECT. See"),
        (["export", "a.wallwright"], "give --folder. See"),
        (["compose", "a"], "ends with .wallwright, for example a.wallwright"),
        (["compose", "a.wallwright", "--wall", "3000"], "“3000” is not WxH"),
        (["compose", "a.wallwright", "--wall", "3mx2m", "--wall", "4mx2m"], "--wall is given twice"),
        (["compose", "a.wallwright", "--start", "1,2,3"], "not X,Y"),
        (["compose", "a.wallwright", "--fill", "hatsh"], "hatch, cross-hatch, zigzag"),
        (["compose", "a.wallwright", "--add-hanging", "up"], "none of left, right"),
        (["compose", "a.wallwright", "--spacing", "5kg"], "“kg” is not a unit that fits here. Use mm, cm, m"),
        (["compose", "a.wallwright", "--keep-out", "Door", "1,2", "3,4"], "at least three corners"),
        (["compose", "a.wallwright", "--pen", "red,2"], "colour such as #c02020"),
        (["compose", "a.wallwright", "--set", "settings.outside=nix"], "none of refuse, clip, draw-anyway"),
        (
            ["compose", "a.wallwright", "--text", "Hi", "--text-set", "fnt=Serif"],
            "letters, style, font, bold",
        ),
        (
            ["compose", "a.wallwright", "--set", "machine.lift.kind=spindel"],
            "axis, spindle, servo, dwell; did you mean spindle?",
        ),
        (["compose", "a.wallwright", "--set", "machine.body=1"], "machine.body.mass"),
        (["compose", "a.wallwright", "--set", "machine.body.mas=1"], "did you mean mass?"),
        (["compose", "a.wallwright", "--set", "machine.motor.teeth=20.5"], "whole number"),
        (["compose", "a.wallwright", "--set", "settings.fill.angle=200"], "between −180 and 180 °"),
        (["compose", "a.wallwright", "--set", "machine.body.mass=900"], "between 0.05 and 20 kg"),
        (["check", "a.wallwright", "--hanging", "0"], "must be at least 1"),
        (["check", "{t}/job"], "did you mean {t}/job.wallwright?"),
        (["check", "{t}/a.svg"], "is not a project file. To put artwork into one, use: wallwright compose"),
        (["check", "{t}/job.wallwright", "--hanging", "2"], "the project has one hanging only"),
        (
            ["calibrate", "{t}/job.wallwright", "--readings", "x", "--hanging", "2"],
            "the project has one hanging only",
        ),
        (
            ["line-up", "{t}/job.wallwright", "--readings", "x", "--hanging", "1"],
            "the second and later hangings",
        ),
        (["export", "{t}/job.wallwright", "--folder", "{t}/a.svg"], "is a file; choose a folder"),
        (["compose", "no/a.wallwright"], "there is no folder no"),
        (["check", "{t}/job.wallwright", "--strokes", "no/a.csv"], "there is no folder no"),
        (["calibrate", "a.wallwright"], "Give --figure to make a test drawing, or --readings"),
        (["calibrate", "a.wallwright", "--figure", "few"], "give --test FILE.wallwright"),
        (["calibrate", "a.wallwright", "--figure", "few", "--readings", "x.csv"], "one of them at a time"),
        (
            ["calibrate", "a.wallwright", "--figure", "few", "--within", "9,9,0,0"],
            "right edge must be right of the left edge",
        ),
        (
            ["line-up", "a.wallwright", "--hanging", "2", "--readings", "x", "--uncertainty", "9m"],
            "between 0.05 and 50 mm",
        ),
        (["read", "a.svg", "--picture", "p.png", "--width", "1.5"], "whole number"),
    ],
)
def test_typing_mistakes_get_one_sentence(tmp_path, tmp_path_factory, monkeypatch, capsys, arguments, words):
    there = tmp_path_factory.mktemp("there")
    write_project(there / "job.wallwright", Document())
    (there / "a.svg").write_bytes(SQUARE)
    monkeypatch.chdir(tmp_path)
    assert main([a.replace("{t}", str(there)) for a in arguments]) == 2
    output = capsys.readouterr().err
    assert words.replace("{t}", str(there)) in output
    assert len(output.strip().splitlines()) == 1 and "Traceback" not in output
    assert list(tmp_path.iterdir()) == []


def test_numbers_have_units_and_arithmetic_as_in_the_window(tmp_path, square):
    project = tmp_path / "a.wallwright"
    assert (
        main(
            [
                "compose",
                str(project),
                "--wall",
                "3 m x 2.5m",
                "--right-anchor",
                "2 m; 1,5 cm",
                "--artwork",
                str(square),
                "--width",
                "2.4 m / 3",
                "--at",
                "1m,90cm",
                "--turn",
                "370",
                "--pen",
                "#202020,0.2cm,Black",
                "--set",
                "settings.fill.angle=30",
                "--set",
                "machine.body.mass=900g",
                "--set",
                "machine.body.centre=0,2 cm",
                "--set",
                "settings.order.band=none",
            ]
        )
        == 0
    )
    document = read_project(project)
    assert (document.wall.width, document.wall.height) == (3000, 2500)
    assert (document.hangings[0].right.x, document.hangings[0].right.y) == (2000, 15)
    placement = document.placements[0]
    assert (placement.width, placement.x, placement.y) == pytest.approx((800, 1000, 900))
    assert placement.turn == pytest.approx(math.radians(10))
    assert document.settings.fill.angle == pytest.approx(math.radians(30))
    assert document.pens[0].width == 2 and document.machine.body.mass == 0.9
    assert document.machine.body.centre == (0, 20) and document.settings.order.band == 0


def test_options_of_several_artworks_name_theirs_in_any_order(tmp_path, square):
    files = ["--artwork", str(tmp_path / "a.svg"), "--artwork", str(tmp_path / "b.svg"), "--text", "Hi"]
    options = [
        ["--width", "b.svg=30cm"],
        ["--width", "1=100"],
        ["--at", "Hi=500,-60"],
        ["--turn", "b.svg=90"],
    ]
    found = []
    for number, order in enumerate((options, options[::-1])):
        project = tmp_path / f"{number}.wallwright"
        assert main(["compose", str(project), *[w for o in order for w in o], *files]) == 0
        found.append(read_project(project).placements)
    assert found[0] == found[1]
    a, b, hi = found[0]
    assert (a.width, b.width, b.turn, (hi.x, hi.y)) == (100, 300, pytest.approx(math.pi / 2), (500, -60))


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--width", "300"], "1 given for 2 artworks. Say which with --width NAME=VALUE"),
        (["--width", "c.svg=300"], "there is no artwork “c.svg”; there is a.svg, b.svg"),
        (["--at", "a.svg=1,2", "--at", "1=3,4"], "--at is given twice for “a.svg”"),
        (["--artwork", "{t}/a.svg", "--width", "a.svg=3"], "2 artworks have that name; use their numbers"),
    ],
)
def test_a_value_that_may_belong_to_several_artworks_is_refused(tmp_path, square, capsys, options, words):
    project = tmp_path / "p.wallwright"
    files = ["--artwork", str(tmp_path / "a.svg"), "--artwork", str(tmp_path / "b.svg")]
    assert main(["compose", str(project), *files, *[o.replace("{t}", str(tmp_path)) for o in options]]) == 2
    assert words in capsys.readouterr().err and not project.exists()


def test_spacing_counts_although_a_coverage_was_wanted(tmp_path):
    project = tmp_path / "p.wallwright"
    assert main(["compose", str(project), "--set", "settings.fill.coverage=50", "--spacing", "6"]) == 0
    assert (read_project(project).settings.fill.spacing, read_project(project).settings.fill.coverage) == (
        6,
        0,
    )


@pytest.mark.parametrize("name", ["", *(n.replace("_", "-") for n in COMMANDS)])
def test_help_is_short_and_states_examples_and_exit_codes(capsys, monkeypatch, name):
    monkeypatch.setenv("COLUMNS", "100")
    assert main([name, "--help"] if name else ["--help"]) == 0
    text = capsys.readouterr().out
    assert "Exit codes:" in text and text.startswith(f"Usage: wallwright {name or 'COMMAND'}")
    assert name in ("", "demo") or "Examples:" in text
    assert len(text.splitlines()) <= 75 and max(map(len, text.splitlines())) <= 112
