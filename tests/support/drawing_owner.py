"""A simulated owner of a machine that takes drawings: uses the commands, follows "What to type", and measures with a tape.

The machine is that of tests/support/drawing_machine.py; its body hangs in MuJoCo. The owner measures the true pen positions
with the errors of a tape.
"""

from __future__ import annotations

import csv
import json
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import shapely

from tests.support.drawing_machine import DrawingMachine
from tests.support.experienced import ExperiencedRunner
from tests.support.hanging_body import HangingBody
from wallwright.commands.main import main
from wallwright.document.calibration import LEFT, RIGHT
from wallwright.document.machine import Machine
from wallwright.document.project import read_project
from wallwright.planning.plan import Goal, Request

ARTWORK = """<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm" viewBox="0 0 200 200" fill="none"
 stroke-width="0.2"><path d="M10 10H190V190H10Z" stroke="#202020"/><circle cx="100" cy="100" r="90" stroke="#c02020"/>
<path d="M10 100H190M100 10V190" stroke="#202020"/><path d="M100 10L190 100L100 190L10 100Z" stroke="#c02020"/></svg>
"""
"""Artwork for two pens whose lines meet at sixteen points."""
SIGMA = 0.5
"""Standard deviation of a tape reading, mm."""
SAMPLE = 40.0
"""Largest distance between samples of the pen, mm."""


def _places(line: np.ndarray) -> np.ndarray:
    """Returns (n, 2) points of a line at most SAMPLE apart, including its corners."""
    string = shapely.LineString(line)
    corners = shapely.points(shapely.get_coordinates(shapely.simplify(string, 1.0)))
    evenly = np.linspace(0.0, string.length, max(int(np.ceil(string.length / SAMPLE)), 1) + 1)
    along = np.unique(np.concatenate([evenly, shapely.line_locate_point(string, corners)]))
    return shapely.get_coordinates(shapely.line_interpolate_point(string, along))


@dataclass
class Drawn:
    """A drawing on the wall."""

    wanted: list[tuple[str, np.ndarray]]
    """Colour and points (n, 2), mm, of each planned stroke."""
    lines: list[tuple[str, np.ndarray]]
    """The same of each drawn stroke."""
    error: np.ndarray
    """(k,) distance of each drawn point from the planned lines of its pen, mm."""
    missed: float
    """Largest distance of a planned point from the lines drawn by its pen, mm."""


