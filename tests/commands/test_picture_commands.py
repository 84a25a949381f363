"""Pictures by command: composed, drawn in a style, read."""

import json

import numpy as np
import pytest
from PIL import Image

from wallwright.commands.main import main
from wallwright.document.picture import OneLine, Regions, ScanLines
from wallwright.document.project import read_project


@pytest.fixture
def photo(tmp_path):
    """A lit ball on a light ground, 120 by 90 pixels."""
    y, x = np.mgrid[:90, :120]
    ball = np.clip(1 - np.hypot(x - 50, y - 40) / 40, 0, 1)
    light = np.where(ball > 0, 60 + 190 * ball, 235).astype(np.uint8)
    path = tmp_path / "photo.jpg"
    Image.fromarray(light).convert("RGB").save(path, quality=92)
    return path


def test_a_picture_is_composed_checked_and_exported(tmp_path, photo, capsys):
    project = tmp_path / "job.wallwright"
    assert (
        main(
            [
                "compose",
                str(project),
                "--artwork",
                str(photo),
                "--width",
                "400",
                "--at",
                "1000,850",
                "--style",
                "scan-lines",
                "--picture-set",
                "angle=30",
                "--picture-set",
                "lightness=0.2",
            ]
        )
        == 0
    )
    (placement,) = read_project(project).placements
    assert (placement.width, placement.height) == (400, 300)
    assert placement.picture.style == ScanLines(angle=np.radians(30))
    assert placement.picture.lightness == 0.2
    assert main(["check", str(project)]) == 0
    capsys.readouterr()
    assert main(["export", str(project), "--folder", str(tmp_path / "out"), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["ok"]


def test_styles_and_pens_of_a_project_are_changed(tmp_path, photo):
    project = tmp_path / "job.wallwright"
    compose = ["compose", str(project)]
    assert (
        main(
            [
                *compose,
                "--artwork",
                str(photo),
                "--pen",
                "#101010,2,Black",
                "--pen",
                "#c02020,2,Red",
                "--picture-pens",
                "Red,1",
            ]
        )
        == 0
    )
    placement = read_project(project).placements[0]
    assert placement.picture.pens == ("pen-2", "pen-1")
    again = [*compose, "--from", str(project)]
    assert main([*again, "--style", "one-line"]) == 0
    placement = read_project(project).placements[0]
    assert (placement.picture.style, placement.picture.pens) == (OneLine(), ("pen-2", "pen-1"))
    assert main([*again, "--style", "regions", "--picture-set", "colours=3"]) == 0
    assert read_project(project).placements[0].picture.style == Regions(colours=3)


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (["--picture-set", "wobble=1"], "there is no “wobble”"),
        (["--picture-set", "lightness=7"], "between −1 and 1"),
        (["--picture-set", "lightness=much"], "is not a number"),
        (["--picture-pens", "Green"], "there is no pen “Green”"),
    ],
)
def test_what_does_not_fit_is_reported(tmp_path, photo, capsys, options, message):
    assert main(["compose", str(tmp_path / "job.wallwright"), "--artwork", str(photo), *options]) != 0
    assert message in capsys.readouterr().err


def test_read_tells_and_paints_a_picture(tmp_path, photo, capsys):
    painted = tmp_path / "seen.png"
    assert main(["read", str(photo), "--picture", str(painted), "--width", "60", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["pixels"] == [120, 90]
    seen, brought = (np.asarray(Image.open(p).convert("L"), dtype=float) for p in (painted, photo))
    assert seen.shape == (45, 60)
    assert seen.mean() == pytest.approx(brought.mean(), abs=2)
    assert main(["read", str(photo)]) == 0
    assert "a picture of 120 x 90 pixels" in capsys.readouterr().out


def test_colours_are_listed_and_suggestions_taken(tmp_path, capsys):
    project, art = tmp_path / "job.wallwright", tmp_path / "art.svg"
    art.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
        '<rect width="50" height="100" fill="#bcbcbc"/><path d="M60 10H90" stroke="#d02020"/></svg>'
    )
    main(
        [
            "compose",
            str(project),
            "--artwork",
            str(art),
            "--width",
            "200",
            "--pen",
            "#000000,2,Black",
            "--pen",
            "#c02020,2,Red",
        ]
    )
    capsys.readouterr()
    assert main(["colours", str(project), "--suggest", "--json"]) == 0
    grey, red = json.loads(capsys.readouterr().out)
    assert grey["area_mm2"] == pytest.approx(100 * 200)
    assert red["length_mm"] == pytest.approx(60)
    assert [t["pen"] for t in grey["mixture"]] == ["Black"]
    assert grey["mixture"][0]["coverage"] == pytest.approx(0.5, abs=0.011)
    assert red["pen"] == "Red"
    assert read_project(project).placements[0].colours == "mixed"
    assert main(["colours", str(project), "--advise"]) == 0
    out = capsys.readouterr().out
    assert "0.020 m²" in out
    assert "mixed: Black 50 %" in out
