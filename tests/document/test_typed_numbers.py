"""Numbers as a person types them. Units: SI Brochure, 9th edition, 2019, tables 2 and 7; the international inch and foot of
1959, 25.4 and 304.8 mm (NIST SP 811, 2008, appendix B.8; all from memory)."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.document.controller import Controller, Lift
from wallwright.document.document import Fill, Pen
from wallwright.document.errors import BadValue
from wallwright.document.language import Language, format_number, set_language, tr
from wallwright.document.limits import Limits
from wallwright.document.machine import Belt, Body, Motor
from wallwright.document.quantity import quantities
from wallwright.document.typed_numbers import evaluate, evaluate_pair, shown, value_of

TYPES = (Fill, Pen, Belt, Body, Motor, Limits, Lift, Controller)
ANGLE, WIDTH = quantities(Fill)["angle"], quantities(Pen)["width"]


@given(
    st.floats(-1e5, 1e5),
    st.sampled_from([("mm", 1.0), ("cm", 10.0), ("m", 1000.0), ("in", 25.4), ("ft", 304.8)]),
)
def test_a_number_with_a_unit_is_that_many(number, unit):
    assert evaluate(f"{number!r} {unit[0]}", "mm") == pytest.approx(number * unit[1])


@pytest.mark.parametrize("text", ["1e400", "1e300*1e300", "1e400-1e400", "nan", "inf"])
def test_a_number_that_is_not_finite_is_refused(text):
    with pytest.raises(BadValue):
        evaluate(text, "mm")


@settings(deadline=None, derandomize=True)
@given(st.floats(-180, 180))
def test_angles_are_typed_in_degrees(degrees):
    assert value_of(ANGLE, repr(degrees)) == pytest.approx(math.radians(degrees))


@pytest.mark.parametrize(("text", "words"), [("200", "is not between −180 and 180 °"), ("-181", "not between")])
def test_an_angle_beyond_its_range_is_named_in_degrees(text, words):
    with pytest.raises(BadValue, match=words):
        value_of(ANGLE, text)


def test_shares_are_typed_in_per_cent_with_the_sign_that_fields_show():
    opacity = quantities(Pen)["opacity"]
    for text in ("30", "30 %", "30%", "60 % / 2"):
        assert value_of(opacity, text) == pytest.approx(0.3)
    assert opacity.shown_unit == "%" and opacity.to_shown(0.3) == pytest.approx(30)
    with pytest.raises(BadValue, match="101 % is not between 0 and 100 %"):
        value_of(opacity, "101 %")


def test_every_unit_that_a_field_shows_can_be_typed():
    """A number that is changed keeps its unit in the field."""
    found = {q.shown_unit for type_ in TYPES for q in quantities(type_).values()}
    assert {"%", "°", "mm/s", "kg/m", "Ω"} <= found
    for unit in found:
        assert evaluate(f"2 {unit}", unit) == 2.0


def test_sentences_have_a_minus_sign_and_fields_what_keys_have():
    """Unicode 15.0, chapter 6.2: U+2212 is the minus sign; U+002D is read too."""
    assert tr("Pen {0:.1f} mm off.", -2.5) == "Pen −2.5 mm off." and format_number(-3, "d") == "−3"
    assert tr("{0}", "-2") == "-2" and shown(-2.5) == "-2.5"
    for text in (format_number(-2.5), shown(-2.5)):
        assert evaluate(text, "mm") == -2.5


def test_both_ends_of_a_range_can_be_typed():
    for quantity in (ANGLE, WIDTH):
        for end in (quantity.low, quantity.high):
            assert value_of(quantity, repr(quantity.to_shown(end))) == end


def test_pairs_are_separated_by_a_comma_or_a_semicolon():
    assert evaluate_pair("1 m, 20") == evaluate_pair("1000; 2 cm") == (1000, 20)
    with pytest.raises(ValueError, match="unpack"):
        evaluate_pair("1, 2, 3")


def test_one_number_of_a_pair_is_the_first(request):
    assert evaluate_pair("0", 20.0) == (0, 20) and evaluate_pair("2 cm", 0.0) == (20, 0)
    assert evaluate_pair("1 m, 20", 7.0) == (1000, 20)
    with pytest.raises(ValueError, match="unpack"):
        evaluate_pair("0")
    request.addfinalizer(lambda: set_language(Language()))
    set_language(Language("de", ","))
    assert evaluate_pair("2.5", 20.0) == (2.5, 20) and evaluate_pair("2,5; 3", 20.0) == (2.5, 3)
    assert evaluate_pair("1, 3", 20.0) == (1, 3)
    with pytest.raises(BadValue, match="Semikolon"):
        evaluate_pair("2,5", 20.0)