@dataclass
class Owner:
    """A person with a machine and a folder."""

    folder: Path
    machine: DrawingMachine
    anchors: tuple[tuple[float, float], tuple[float, float]]
    random: np.random.Generator = field(default_factory=lambda: np.random.default_rng(7))

    def run(self, *arguments: object) -> None:
        """Runs a command, which must succeed."""
        assert main([str(a) for a in arguments]) == 0, arguments

    def tape(self, a: np.ndarray, b: np.ndarray) -> float:
        return float(np.hypot(*(np.asarray(b) - a)) + self.random.normal(0, SIGMA))

    def lines_of(self, job: str) -> list[tuple[str, np.ndarray]]:
        """Returns colour and points (n, 2), in the machine's plane, of every line of a job's files except ticks,
        drawn with the numbers in its report."""
        what = json.loads((self.folder / job / "report.json").read_text())["what_to_type"]
        typed = {number["ask"]: number["value"] for number in what["typed"]}
        return [
            (file["colour"], line)
            for file in what["files"]
            for line in self.machine.placed((self.folder / job / file["file"]).read_text(), typed)[
                len(what["strips"]) :
            ]
        ]

    def crosses_of(self, job: str, arm: float) -> np.ndarray:
        """Returns (k, 2) the centres of crosses with the given arm length, mm on the wall."""
        lines = [line for _, line in self.lines_of(job)]
        middle = np.array([(line[0] + line[-1]) / 2 for line in lines])
        size = np.array([np.hypot(*(line[-1] - line[0])) for line in lines])
        fits = np.abs(size / (2 * arm) - 1) < 0.5  # the plane is stretched near the top
        apart = np.hypot(*(middle[:, None] - middle[None]).transpose(2, 0, 1)) + np.where(fits, 0, np.inf)
        pairs = np.argwhere(np.triu(apart < 0.1 * arm, 1) & fits[:, None])
        return self.machine.pens(middle[pairs[:, 0]])

    def proof_tape(self, job: str) -> str:
        """Returns the four readings of a proof drawing as typed."""
        lines = [line for _, line in self.lines_of(job)]
        longest = max(lines, key=lambda line: np.hypot(*(line[-1] - line[0])))
        beside = self.machine.pens(((longest[0] + longest[-1]) / 2)[None])[0]
        rest = [line for line in lines if line is not longest]
        middles = np.array([(line[0] + line[-1]) / 2 for line in rest])
        is_first = np.hypot(*(middles - middles[0]).T) < 5
        pens = self.machine.pens(np.array([middles[is_first].mean(axis=0), middles[~is_first].mean(axis=0)]))
        pens = pens[np.argsort(np.hypot(*(pens - beside).T))]
        return ",".join(f"{self.tape(anchor, pen):.1f}" for pen in pens for anchor in self.anchors)

    def fill_in(self, job: str, project: Path, readings: Path, arm: float) -> None:
        """Measures the crosses of a test drawing, and fills in the list of readings."""
        marks = read_project(project).hangings[0].survey.marks
        meant = np.array([(m.x, m.y) for m in marks])
        seen = self.crosses_of(job, arm)
        moved = seen - (seen.mean(axis=0) - meant.mean(axis=0))
        order = np.hypot(*(meant[:, None] - moved[None]).transpose(2, 0, 1)).argmin(axis=1)
        assert len(seen) == len(marks) == len(set(order.tolist()))
        places = {m.name: seen[k] for m, k in zip(marks, order, strict=True)}
        places |= {LEFT: np.array(self.anchors[0]), RIGHT: np.array(self.anchors[1])}
        with readings.open(newline="") as file:
            rows = list(csv.DictReader(file))
        for row in rows:
            d = places[row["to"]] - places[row["from"]]
            value = {"distance": np.hypot(*d), "across": d[0], "down": d[1]}[row["kind"]]
            row["mm"] = f"{value + self.random.normal(0, SIGMA):.1f}"
            row["uncertainty"] = str(SIGMA)
        with readings.open("w", newline="") as file:
            writer = csv.DictWriter(file, rows[0].keys())
            writer.writeheader()
            writer.writerows(rows)

    def draw(self, project: Path, job: str) -> Drawn:
        """Draws a job by "What to type", and compares it with the plan."""
        document = read_project(project)
        strokes = ExperiencedRunner().run(Request(1, document, Goal.PREVIEW)).preview.strokes
        wanted = [(document.pens[strokes.pen[k]].colour, strokes[k]) for k in range(len(strokes))]
        lines = [(c, self.machine.pens(_places(line))) for c, line in self.lines_of(job)]
        errors, missed = [], 0.0
        for colour in {c for c, _ in wanted}:
            plan = shapely.union_all([shapely.LineString(line) for c, line in wanted if c == colour])
            ink = shapely.union_all([shapely.LineString(line) for c, line in lines if c == colour])
            places = np.concatenate([line for c, line in lines if c == colour])
            errors.append(shapely.distance(shapely.points(places), plan))
            planned = np.concatenate([line[:: max(len(line) // 50, 1)] for c, line in wanted if c == colour])
            missed = max(missed, float(shapely.distance(shapely.points(planned), ink).max()))
        return Drawn(wanted, lines, np.concatenate(errors), missed)


def known_owner(folder: Path) -> Owner:
    """Returns an owner whose machine is as described: two belts to a point; left, top and width are typed."""
    machine, anchors = Machine(), ((0.0, 0.0), (2000.0, 0.0))
    body = HangingBody(
        anchors,
        (machine.body.left_exit, machine.body.right_exit),
        machine.body.centre,
        machine.body.mass,
        machine.belt.stiffness,
    )
    return Owner(folder, DrawingMachine("typed", body, machine.steps_per_mm), anchors)


def unknown_owner(folder: Path) -> Owner:
    """Returns an owner who does not know that the page reads pixels, draws upside down and places the ink's box, that the
    formula has separate exits and another distance, and that anchors, exits, mass and belts differ from the measured
    values."""
    machine, anchors = Machine(), ((0.0, 0.0), (2002.0, -1.5))
    body = HangingBody(anchors, ((-61.0, 1.0), (60.5, -1.0)), (1.0, 26.0), 0.77, 9000.0)
    hidden = DrawingMachine(
        "ink",
        body,
        machine.steps_per_mm,
        unit="px",
        is_up=True,
        added=-4.0,
        spacing=120.0,
        own_steps=80.2,
        zero=(9.0, -5.0),
        offset=(31.0, 12.0),
    )
    return Owner(folder, hidden, anchors)


def compose(owner: Owner, name: str, *page: str) -> Path:
    """Writes the owner's project: a wall of 3 m, two pens, a machine that takes a drawing with this page (NAME=VALUE
    each)."""
    artwork, project = owner.folder / "two colours.svg", owner.folder / f"{name}.wallwright"
    artwork.write_text(ARTWORK)
    options = [word for setting in page for word in ("--page", setting)]
    place = ("--wall", "3000x2500", "--wall-corner", "-500,-300", "--right-anchor", "2000,0")
    picture = ("--artwork", artwork, "--width", "900", "--at", "1000,950")
    pens = ("--pen", "#202020,2,Black marker", "--pen", "#c02020,2,Red marker")
    light = ("--set", "machine.belt.mass=0")  # MuJoCo's belts are massless
    owner.run("compose", project, *place, *picture, *pens, "--takes", "drawing", *options, *light)
    return project


def draw_known(folder: Path) -> Drawn:
    """Draws with a known machine: project, page settings, two pens, export, drawing."""
    owner = known_owner(folder)
    project = compose(owner, "known", "asks=distance,left,top,width")
    owner.run("export", project, "--folder", folder / "known-job")
    return owner.draw(project, "known-job")


def draw_unknown(folder: Path) -> tuple[Drawn, Drawn]:
    """Draws with an unknown machine before and after calibration: proof, readings, calibration, export."""
    owner = unknown_owner(folder)
    project = compose(owner, "unknown", "is_known=no", "asks=distance,left,top")
    proof, test, readings = folder / "proof.wallwright", folder / "test.wallwright", folder / "readings.csv"
    owner.run("calibrate", project, "--proof", "--test", proof)
    owner.run("export", proof, "--folder", folder / "proof-job")
    owner.run("calibrate", project, "--proof-tape", owner.proof_tape("proof-job"), "--write")
    owner.run("export", project, "--folder", folder / "before-job")
    before = owner.draw(project, "before-job")
    owner.run("calibrate", project, "--figure", "grid", "--test", test, "--list", readings)
    owner.run("export", test, "--folder", folder / "test-job")
    owner.fill_in("test-job", project, readings, 12.0)
    owner.run("calibrate", project, "--readings", readings, "--write")
    owner.run("export", project, "--folder", folder / "after-job")
    return before, owner.draw(project, "after-job")
