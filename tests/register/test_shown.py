import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisory.register.shown import NotANumber, read_shown


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("12345", 12_345),
        ("00120", 120),
        ("0", 0),
        (" 12 345 ", 12_345),
        ("12,345", 12_345),
        ("12.345", 12_345),
        ("12'345", 12_345),
        ("12\u2019345", 12_345),
        ("12\u00a0345", 12_345),
        ("12\u202f345", 12_345),
        ("1,234,567", 1_234_567),
        ("12345.6", 12_345),
        ("12345,6", 12_345),
        ("12,345.6", 12_345),
        ("12.345,6", 12_345),
    ],
)
def test_number_is_read_as_people_write_it(text: str, shown: int) -> None:
    assert read_shown(text) == shown


@pytest.mark.parametrize(
    "text",
    [
        "", "  ", "abc", "12a45", "-5", "\u22125", "12,34", "12.34", "1,23,456", "12,345,6",
        "12,345.678,901", "1e5", "nan", "inf", "12345 miles", "½", "9" * 60, "12..345", ".",
    ],
)  # fmt: skip
def test_what_is_no_number_is_refused_with_what_to_do(text: str) -> None:
    with pytest.raises(NotANumber) as refused:
        read_shown(text)
    assert "Enter" in refused.value.message


@given(shown=st.integers(0, 9_999_999), mark=st.sampled_from(["", ",", ".", " ", "'"]))
def test_any_number_comes_back_through_its_marks(shown: int, mark: str) -> None:
    assert read_shown(f"{shown:,}".replace(",", mark)) == shown


@given(st.text(max_size=60))
def test_any_text_is_a_number_or_refused(text: str) -> None:
    with contextlib.suppress(NotANumber):
        assert read_shown(text) >= 0
