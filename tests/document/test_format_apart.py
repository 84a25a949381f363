"""A number beside its limit never reads as the limit."""

import pytest

from wallwright.document.language import format_apart


@pytest.mark.parametrize(
    ("value", "limit", "text"),
    [
        (1.297, 1.3, "1.297"),  # once "1.30", beside "aim for at least 1.3"
        (1.2996, 1.3, "1.2996"),
        (1.06, 1.3, "1.06"),
        (1.32, 1.3, "1.32"),
        (1.3, 1.3, "1.30"),
    ],
)
def test_a_number_beside_its_limit_has_the_digits_that_differ(value, limit, text):
    assert format_apart(value, limit, 2) == text


def test_whole_numbers_too():
    assert format_apart(2400.4, 2400.0, 0) == "2400.4"  # once "up to 2400 mm of belt; there is 2400 mm", and an error
    assert format_apart(2399.0, 2400.0, 0) == "2399"
