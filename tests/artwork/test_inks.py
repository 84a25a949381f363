"""Pens as inks: the ink model against sums over overprints and painted lines, separation against CIEDE2000."""

import itertools

import numpy as np
import pytest

from tests.support.ink import inked
from wallwright.artwork.colour import ciede2000, difference_metric, lab_of, lab_of_light, lab_slopes, rgb_of
from wallwright.artwork.inks.ink_model import InkModel, demichel
from wallwright.artwork.inks.recipes import MOST_OF_TWO, SECOND_PEN, recipes_of
from wallwright.artwork.inks.separation import SeparationTable, coverages_of, darkest_of, within_reach
from wallwright.artwork.raster.tone import linear
from wallwright.document.document import Pen

CMYK = ("#00a0e0", "#e0007f", "#ffe600", "#000000")
SETS = {
    "cmyk": CMYK,
    "black, red, blue": ("#000000", "#d02020", "#2050b0"),
    "black, red, yellow": ("#202020", "#c02020", "#f0d020"),
}
RANDOM = np.random.default_rng(5)


def pens(colours, **fields) -> list[Pen]:
    return [Pen(str(i), str(i), colour, **fields) for i, colour in enumerate(colours)]


def delta(first: np.ndarray, second: np.ndarray) -> np.ndarray:
    return ciede2000(first, second)


def test_the_share_of_each_overprint_is_demichels():
    """Worked out by hand: a half and a quarter leave (1 - 1/2)(1 - 1/4) bare."""
    assert demichel(np.array([[0.5, 0.25]])).tolist() == [[0.375, 0.375, 0.125, 0.125]]


@pytest.mark.parametrize("opacity", [0.0, 0.4, 1.0])
def test_light_is_the_mean_of_the_overprints(opacity):
    """Neugebauer (1937): summed overprint by overprint, each filter multiplied in turn."""
    model = InkModel.of_pens(pens(CMYK, opacity=opacity))
    coverage = RANDOM.random((20, 4))
    wanted = np.zeros((20, 3))
    for there in itertools.product((0, 1), repeat=4):
        seen = np.ones(3)
        for ink in np.flatnonzero(there):
            seen = model.filters[ink] * (opacity + (1 - opacity) * seen)
        share = np.prod(np.where(there, coverage, 1 - coverage), axis=1)
        wanted += share[:, None] * seen
    assert model.light(coverage) == pytest.approx(wanted, abs=1e-12)
    assert demichel(coverage) @ model.primaries() == pytest.approx(wanted, abs=1e-12)


def test_light_that_spreads_under_the_ink_darkens_tints():
    """Yule and Nielsen (1951): R = ((1 - a) + a R_ink^(1/n))^n."""
    black = InkModel.of_pens(pens(["#808080"]), n=2.0)
    ink = linear(128.0)
    assert black.light(np.array([[0.5]]))[0, 0] == pytest.approx((0.5 + 0.5 * ink**0.5) ** 2)
    two = InkModel.of_pens(pens(["#808080", "#c02020"]), n=2.0)
    mixed = (demichel(np.array([[0.3, 0.6]])) @ two.primaries() ** 0.5) ** 2
    assert two.light(np.array([[0.3, 0.6]])) == pytest.approx(mixed, abs=1e-12)


def test_ink_that_spreads_covers_more_in_the_middle_and_no_more_at_the_ends():
    model = InkModel.of_pens(pens(["#000000"], gain=0.1))
    assert 1 - model.light(np.array([[0.0], [0.5], [1.0]]))[:, 0] == pytest.approx([0.0, 0.6, 1.0], abs=2e-4)


@pytest.mark.parametrize("n", [1.0, 1.7])
def test_slopes_are_those_of_differences(n):
    model = InkModel.of_pens(pens(CMYK, opacity=0.3, gain=0.05), n)
    coverage, step = 0.1 + 0.8 * RANDOM.random((10, 4)), 1e-6
    light, slopes = model.light_and_slopes(coverage)
    assert light == pytest.approx(model.light(coverage))
    for ink in range(4):
        moved = coverage.copy()
        moved[:, ink] += step
        assert slopes[:, :, ink] == pytest.approx((model.light(moved) - light) / step, abs=1e-4)


