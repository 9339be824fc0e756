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

    @pytest.mark.parametrize(
        "text",
        [
            "We never use Epsom salt.",
            "No gypsum, chalk or Epsom salt here",
            "Brewed without calcium chloride.",
            "Epsom salt is not used.",
            "Gypsum: none",
            "Don't add any gypsum",
            "Ohne Gips und ohne Calciumchlorid gebraut",
            "Wir nehmen kein Bittersalz",
            "On n'utilise jamais de gypse",
            "Sin sulfato de magnesio",
            "Senza cloruro di calcio",
            "Geen gips",
            "Bez gipsu piwowarskiego",
            "Vi använder aldrig gips",
            "Без хлорида кальция",
            "No carbon filter",
        ],
    )
    def test_what_the_text_denies_is_not_taken(self, text: str) -> None:
        assert agents_in_prose(text) == ()

    @pytest.mark.parametrize(
        ("text", "seen"),
        [
            ("No chalk but 3 g gypsum", ("gypsum",)),
            ("Add 3 g gypsum, not chalk", ("gypsum",)),
            ("We never use Epsom salt. Add 3 g gypsum.", ("gypsum",)),
            ("No more than 3 g gypsum", ("gypsum",)),
            ("Don't forget the gypsum", ("gypsum",)),
            ("Kein Bittersalz, sondern 3 g Gips", ("gypsum",)),
            ("The style is not dry; 5 g of gypsum", ("gypsum",)),
            ("Never mind the weather\n5 g gypsum", ("gypsum",)),
        ],
    )
    def test_a_negation_denies_only_what_it_stands_by(
        self, text: str, seen: tuple[str, ...]
    ) -> None:
        assert agents_in_prose(text) == seen

    @pytest.mark.parametrize(
        "text",
        [
            "Pitch lactic acid bacteria",
            "a lactic acid culture from the farm",
            "bakterie kwasu mlekowego",
        ],
    )
    def test_bacteria_are_no_acid(self, text: str) -> None:
        assert agents_in_prose(text) == ()

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
