"""Every number at both ends of its range, one by one and in pairs: a finite plan or a sentence, never anything else.

Ranges are those that the program itself declares (document/quantity.py); finite, and shorter than a month, is what a
person can use.
"""

import random

import pytest

from tests.support.every_value import fault_of, numbers_in, small_document
from wallwright.document import edits
from wallwright.document.quantity import Quantity
from wallwright.planning.runner import Runner

DOCUMENT = small_document()
NUMBERS = list(numbers_in(DOCUMENT))
PARTS = sorted({path.rpartition(".")[0] for path, _ in NUMBERS})
RUNNER = Runner()
"""Shared: stages that a number does not touch are not run again."""


def ends_of(quantity: Quantity) -> list[float]:
    """Both ends of the range, and next to 0 the smallest that the quantity allows."""
    ends = [quantity.low, quantity.high]
    if quantity.least:
        ends.append(quantity.least)
    kind = int if isinstance(quantity.default, int) else float
    return [kind(end) for end in ends]


@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize("is_sample", [True, pytest.param(False, marks=pytest.mark.slow)])
def test_every_number_alone(part, is_sample):
    """is_sample: one end of each range only, in turn."""
    faults = {
        f"{path}={value:g}": fault
        for number, (path, quantity) in enumerate(NUMBERS)
        if path.rpartition(".")[0] == part
        for value in (ends_of(quantity)[number % 2 :][:1] if is_sample else ends_of(quantity))
        if (fault := fault_of(edits.with_field(DOCUMENT, path, value), RUNNER))
    }
    assert not faults


def pairs(seed: int, count: int):
    """Random pairs of numbers, each at one end of its range; a failure prints its pair."""
    rng = random.Random(seed)
    for _ in range(count):
        (one, a), (two, b) = rng.sample(NUMBERS, 2)
        yield one, rng.choice(ends_of(a)), two, rng.choice(ends_of(b))


def check_pairs(seed: int, count: int) -> None:
    for one, a, two, b in pairs(seed, count):
        document = edits.with_field(edits.with_field(DOCUMENT, one, a), two, b)
        fault = fault_of(document, RUNNER)
        assert not fault, f"{one}={a:g} {two}={b:g}: {fault}"


def test_random_pairs():
    check_pairs(seed=1, count=25)


@pytest.mark.slow
@pytest.mark.timeout(1800)
@pytest.mark.parametrize("seed", range(10, 20))
def test_many_random_pairs(seed):
    check_pairs(seed, 200)


@pytest.mark.slow
@pytest.mark.parametrize("part", PARTS)
def test_numbers_next_to_nothing(part):
    """Where 0 is allowed, so is what a computer can hardly tell from it, or it is refused in a sentence."""
    for path, quantity in NUMBERS:
        if path.rpartition(".")[0] != part or isinstance(quantity.default, int) or not quantity.low <= 0:
            continue
        for value in (1e-300, 1e-9):
            fault = fault_of(edits.with_field(DOCUMENT, path, value), RUNNER)
            assert not fault, f"{path}={value:g}: {fault}"
