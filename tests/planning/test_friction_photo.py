"""Reading the friction figure from a photo. The judge draws and photographs the figure itself (tests/support/figure_photos.py):
a pinhole camera with a bending lens, blur, noise, uneven light, JPEG. Friction moves the lines as MuJoCo has it."""

from __future__ import annotations

import io
import json
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from PIL import Image

from tests.support.figure_photos import Camera, photo
from tests.support.hanging_body import HangingBody
from tests.support.jobs import document_of
from wallwright.commands.main import main
from wallwright.document import edits
from wallwright.document.document import Document, Pen
from wallwright.document.errors import BadFile, BadValue, Cancelled
from wallwright.document.machine import Belt
from wallwright.document.project import read_project, write_project
from wallwright.planning.comb_search import proposed_corners
from wallwright.planning.friction_figure import (
    DISTANCES,
    LENGTH,
    LINE_PLACES,
    LINES,
    READING_SIGMA,
    Comb,
    figure_combs,
    read_friction,
)
from wallwright.planning.friction_figure import _size as figure_size
from wallwright.planning.friction_photo import corner_places, photo_pixels, read_photo, with_friction_read
from wallwright.planning.pen_figures import figure_corner
from wallwright.planning.photo_map import PhotoMap
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.pose import inverse_kinematics

EMPTY = b'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9"><path d="M0 0H9" stroke="red"/></svg>'
NEAR = Camera(scale=5.0, size=(1100, 640))
"""One pen's combs at 5 pixels per mm."""
BLACK, YELLOW, RED, WHITE = (32, 32, 32), (236, 208, 40), (190, 30, 40), (235, 235, 230)
ANGLE = st.floats(-0.35, 0.35)


@pytest.fixture(scope="module")
def document() -> Document:
    found = document_of(EMPTY, (9.0, 9.0), (1000.0, 900.0), 9.0, belt=Belt(mass=0.0))
    return edits.replace(found, pens=(Pen("a", "A", "#202020", 1.0), Pen("b", "B", "#ecd028", 2.0)))


@pytest.fixture(scope="module")
def combs(document) -> tuple[Comb, ...]:
    return figure_combs(document, 0)


def drawn(comb: Comb, moved: np.ndarray) -> np.ndarray:
    """(2 LINES, 2) mm: a comb whose lines are each moved by (LINES, 2) mm."""
    return comb.path + np.repeat(moved, 2, axis=0)


def off_in_turn(comb: Comb, amount: float, scatter: float, random: np.random.Generator) -> np.ndarray:
    """(LINES, 2) mm: to and fro, and each line a little by itself."""
    way = amount * np.where(np.arange(LINES) % 2 == 0, 1.0, -1.0) + random.normal(0, scatter, LINES)
    return np.outer(way, comb.across)


def true_distances(comb: Comb, moved: np.ndarray) -> np.ndarray:
    return np.diff(LINE_PLACES + moved @ comb.across)


def middle_of(combs) -> np.ndarray:
    return np.mean([comb.middle for comb in combs], axis=0)


def pixels_of(data: bytes) -> np.ndarray:
    return np.array(Image.open(io.BytesIO(data)).convert("RGB"))


def simple_photo(
    combs, amount: float = 0.4, camera: Camera = NEAR, width: float = 1.0, colour=BLACK, **how
) -> np.ndarray:
    """Pixels of a photo of combs of one pen."""
    random = np.random.default_rng(3)
    paths = [drawn(comb, off_in_turn(comb, amount, 0.02, random)) for comb in combs]
    return pixels_of(photo([(paths, width, colour)], middle_of(combs), camera, **how))


def found_in(pixels: np.ndarray, document: Document, combs):
    """As the window does it."""
    corners = proposed_corners(pixels, combs)
    assert corners is not None
    return read_photo(pixels, document, combs, corners)


