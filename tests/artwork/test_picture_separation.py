"""A picture's colours to coverages: what is seen from afar, flat grounds, white grounds."""

import numpy as np
import pytest

from wallwright.artwork.colour import ciede2000, lab_of_light, rgb_of
from wallwright.artwork.inks.ink_model import InkModel
from wallwright.artwork.inks.picture_separation import picture_coverages
from wallwright.artwork.inks.separation import SeparationTable
from wallwright.artwork.raster.tone import linear, srgb
from wallwright.document.document import Pen

CELL, WIDTH = 1.0, 1.0
"""mm."""


@pytest.fixture(scope="module")
def separation() -> tuple[SeparationTable, InkModel]:
    model = InkModel.of_pens([Pen(c, c, c) for c in ("#000000", "#d02020", "#2050b0")])
    return SeparationTable.of(model, np.full(3, 0.96)), model


def striped(*colours: str) -> np.ndarray:
    """(120, 120, 3) linear light of stripes one cell wide."""
    light = linear(np.array([rgb_of(colour) for colour in colours]))
    return np.broadcast_to(light[np.arange(120) % len(colours)], (120, 120, 3)).astype(np.float32)


def each_by_itself(table: SeparationTable, light: np.ndarray) -> np.ndarray:
    return table.at(srgb(light.reshape(-1, 3).astype(float))).reshape(*light.shape[:2], -1)


@pytest.mark.parametrize("colours", [("#e0a090", "#405080"), ("#6b8f71", "#c98b5e", "#2f3d5c"), ("#808040", "#304060")])
def test_details_narrower_than_lines_are_seen_as_what_the_pens_mix_for_their_mean(separation, colours):
    """Pens meet in them by chance, so each colour by itself comes out pale and off hue: red and blue that should lie beside
    each other lie on each other."""
    table, model = separation
    light = striped(*colours)

    def seen(coverage: np.ndarray) -> np.ndarray:
        return lab_of_light(model.light(coverage[30:90, 30:90].reshape(-1, 3).mean(axis=0)[None].astype(float)))

    mean = light[30:90, 30:90].reshape(-1, 3).mean(axis=0)[None].astype(float)
    best = lab_of_light(model.light(table.at(srgb(mean)).astype(float)))
    alone = ciede2000(seen(each_by_itself(table, light)), best)[0]
    together = ciede2000(seen(picture_coverages(light, table, model, CELL, WIDTH)), best)[0]
    assert alone > 4.0
    assert together < 0.7 * alone


@pytest.mark.parametrize("colour", ["#408040", "#c0b090", "#101020", "#ffffff"])
def test_nothing_moves_in_flat_colours_that_cannot_be_mixed(separation, colour):
    table, model = separation
    light = striped(colour)
    found = picture_coverages(light, table, model, CELL, WIDTH)
    assert found == pytest.approx(each_by_itself(table, light), abs=1e-4)


def test_white_stays_white_beside_colours_that_cannot_be_mixed(separation):
    table, model = separation
    light = striped("#ffffff").copy()
    light[:, 60:] = linear(np.array([0.0, 255.0, 0.0]))
    found = picture_coverages(light, table, model, CELL, WIDTH)
    assert found[:, :60].max() == 0.0
    assert found[:, 60:].sum(axis=2).min() > 0.2


def test_a_finer_grid_gives_the_same_coverages(separation):
    """The picture in four times as many cells a side, of which means are taken from some."""
    table, model = separation
    random = np.random.default_rng(2)
    coarse = np.repeat(np.repeat(random.random((30, 30, 3)), 4, axis=0), 4, axis=1).astype(np.float32)
    fine = np.repeat(np.repeat(coarse, 4, axis=0), 4, axis=1)
    found = picture_coverages(fine, table, model, CELL / 4, WIDTH)[2::4, 2::4]
    assert np.abs(found - picture_coverages(coarse, table, model, CELL, WIDTH)).mean() < 0.01
