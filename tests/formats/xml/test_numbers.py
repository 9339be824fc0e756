"""Numbers in BeerXML: a decimal point, ASCII digits, nothing else (BeerXML 1.0, data formats)."""

from __future__ import annotations

import pytest

from recipe_tools.formats.numbers import is_not_finite, written_number


@pytest.mark.parametrize(
    ("text", "value", "unit", "comma"),
    [
        ("12.5", 12.5, "", False),
        (" 12.5\n", 12.5, "", False),
        ("+20", 20.0, "", False),
        ("-0.5", -0.5, "", False),
        (".5", 0.5, "", False),
        ("5.", 5.0, "", False),
        ("5e-06", 5e-6, "", False),
        ("4,5", 4.5, "", True),
        ("5.5 gal", 5.5, "gal", False),
        ("154F", 154.0, "F", False),
        ("200L", 200.0, "L", False),
        ("5.1 %", 5.1, "%", False),
        ("3.0 l/kg", 3.0, "l/kg", False),
        ("66 °C", 66.0, "°C", False),
        ("4,5 kg", 4.5, "kg", True),
    ],
)
def test_a_number_is_read(text: str, value: float, unit: str, comma: bool) -> None:
    written = written_number(text)
    assert written is not None
    assert (written.value, written.unit, written.comma) == (value, unit, comma)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "1_000",
        "４２",
        "0x1F",
        "1,234.5",
        "1.234,5",
        "1 234",
        "2 to 3",
        "a pinch",
        "--5",
        "5 4 g",
    ],
)
def test_what_is_not_one_number_is_refused(text: str) -> None:
    assert written_number(text) is None


@pytest.mark.parametrize("text", ["NaN", "nan", "Infinity", "-inf", "∞", "1.#INF", "NaN %", "+INF"])
def test_what_is_not_finite_is_known(text: str) -> None:
    assert is_not_finite(text)


@pytest.mark.parametrize("text", ["5", "infusion", "nanogram", "1e5", ""])
def test_other_words_are_not_taken_for_infinity(text: str) -> None:
    assert not is_not_finite(text)