@given(
    pan=ANGLE,
    tilt=ANGLE,
    roll=st.floats(-0.2, 0.2),
    bend=st.floats(-0.06, 0.06),
    width=st.floats(0.5, 3.0),
    amount=st.floats(0.0, 1.2),
    colour=st.sampled_from([BLACK, YELLOW, RED]),
    blur=st.floats(0.5, 1.6),
    seed=st.integers(0, 99),
)
@example(pan=0.35, tilt=0.35, roll=0.2, bend=0.06, width=0.5, amount=1.2, colour=YELLOW, blur=1.6, seed=1)
@settings(deadline=None, max_examples=8, derandomize=True)
def test_distances_are_read_to_a_tenth_of_a_millimetre(
    document, combs, pan, tilt, roll, bend, width, amount, colour, blur, seed
):
    """From any side within 20° across and down, at 5 pixels per mm; in truth they are read to a twentieth."""
    combs, random = combs[:2], np.random.default_rng(seed)
    camera = replace(NEAR, pan=pan, tilt=tilt, roll=roll, bend=bend, scale=5.5, size=(1300, 860))
    moved = [off_in_turn(comb, amount, 0.03, random) for comb in combs]
    paths = [drawn(comb, way) for comb, way in zip(combs, moved, strict=True)]
    data = photo([(paths, width, colour)], middle_of(combs), camera, blur=blur, noise=4.0, seed=seed)
    reading = found_in(pixels_of(data), document, combs)
    for comb, way in zip(reading.combs, moved, strict=True):
        true = true_distances(comb.comb, way)
        assert np.abs(np.array(comb.distances) - true).max() < 0.1
        assert comb.uncertainty < READING_SIGMA / 2


def dragged(document: Document, comb: Comb, drag: float) -> np.ndarray:
    """(LINES, 2) mm by which friction moves each line's middle in MuJoCo."""
    size, focus = figure_size(len(document.pens))
    corner = figure_corner(document, 0, size, focus)
    rig = CableRobotModel.of(document.machine, document.hangings[0])
    body = HangingBody(rig.anchors, rig.exits, rig.centre, document.machine.body.mass, rig.stiffness)
    moved = []
    for begin, end in comb.path.reshape(LINES, 2, 2)[2:4] + corner:  # one to, one fro
        middle, along = (begin + end) / 2, (end - begin) / LENGTH
        belts = inverse_kinematics(rig, middle[None]).belts[0]
        rest, _, _ = body.settle(belts, middle, 0.0)
        pen, _, _ = body.settle(belts, middle, 0.0, push=-drag * along)
        moved.append(pen - rest)
    return np.array([moved[k % 2] for k in range(LINES)])


@pytest.mark.parametrize("drag", [0.05, 0.4])
def test_friction_is_within_its_stated_uncertainty(document, combs, drag):
    """Lines as MuJoCo drags them, each off by another 0.05 mm from swing and steps."""
    combs, random, inside = combs[:2], np.random.default_rng(7), 0
    truth = [dragged(document, comb, drag) for comb in combs]
    for seed in range(5):
        camera = replace(NEAR, pan=random.uniform(-0.3, 0.3), tilt=random.uniform(-0.3, 0.3), scale=5.5)
        paths = [
            drawn(comb, way + np.outer(random.normal(0, 0.05, LINES), comb.across))
            for comb, way in zip(combs, truth, strict=True)
        ]
        pixels = pixels_of(photo([(paths, 1.2, BLACK)], middle_of(combs), camera, seed=seed))
        pen = with_friction_read(document, 0, found_in(pixels, document, combs)).pens[0]
        inside += abs(pen.drag - drag) < 2 * pen.drag_uncertainty
        assert pen.drag_uncertainty < 0.01 + 0.06 * drag
    assert inside >= 4


def test_uncertainty_is_that_of_the_scatter(document, combs):
    """Lines each off by 0.08 mm at random: errors of the alternation over their stated uncertainty are about 1."""
    combs, random, errors = combs[:2], np.random.default_rng(11), []
    for seed in range(8):
        camera = replace(NEAR, pan=random.uniform(-0.2, 0.2), scale=4.5)
        moved = [off_in_turn(comb, 0.6, 0.08, random) for comb in combs]
        paths = [drawn(comb, way) for comb, way in zip(combs, moved, strict=True)]
        reading = found_in(
            pixels_of(photo([(paths, 1.0, BLACK)], middle_of(combs), camera, seed=seed)), document, combs
        )
        for comb in reading.combs:
            sign = np.where(np.arange(DISTANCES) % 2 == 0, 1.0, -1.0)
            alternation = abs(
                np.linalg.lstsq(np.column_stack([np.ones(DISTANCES), sign]), comb.distances, rcond=None)[0][1]
            )
            errors.append((alternation - 1.2) / (comb.uncertainty / np.sqrt(DISTANCES)))
    assert 0.5 < np.sqrt(np.mean(np.square(errors))) < 1.6


