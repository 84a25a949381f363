"""Readings that check each other (Baarda 1968): redundancy against adjustments done anew with numpy, the minimal detectable
error against random errors, and gross readings in surveys. The full figures: tests/benchmarks/bench_gross_readings.py."""

import msgspec
import numpy as np
import pytest

from tests.support.gross_readings import HANGING, MACHINE, case_of, proposal_of
from wallwright.document.calibration import LEFT, RIGHT, Mark, Survey, TapeReading, reading_titles
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.calibration.figure_proposal import FIGURES
from wallwright.statics.calibration.fit import FEWEST, fit_calibration
from wallwright.statics.calibration.measurement_model import Readings
from wallwright.statics.calibration.reliability import (
    DETECTION_QUANTILE,
    GROSS,
    SUSPECT,
    detectable_errors,
    differing_repeats,
    redundancies,
    with_one_more,
)
from wallwright.statics.calibration.report_text import remarks, twice_sentence
from wallwright.statics.pose import inverse_kinematics


def _adjusted(rows, variance, prior, errors):
    """(m, k) residuals of readings with errors (m, k), by numpy's least squares with what was known before as readings."""
    p = rows.shape[1]
    every = np.vstack([rows / np.sqrt(variance)[:, None], np.eye(p) / prior[:, None]])
    values = np.vstack([errors / np.sqrt(variance)[:, None], np.zeros((p, errors.shape[1]))])
    return errors - rows @ np.linalg.lstsq(every, values, rcond=None)[0]


@pytest.fixture
def network():
    random = np.random.default_rng(5)
    rows, variance, prior = random.normal(size=(9, 5)), random.uniform(0.2, 2.0, 9), random.uniform(1.0, 10.0, 5)
    covariance = np.linalg.inv((rows / variance[:, None]).T @ rows + np.diag(1 / prior**2))
    return rows, variance, prior, covariance


def test_redundancy_is_the_share_of_an_error_that_its_residual_shows(network):
    rows, variance, prior, covariance = network
    shown = np.diag(_adjusted(rows, variance, prior, np.eye(9)))
    np.testing.assert_allclose(redundancies(rows, variance, covariance), shown, atol=1e-9)


def test_redundancies_with_one_reading_more(network):
    rows, variance, prior, _ = network
    covariance = np.linalg.inv((rows[:8] / variance[:8, None]).T @ rows[:8] + np.diag(1 / prior**2))
    found = with_one_more(rows[8:], variance[8:], covariance, rows[:8], variance[:8])[0]
    np.testing.assert_allclose(found, np.diag(_adjusted(rows, variance, prior, np.eye(9))), atol=1e-9)


def test_an_error_of_the_detectable_size_shows_in_98_of_100(network):
    """Random errors of all readings and of what was known before."""
    rows, variance, prior, covariance = network
    random, n, k = np.random.default_rng(1), 20_000, 4
    redundancy = redundancies(rows, variance, covariance)
    errors = np.sqrt(variance)[:, None] * random.normal(size=(9, n)) - rows @ (
        prior[:, None] * random.normal(size=(5, n))
    )
    errors[k] += detectable_errors(variance, redundancy)[k]
    left = _adjusted(rows, variance, prior, errors)[k] / np.sqrt(variance[k] * redundancy[k])
    assert left.std() == pytest.approx(1.0, abs=0.02) and left.mean() == pytest.approx(
        SUSPECT + DETECTION_QUANTILE, abs=0.03
    )
    assert np.mean(left > SUSPECT) == pytest.approx(0.98, abs=0.004)


@pytest.mark.parametrize("figure", FIGURES)
def test_an_error_of_5_mm_in_each_reading_of_a_figure_shows(figure):
    """In the other readings, or in the second take of a reading that no other one checks. The figure says which those are."""
    proposal = proposal_of(figure, None)
    assert max(proposal.detectable) <= GROSS
    twice = [m.words for k, m in enumerate(proposal.measures) if m in proposal.measures[k + 1 :]]
    assert twice and all(words in twice_sentence(proposal.measures) for words in twice)
    titles = reading_titles(proposal.measures)
    assert sum(title.endswith("(again)") for title in titles) == len(twice) and len(set(titles)) == len(titles)
    assert twice_sentence(proposal.measures[: len(titles) - len(twice)]) == ""


def test_two_takes_of_a_reading_are_compared():
    """3 mm between them are more than reading a tape explains, and less than the tape's own uncertainty would show."""
    measures = tuple(TapeReading("distance", "A", "B", value, 1.0) for value in (1000.0, 1003.0, 1001.0))
    marks = (Mark("A", 0, 0, 0, 0), Mark("B", 1000, 0, 0, 0))
    readings = Readings.of(marks, measures)
    assert differing_repeats(readings, np.array([True, True, True])) == [0, 1]
    assert differing_repeats(readings, np.array([True, False, True])) == []


@pytest.mark.parametrize("figure", ["few", "square"])
def test_a_gross_reading_is_found_and_no_good_one_thrown_out(figure):
    found = [case_of(figure, error, None, seed) for error, seed in ((10.0, 1), (5.0, 2))]
    assert all(case.is_found for case in found)
    assert not any(case.good_left_out for case in found)


def test_of_two_readings_that_contradict_each_other_none_is_thrown_out():
    """Nothing tells which of the two is wrong: both are named, to be taken again."""
    place = np.array([[1000.0, 800.0]])
    belts = inverse_kinematics(CableRobotModel.of(MACHINE, HANGING), place).belts[0].tolist()
    mark = Mark("A", 1000.0, 800.0, *belts)
    values = (2000.0, 2010.0, float(np.hypot(1000.0, 800.0)))
    ends = ((LEFT, RIGHT), (LEFT, RIGHT), (LEFT, "A"))
    measures = tuple(TapeReading("distance", a, b, v, 0.5) for (a, b), v in zip(ends, values, strict=True))
    more = msgspec.structs.replace(measures[2], b="A", value=values[2] + 0.1)
    survey = Survey("square", (mark,), (*measures, more))
    assert len(survey.read) > FEWEST
    outcome = fit_calibration(MACHINE, HANGING, survey)
    assert not outcome.slips and {s.measure for s in outcome.suspects} == {0, 1}
    assert any("may be wrong" in text for text in remarks(outcome, survey))
