"""A number that is sent in an address or a form is one a row could have, or it is none."""

from __future__ import annotations

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from school.sent import whole_number, whole_numbers

# Unicode's own classes: digits that are no decimals (No), and decimals of other scripts (Nd).
SUPERSCRIPT_TWO, ARABIC_INDIC_THREE = "\N{SUPERSCRIPT TWO}", "\N{ARABIC-INDIC DIGIT THREE}"


@given(st.integers(min_value=0, max_value=10**18 - 1))
def test_a_number_is_read_as_it_was_written(number: int) -> None:
    assert whole_number(str(number)) == number


@given(st.text())
def test_whatever_is_sent_is_a_number_from_nought_up_or_none(said: str) -> None:
    number = whole_number(said)
    assert number is None or (number >= 0 and set(said) <= set("0123456789"))


@pytest.mark.parametrize(
    "said", [None, "", " 3", "-3", "3.0", SUPERSCRIPT_TWO, ARABIC_INDIC_THREE, "9" * 19, "9" * 5000]
)
def test_signs_other_digits_and_what_no_column_holds_are_no_number(said: str | None) -> None:
    assert whole_number(said) is None


def test_of_several_those_that_are_numbers_are_kept_in_their_order() -> None:
    assert list(whole_numbers(["7", "x", "", "3", "7"])) == [7, 3, 7]


@pytest.mark.django_db
@pytest.mark.parametrize("said", [SUPERSCRIPT_TWO, "9" * 5000])
def test_a_new_course_asked_for_in_no_term_begins_in_the_nearest(as_director, said: str) -> None:
    assert as_director.get(reverse("lessons:course-new"), {"term": said}).status_code == 200