def test_marks_some_millimetres_off_give_the_same(document, combs):
    pixels = simple_photo(combs[:2])
    best = found_in(pixels, document, combs[:2])
    corners = corner_places(combs[:2])
    for seed in range(3):
        off = np.random.default_rng(seed).uniform(-3, 3, (4, 2))
        marks = best.photo_map.to_photo(corners + off)
        again = read_photo(pixels, document, combs[:2], marks)
        for one, other in zip(best.combs, again.combs, strict=True):
            np.testing.assert_allclose(other.distances, one.distances, atol=0.03)


def test_all_pens_in_one_photo_each_with_its_colour_and_offset(document, combs):
    """The second pen's tip is off by millimetres, as before the offset figure is read."""
    amounts, random = (0.2, 0.7), np.random.default_rng(1)
    ways = [off_in_turn(comb, amounts[comb.pen], 0.02, random) + np.array([3.0, -2.0]) * comb.pen for comb in combs]
    paths = [drawn(comb, way) for comb, way in zip(combs, ways, strict=True)]
    layers = [(paths[:2], 1.0, BLACK), (paths[2:], 2.0, YELLOW)]
    pixels = pixels_of(photo(layers, middle_of(combs), replace(NEAR, scale=4.5, size=(1100, 1000), pan=0.2)))
    reading = found_in(pixels, document, combs)
    for comb, way in zip(reading.combs, ways, strict=True):
        np.testing.assert_allclose(comb.distances, true_distances(comb.comb, way), atol=0.1)
    pens = with_friction_read(document, 0, reading).pens
    for number, pen in enumerate(pens):
        first, second = (
            true_distances(comb, way).tolist() for comb, way in zip(combs, ways, strict=True) if comb.pen == number
        )
        true = read_friction(document, 0, number, (first, second)).pens[number]
        assert pen.drag == pytest.approx(true.drag, abs=0.003) and pen.drag_uncertainty < true.drag_uncertainty
    assert proposed_corners(pixels, combs[:2]) is None, "the combs of two pens look like those of either"


def test_light_ink_on_a_dark_wall(document, combs):
    pixels = simple_photo(combs[:2], 0.5, colour=WHITE, wall=(50, 62, 56))
    reading = found_in(pixels, document, combs[:2])
    way = off_in_turn(combs[0], 0.5, 0.0, np.random.default_rng(0))
    np.testing.assert_allclose(reading.combs[0].distances, true_distances(combs[0], way), atol=0.1)


def test_combs_drawn_before_the_machine_changed_may_be_turned(document, combs):
    """Two directions at right angles are as good; which one is drawn may depend on the last digits."""
    turned = [comb.turned for comb in combs[:2]]
    reading = found_in(simple_photo(turned), document, combs[:2])
    assert [comb.comb for comb in reading.combs] == turned
    assert abs(np.diff(reading.combs[0].distances[:2])[0]) == pytest.approx(1.6, abs=0.25)


def test_lines_with_gaps_are_read_by_what_is_left(document, combs):
    pixels = simple_photo(combs[:2])
    corners = proposed_corners(pixels, combs[:2])
    whole = read_photo(pixels, document, combs[:2], corners)
    random = np.random.default_rng(5)
    for _ in range(25):
        row, column = random.integers(100, 520), random.integers(310, 770)
        patch = pixels[row : row + 12, column : column + 12]
        patch[:] = np.quantile(patch.reshape(-1, 3), 0.9, axis=0)  # the wall's colour there
    again = read_photo(pixels, document, combs[:2], corners)
    for one, other in zip(whole.combs, again.combs, strict=True):
        np.testing.assert_allclose(other.distances, one.distances, atol=0.06)


# What cannot be read.


