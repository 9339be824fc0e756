"""Agents that free text mentions, and kitchen words that are none."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipe_tools.reference import agents_in_prose
from recipe_tools.reference.agent_aliases import agent_aliases


class TestProse:
    def test_clear_names_are_seen_in_order(self) -> None:
        text = "Treated the water with 5 g Gypsum, 3 g CaCl₂ and 4 ml lactic acid (88 %)."
        assert agents_in_prose(text) == ("gypsum", "calcium_chloride_dihydrate", "lactic_acid")

    def test_other_languages(self) -> None:
        assert agents_in_prose("Maische mit Gips und Milchsäure angesetzt") == (
            "gypsum",
            "lactic_acid",
        )
        assert agents_in_prose("добавить молочную и сульфат кальция") == ("gypsum",)

    def test_inflected_forms(self) -> None:
        assert agents_in_prose("5 g gipsu piwowarskiego i 3 ml kwasu mlekowego") == (
            "gypsum",
            "lactic_acid",
        )
        assert agents_in_prose("3 г хлорида кальция, 5 мл молочной кислоты") == (
            "calcium_chloride_dihydrate",
            "lactic_acid",
        )
        assert agents_in_prose("2 g síranu hořečnatého do vody") == ("epsom_salt",)

    @pytest.mark.parametrize(
        "text",
        [
            "A squeeze of lime, a pinch of salt and oat milk.",
            "Brewed with sea salt and coriander.",
            "Natural carbonation, soda crackers on the side, chalky finish.",
            "Lactic fermentation with bacteria; a cal and a zinc bar.",
            "Water from the limestone cave, filtered water.",
            "Salty plum, kosher salt",
            "",
        ],
    )
    def test_kitchen_words_are_not_taken(self, text: str) -> None:
        assert agents_in_prose(text) == ()

    @pytest.mark.parametrize(
        "text", ["Tap water through a carbon filter.", "Wasser durch Aktivkohle gefiltert"]
    )
    def test_a_filter_against_chlorine_is_seen(self, text: str) -> None:
        assert agents_in_prose(text) == ("activated_carbon",)

    def test_each_is_named_once(self) -> None:
        assert agents_in_prose("gypsum, Gypsum; GYPSUM") == ("gypsum",)


@given(
    st.lists(
        st.sampled_from([alias.text for alias in agent_aliases().values() if alias.text.isascii()])
        | st.text(st.characters(max_codepoint=127), max_size=12),
        max_size=6,
    ),
    st.sampled_from([" ", ", ", "\n", "-", "_", ".", "/", "\t", "(", "\x1f"]),
)
def test_plain_ascii_is_read_like_any_other_text(parts: list[str], between: str) -> None:
    text = between.join(parts)
    assert agents_in_prose(text) == agents_in_prose(f"{text}\n\N{BULLET}")