def test_hatches_at_two_angles_are_seen_as_the_model_says():
    """Painted by Qt: two pens' hatches, 60 degrees apart, and the mean of what is painted."""
    size, width, shares = 300.0, 2.0, (0.5, 0.35)
    masks = []
    for angle, share in zip((0.3, 0.3 + np.pi / 3), shares, strict=True):
        along, across = np.array([np.cos(angle), np.sin(angle)]), np.array([-np.sin(angle), np.cos(angle)])
        rows = np.arange(-300, 300, width / share)
        lines = [np.array([-400 * along, 400 * along]) + size / 2 + row * across for row in rows]
        masks.append(inked(lines, width, (size, size), per_width=8))
    model = InkModel.of_pens(pens(["#202020", "#c02020"]))
    seen = np.mean(
        np.prod([np.where(m[..., None], f, 1.0) for m, f in zip(masks, model.filters, strict=True)], axis=0),
        axis=(0, 1),
    )
    assert delta(lab_of_light(seen[None]), lab_of_light(model.light(np.array([shares]))))[0] < 1.0


def test_small_differences_are_those_of_ciede2000():
    """Away from the blue that the formula turns (275 degrees), to 2 % of what the formula itself gives."""
    lab = np.column_stack([RANDOM.uniform(10, 95, 200), RANDOM.uniform(-60, 60, 200), RANDOM.uniform(-5, 80, 200)])
    step = RANDOM.normal(size=(200, 3)) * 0.05
    seen = np.linalg.norm(np.einsum("nij,nj->ni", difference_metric(lab), step), axis=1)
    assert seen == pytest.approx(delta(lab, lab + step), rel=0.02)


def test_slopes_of_lab_are_those_of_differences():
    light = RANDOM.random((20, 3))
    for channel in range(3):
        moved = light.copy()
        moved[:, channel] += 1e-7
        wanted = (lab_of_light(moved) - lab_of_light(light)) / 1e-7
        assert lab_slopes(light)[:, :, channel] == pytest.approx(wanted, rel=1e-3, abs=1e-2)


@pytest.mark.parametrize("name", SETS)
def test_what_the_pens_can_mix_is_mixed(name):
    """Colours made of up to 1.2 layers of ink are found again, as seen from afar."""
    model = InkModel.of_pens(pens(SETS[name]))
    coverage = RANDOM.random((200, len(model.filters))) ** 2
    coverage *= np.minimum(1.0, 1.2 / coverage.sum(axis=1, keepdims=True)) * 0.9
    lab = lab_of_light(model.light(coverage))
    bright = lab[:, 0] > 2.5 * darkest_of(model, np.full(len(model.filters), 0.92))
    found = coverages_of(model, lab, np.full(len(model.filters), 0.92))
    off = delta(lab_of_light(model.light(found)), lab)[bright]
    assert np.mean(off) < 0.8
    assert np.percentile(off, 95) < 2.5


@pytest.fixture(scope="module", params=list(SETS))
def separated(request) -> tuple[InkModel, SeparationTable]:
    model = InkModel.of_pens(pens(SETS[request.param]))
    return model, SeparationTable.of(model, np.full(len(model.filters), 0.92))


def test_white_stays_white_and_greys_are_black_ink_in_order(separated):
    model, table = separated
    greys = np.repeat(np.arange(0.0, 256.0, 5.0)[:, None], 3, axis=1)
    coverage = table.at(greys).astype(float)
    assert coverage[-1].tolist() == [0.0] * coverage.shape[1]
    light = lab_of_light(model.light(coverage))
    assert np.all(np.diff(light[:, 0]) > -0.3)
    middle = (greys[:, 0] >= 100) & (greys[:, 0] <= 250)
    black = int(np.argmin(model.filters.sum(axis=1)))
    others = np.delete(coverage[middle], black, axis=1)
    assert others.max() < 0.12
    assert others.mean() < 0.02
    assert delta(light, lab_of(greys))[middle].max() < 2.0


def test_what_is_darker_stays_darker(separated):
    """To within 2.2 of L*, along ramps from white through a hue to black, whether the pens have the hue or not."""
    model, table = separated
    for hue in ("#ff0000", "#00c000", "#0000ff", "#e0c000", "#00b0b0", "#c000c0"):
        to_hue, to_black = np.linspace(0, 1, 40)[:, None], np.linspace(0, 1, 40)[1:, None]
        colour = np.array(rgb_of(hue), dtype=float)
        ramp = np.concatenate([255 + to_hue * (colour - 255), colour * (1 - to_black)])
        light = lab_of_light(model.light(table.at(ramp).astype(float)))[:, 0]
        assert np.diff(light).max() < 2.2