def true_corners(combs, camera: Camera) -> np.ndarray:
    return camera.seen(corner_places(combs) - middle_of(combs))


def refused(pixels, document, combs, corners) -> str:
    with pytest.raises(BadValue) as error:
        read_photo(pixels, document, combs, corners)
    assert "\n" not in str(error.value) and str(error.value)[0].isupper()
    return str(error.value)


def test_a_bare_wall_has_no_figure(document, combs):
    random = np.random.default_rng(2)
    wall = np.clip(random.normal(200, 6, (640, 1100, 3)), 0, 255).astype(np.uint8)
    assert proposed_corners(wall, combs[:2]) is None
    text = refused(wall, document, combs[:2], true_corners(combs[:2], NEAR))
    assert "not found where the four marks say" in text or "hardly stand out" in text
    black = np.zeros((640, 1100, 3), np.uint8)
    assert proposed_corners(black, combs[:2]) is None
    refused(black, document, combs[:2], true_corners(combs[:2], NEAR))


def test_another_drawing_is_no_figure(document, combs):
    random = np.random.default_rng(4)
    strokes = [np.cumsum(random.normal(0, 6, (60, 2)), axis=0) + random.uniform(-50, 50, 2) for _ in range(6)]
    pixels = pixels_of(photo([(strokes, 1.0, BLACK)], (0.0, 0.0), NEAR))
    assert proposed_corners(pixels, combs[:2]) is None
    refused(pixels, document, combs[:2], true_corners(combs[:2], NEAR))


def test_a_figure_that_is_cut_off_is_named(document, combs):
    whole = simple_photo(combs[:2])
    half = whole[:, :520]
    assert proposed_corners(half, combs[:2]) is None
    assert "A: the second comb is cut off" in refused(half, document, combs[:2], true_corners(combs[:2], NEAR))


def test_a_photo_of_too_few_pixels_says_how_many_it_needs(document, combs):
    camera = Camera(scale=2.0, size=(440, 260))
    text = refused(simple_photo(combs[:2], camera=camera), document, combs[:2], true_corners(combs[:2], camera))
    assert "only 2.0 pixels per mm" in text and "at least 3 are needed" in text
    dot = np.full((1, 1, 3), 200, np.uint8)
    assert proposed_corners(dot, combs[:2]) is None
    refused(dot, document, combs[:2], np.array([[0, 0], [1, 0], [1, 1], [0, 1.0]]))


def test_a_dark_photo_asks_for_light(document, combs):
    pixels = simple_photo(combs[:2], exposure=0.02, noise=1.0)
    assert "better light" in refused(pixels, document, combs[:2], true_corners(combs[:2], NEAR))


def test_a_blurred_photo_asks_for_a_sharp_one(document, combs):
    pixels = simple_photo(combs[:2], blur=9.0)
    assert "too blurred" in refused(pixels, document, combs[:2], true_corners(combs[:2], NEAR))


def test_a_line_that_is_not_there_is_named(document, combs):
    paths = []
    for number, comb in enumerate(combs[:2]):
        lines = comb.path.reshape(LINES, 2, 2)
        paths += [line for k, line in enumerate(lines) if (number, k) != (1, 2)]
    pixels = pixels_of(photo([(paths, 1.0, BLACK)], middle_of(combs[:2]), NEAR))
    text = refused(pixels, document, combs[:2], true_corners(combs[:2], NEAR))
    assert text.startswith("A: the second comb: line 3 cannot be seen")


def test_marks_that_are_no_quadrilateral_or_far_off_are_refused(document, combs):
    pixels = simple_photo(combs[:2])
    corners = true_corners(combs[:2], NEAR)
    assert "four points" in refused(pixels, document, combs[:2], corners[[0, 2, 1, 3]])
    assert "four points" in refused(pixels, document, combs[:2], corners[[0, 0, 0, 0]])
    far = corners + [0.0, 42.0 * NEAR.scale]
    assert refused(pixels, document, combs[:2], far)
    narrow = corners * [1.0, 0.2]
    assert "too far to the side" in refused(pixels, document, combs[:2], narrow)


