"""What is typed, what the file says and what a page shows are the same thing in three forms."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.messages.refusal import Refusal
from hollowglow.web.desk.values import as_typed, at, back_to, read_path, read_plain, typed
from hollowglow.web.page import measures

# Words that a person types for a part or a length; what reads as a number or a list is one.
NO_WORDS = ("true", "false", "nan", "inf", "infinity")
WORDS = st.from_regex(r"[a-z][a-z0-9 -]{0,20}[a-z0-9]", fullmatch=True).filter(lambda text: text not in NO_WORDS)
NUMBERS = st.integers(-(10**9), 10**9) | st.floats(-1e6, 1e6).filter(lambda value: value != int(value))
SCALARS = NUMBERS | st.booleans() | WORDS


@given(SCALARS)
def test_what_the_file_says_comes_back_from_its_field(value: Any) -> None:
    assert typed(as_typed(value)) == value
    assert type(typed(as_typed(value))) is type(value)


@pytest.mark.parametrize("text", ["nan", "inf", "-inf", "[1, 2", "{a:", "1e999", "5 ft 3 in", "0x10"])
def test_what_is_no_number_and_no_list_stays_words_for_the_checks_to_judge(text: str) -> None:
    assert typed(text) == text


@pytest.mark.parametrize("text", ["", "null", "[]", '["", 1]', "[-1]", "[true]", '{"a": 1}', "[[1]]", "[1.5]", "{"])
def test_a_name_that_is_no_path_is_refused(text: str) -> None:
    with pytest.raises(Refusal, match="Load the page again"):
        read_path(text)


def test_a_path_leads_through_tables_and_lists_and_ends_where_there_is_nothing() -> None:
    data = {"a": [{"b": 3}]}
    assert at(data, read_path('["a", 0, "b"]')) == 3
    assert [at(data, p) for p in ((), ("x",), ("a", 1), ("a", "b"), ("a", 0, "b", "c"))] == [
        data,
        None,
        None,
        None,
        None,
    ]
    with pytest.raises(Refusal, match="Load the page again"):
        read_plain("{")


@pytest.mark.parametrize(
    "address",
    ["https://elsewhere.example/feed", "//elsewhere.example", "/\\elsewhere.example", "feed", "javascript:x",
     "/feed\r\nset-cookie: a=b", "http://[", ""],
)  # fmt: skip
def test_a_form_leads_back_to_this_server_only(address: str) -> None:
    assert back_to(address) == "/overview"


def _metres(feet_and_inches: str) -> float:
    """Read feet and inches back; a foot is 0.3048 m exactly (international yard and pound agreement, 1959)."""
    found = re.fullmatch(r"(-?)(?:(\d+) ft)? ?(?:(\d+) ?)?(?:(\d+)/(\d+))?(?: ?in)?", feet_and_inches.replace(",", ""))
    assert found is not None, feet_and_inches
    sign, feet, inches, top, bottom = found.groups()
    eighths = int(top) / int(bottom) if top else 0.0
    return (-1 if sign else 1) * (int(feet or 0) * 0.3048 + (int(inches or 0) + eighths) * 0.0254)


@given(st.floats(-500, 500))
def test_feet_are_right_to_half_of_their_last_digit(metres: float) -> None:
    step = 0.0254 / 8 if abs(metres) < 0.3048 else 0.0254 if abs(metres) < 100 else 0.3048
    assert abs(_metres(measures.feet(metres)) - metres) <= step / 2 + 1e-9


@given(st.floats(-1e9, 1e9).filter(lambda v: abs(v) > 1e-9), st.integers(1, 6))
def test_a_number_is_shown_to_its_digits_and_without_an_exponent(value: float, digits: int) -> None:
    text = measures.rounded(value, digits)
    assert "e" not in text.lower()
    last = 10.0 ** (math.floor(math.log10(abs(value))) - digits + 1)
    # Half a unit of its last digit; digits before the point are never made noughts.
    assert abs(float(text.replace(",", "")) - value) <= 0.5 * min(last, 1.0) * (1 + 1e-9)


@pytest.mark.parametrize("value", [None, float("nan"), float("inf")])
def test_what_is_not_known_is_shown_as_that(value: float | None) -> None:
    shown = [measures.rounded(value), measures.quantity(value, "V"), measures.percent(value), measures.length(value)]
    assert shown == ["–"] * 4