def test_neighbouring_colours_have_neighbouring_coverages(separated):
    """Steps of one in 255 along random straight lines through the cube of colours change coverages by 6 % at most along 19 of
    20 lines, by 8.5 % along any. The lines do not depend on which tests ran before."""
    _, table = separated
    largest = []
    for first, last in np.random.default_rng(5).uniform(0, 255, (200, 2, 3)):
        steps = int(np.abs(last - first).max())
        path = first + np.linspace(0, 1, steps)[:, None] * (last - first)
        largest.append(float(np.abs(np.diff(table.at(path), axis=0)).max()))
    assert np.percentile(largest, 95) < 0.06
    assert max(largest) < 0.085


def test_dark_colours_between_those_of_the_table_are_mixed_as_by_themselves(separated):
    """Random colours up to 140 of 255, mean CIEDE2000 beyond that of the coverages found for each alone."""
    model, table = separated
    colours = np.random.default_rng(9).random((400, 3)) ** 2 * 120 + np.array([0.0, 0.0, 20.0])
    lab, limit = lab_of(colours), np.full(len(model.filters), 0.92)
    from_table, alone = (model.light(x.astype(float)) for x in (table.at(colours), coverages_of(model, lab, limit)))
    further = delta(lab_of_light(from_table), lab) - delta(lab_of_light(alone), lab)
    assert further.mean() < 0.13


def test_lightness_out_of_reach_is_moved_in_order_and_without_a_bend():
    wanted = np.linspace(0, 100, 1001)
    moved = within_reach(wanted, 20.0)
    assert moved[0] == pytest.approx(20.0)
    assert moved[wanted >= 50] == pytest.approx(wanted[wanted >= 50])
    slope = np.diff(moved)
    assert np.all(slope > 0)
    assert np.abs(np.diff(slope)).max() < 0.002  # of 0.1


def test_what_cannot_be_mixed_comes_nearly_as_near_as_any_mixture():
    """Browns and oranges with black, red and blue, beside the best of all mixtures in steps of a thirtieth by CIEDE2000."""
    model = InkModel.of_pens(pens(("#000000", "#d02020", "#2050b0")))
    lab = lab_of(np.array([[r, g, b] for r in (130, 170, 210) for g in (90, 120, 150) for b in (20, 60, 90) if r > g]))
    limit = np.full(3, 0.92)
    steps = np.linspace(0, 0.92, 30)
    mixtures = lab_of_light(model.light(np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(-1, 3)))
    best = np.array([delta(np.repeat(colour[None], len(mixtures), axis=0), mixtures).min() for colour in lab])
    found = delta(lab_of_light(model.light(coverages_of(model, lab, limit))), lab)
    assert best.mean() > 8
    assert found.mean() < best.mean() + 0.05
    assert (found - best).max() < 0.2


def test_recipes_come_nearly_as_near_as_any_mixture_of_two_pens():
    """Random colours, far from all inks too, beside the best tint of one pen and mixture of two in steps of a fortieth, less
    what a second pen and ink cost."""
    owned = pens(("#000000", "#d02020", "#2050b0"))
    colours = [f"#{r:02x}{g:02x}{b:02x}" for r, g, b in np.random.default_rng(2).integers(0, 256, (60, 3)).tolist()]
    found = recipes_of(colours, owned)
    steps = np.linspace(0, MOST_OF_TWO, 40)
    tried = [np.column_stack([np.linspace(0, 1, 100)] * 3) * axis for axis in np.eye(3)]
    for pair in itertools.combinations(range(3), 2):
        mixed = np.zeros((1600, 3))
        mixed[:, list(pair)] = np.stack(np.meshgrid(steps, steps), axis=-1).reshape(-1, 2)
        tried.append(mixed)
    seen = lab_of_light(InkModel.of_pens(owned).light(np.concatenate(tried)))
    lab = lab_of(np.array([rgb_of(colour) for colour in colours]))
    light = lab[:, 0] > 25  # what is darker is moved within reach
    best = np.array([delta(np.repeat(colour[None], len(seen), axis=0), seen).min() for colour in lab])
    mine = np.array([found[colour].difference for colour in colours])
    assert (mine - best)[light].max() < SECOND_PEN + 1.0
    assert (mine - best)[light].mean() < 1.0