@pytest.mark.parametrize(
    ("name", "data"), [("p.jpg", b""), ("p.jpg", b"\xff\xd8\xff\xe0 no picture"), ("p.heic", b"ftypheic")]
)
def test_what_is_no_picture_is_refused(tmp_path, name, data):
    (tmp_path / name).write_bytes(data)
    with pytest.raises(BadFile, match=name):
        photo_pixels(tmp_path / name)


def test_a_photo_lies_upright_as_its_camera_says(tmp_path):
    image = Image.new("RGB", (80, 40), "#ffffff")
    tags = image.getexif()
    tags[0x0112] = 6  # Exif 2.3: turned by 90 degrees
    image.save(tmp_path / "p.jpg", exif=tags)
    assert photo_pixels(tmp_path / "p.jpg").shape == (80, 40, 3)


def test_reading_ends_when_it_is_no_longer_wanted(document, combs):
    def stop(done: float) -> None:
        raise Cancelled

    pixels = simple_photo(combs[:2], camera=replace(NEAR, size=(400, 300), scale=2.0))
    with pytest.raises(Cancelled):
        proposed_corners(pixels, combs[:2], stop)
    with pytest.raises(Cancelled):
        read_photo(pixels, document, combs[:2], np.array([[20, 20], [380, 20], [380, 280], [20, 280.0]]), stop)


# The map.


@given(st.floats(-0.2, 0.2), st.integers(0, 99))
@settings(deadline=None, max_examples=50, derandomize=True)
def test_the_map_goes_both_ways(distortion, seed):
    random = np.random.default_rng(seed)
    places = np.array([[0.0, 0.0], [180.0, 0.0], [180.0, 90.0], [0.0, 90.0]])
    seen = np.array([[100.0, 80.0], [900.0, 100.0], [920.0, 560.0], [80.0, 540.0]]) + random.normal(0, 30, (4, 2))
    there = PhotoMap((1000, 640), places, seen, distortion)
    points = random.uniform([0, 0], [180, 90], (30, 2))
    np.testing.assert_allclose(there.to_figure(there.to_photo(points)), points, atol=1e-6)


# By command.


def test_by_command(document, combs, tmp_path, capsys):
    project = tmp_path / "p.wallwright"
    write_project(project, document)
    random = np.random.default_rng(3)
    paths = [drawn(comb, off_in_turn(comb, 0.4, 0.02, random)) for comb in combs[:2]]
    (tmp_path / "a.jpg").write_bytes(photo([(paths, 1.0, BLACK)], middle_of(combs[:2]), NEAR))
    assert main(["pens", str(project), "--friction-photo", f"B={tmp_path / 'a.jpg'}", "--json", "--write"]) == 0
    found = json.loads(capsys.readouterr().out)
    first, second = found["friction_photos"]
    assert (first["pen"], first["comb"], second["comb"]) == ("B", 1, 2) and len(first["distances_mm"]) == 6
    pen = read_project(project).pens[1]
    assert pen.drag > 0.05 and 0 < pen.drag_uncertainty < 0.03
    corners = ",".join(f"{value:.1f}" for value in true_corners(combs[:2], NEAR).ravel())
    assert main(["pens", str(project), "--friction-photo", f"A={tmp_path / 'a.jpg'}", "--photo-corners", corners]) == 0
    assert "A, comb 2: " in capsys.readouterr().out


def test_the_command_says_what_is_wrong(document, combs, tmp_path, capsys):
    project, bare = tmp_path / "p.wallwright", tmp_path / "bare.png"
    write_project(project, document)
    Image.new("RGB", (600, 400), "#d0d0d0").save(bare)
    for options, text in (
        (["--friction-photo", str(bare)], "not found in bare.png"),
        (["--friction-photo", str(tmp_path / "none.jpg")], "none.jpg"),
        (["--friction-photo", str(bare), "--photo-corners", "1,2,3"], "8 numbers"),
        (["--friction-photo", str(bare), "--photo-corners", "0,0,600,0,600,400,0,400"], "bare.png: "),
        (["--friction-photo", str(bare), "--friction-photo", "x", "--photo-corners", "1"], "one photo"),
        (["--photo-corners", "1,2"], "--friction-photo"),
    ):
        assert main(["pens", str(project), *options]) != 0
        assert text in capsys.readouterr().err
