"""Every rule has its declaration in full, and its own examples are its proof."""

from __future__ import annotations

import pytest

from recipe_tools.checking.checklist import catalogue
from recipe_tools.findings import Confidence, Example, Rule, Severity
from recipe_tools.reference.selection import select
from recipe_tools.rules import recipe_rules, rule
from recipe_tools.rules.examples import merge_patch
from recipe_tools.rules.precedence import ECHOES
from tests.offenders import offenders
from tests.rules.brew import all_findings, checked
from tests.rules.matrix import declarations, explained, place_of, row, shown_in_files, spoken

RULES = declarations()

CATALOGUE = {
    "water": "source-unknown source-all-zero charge-imbalance ion-above-drinking-limit "
    "hardness-softened looks-like-target calls-itself-target volume-is-batch-size "
    "volume-mismatch chlorine-untreated "
    "ph-implausible bottled-water-as-addition chloramine-treatment nitrate-with-nitrite "
    "alkalinity-unknown carbonate-at-low-ph chlorine-not-stated conductivity dissolved-solids "
    "hardness-only ion-impossible limit-of-another-body report-contradiction taste-limit",
    "addition": "agent-unknown hydrate-ambiguous strength-missing solution-or-solid unit-slip "
    "mass-flag-contradiction will-not-dissolve wrong-stage acid-and-base-together "
    "sulfite-dose-low sulfite-dose-high not-food-grade-name duplicate below-scale-resolution "
    "pieces-as-litres notes-agents-not-counted amount-missing blend-unknown cleaner-as-agent "
    "stage-unknown sparge-line-unclear",
    "ions": "calcium-low calcium-high magnesium-high sodium-high sodium-with-sulfate "
    "chloride-high sulfate-high potassium-high nitrate-high nitrite-high iron-high "
    "manganese-high copper-high zinc-high total-minerals-high outside-style ratio-against-style "
    "residual-alkalinity-against-style",
    "mash-ph": "above-range below-range near-edge stated-target-differs acid-overshoots "
    "not-predictable acidulated-share-high lactate-taste thickness-outside-model soured",
    "sparge": "acid-overshoots alkalinity-high ph-high temperature-high base-added",
    "recipe": "no-mash-water thickness-unusual style-unknown malt-colour-scale us-units "
    "colour-against-malts "
    "gravity-against-grist colour-or-gravity-outside-style bitterness-against-hops "
    "abv-against-gravities volumes-do-not-add-up unlikely-value",
    "safety": "strong-acid-handling lime-handling sulfite-allergen local-rules",
}
"""Ids are promised to users: they stand in configurations and baselines. None may go away."""

PLACES = {
    "addition/acid-and-base-together": '"Baking soda"',
    "addition/agent-unknown": '"Millrace Mineral Mix"',
    "addition/amount-missing": '"Epsom salt"',
    "addition/below-scale-resolution": '"value": 0.03',
    "addition/blend-unknown": '"Water treatment salts"',
    "addition/cleaner-as-agent": '"Sodium hydroxide"',
    "addition/duplicate": '"Gypsum (calcium sulfate dihydrate)"',
    "addition/hydrate-ambiguous": '"Calcium chloride"',
    "addition/mass-flag-contradiction": "FALSE",
    "addition/not-food-grade-name": '"Battery acid 37 %"',
    "addition/notes-agents-not-counted": "lactic acid",
    "addition/pieces-as-litres": "1",
    "addition/sparge-line-unclear": "a little Lactic acid 80 %.",
    "addition/solution-or-solid": '"Calcium chloride (CaCl2) 33 %"',
    "addition/stage-unknown": '"Epsom salt"',
    "addition/strength-missing": '"Phosphoric acid"',
    "addition/sulfite-dose-high": '"value": 2, "unit": "g"',
    "addition/sulfite-dose-low": '"value": 0.01, "unit": "g"',
    "addition/unit-slip": '"value": 2, "unit": "kg"',
    "addition/will-not-dissolve": '"value": 5, "unit": "g"',
    "addition/wrong-stage": '"add_to_boil"',
    "ions/calcium-high": '"value": 20, "unit": "g"',
    "ions/calcium-low": '"value": 11, "unit": "mg/l"',
    "ions/chloride-high": '"value": 12, "unit": "g"',
    "ions/copper-high": '"Millrace Blonde"',
    "ions/iron-high": '"value": 0.25, "unit": "mg/l"',
    "ions/magnesium-high": '"value": 15, "unit": "g"',
    "ions/manganese-high": '"Millrace Blonde"',
    "ions/nitrate-high": '"value": 38, "unit": "mg/l"',
    "ions/nitrite-high": '"value": 0.25, "unit": "mg/l"',
    "ions/outside-style": '"value": 6, "unit": "g"',
    "ions/potassium-high": '"value": 5, "unit": "g"',
    "ions/ratio-against-style": '"value": 45, "unit": "mg/l"',
    "ions/residual-alkalinity-against-style": '"value": 230, "unit": "mg/l"',
    "ions/sodium-high": '"value": 15, "unit": "g"',
    "ions/sodium-with-sulfate": '"value": 85, "unit": "mg/l"',
    "ions/sulfate-high": '"value": 14, "unit": "g"',
    "ions/total-minerals-high": '"Aldermoor well"',
    "ions/zinc-high": '"value": 0.5, "unit": "g"',
    "mash-ph/above-range": '"Single infusion"',
    "mash-ph/acid-overshoots": '"value": 12, "unit": "ml"',
    "mash-ph/acidulated-share-high": '"value": 0.5, "unit": "kg"',
    "mash-ph/below-range": '"Single infusion"',
    "mash-ph/lactate-taste": '"value": 6, "unit": "ml"',
    "mash-ph/near-edge": '"Single infusion"',
    "mash-ph/soured": '"Single infusion"',
    "mash-ph/not-predictable": '"Single infusion"',
    "mash-ph/stated-target-differs": '"value": 5.0, "unit": "pH"',
    "mash-ph/thickness-outside-model": '"Single infusion"',
    "recipe/abv-against-gravities": '"value": 7.0, "unit": "%"',
    "recipe/bitterness-against-hops": '"value": 60, "unit": "IBUs"',
    "recipe/colour-against-malts": '"value": 30, "unit": "EBC"',
    "recipe/colour-or-gravity-outside-style": '"value": 1.046, "unit": "sg"',
    "recipe/gravity-against-grist": '"value": 1.08, "unit": "sg"',
    "recipe/malt-colour-scale": '"value": 1150, "unit": "Lovi"',
    "recipe/no-mash-water": '"Single infusion"',
    "recipe/style-unknown": '"Millrace Blonde"',
    "recipe/thickness-unusual": '"value": 5, "unit": "l"',
    "recipe/unlikely-value": '"value": 40',
    "recipe/us-units": '"value": 3.4, "unit": "l"',
    "recipe/volumes-do-not-add-up": '"value": 40, "unit": "l"',
    "sparge/acid-overshoots": '"value": 10, "unit": "ml"',
    "sparge/alkalinity-high": '"type": "sparge"',
    "sparge/base-added": '"Baking soda"',
    "sparge/ph-high": '"value": 0.3, "unit": "ml"',
    "sparge/temperature-high": '"value": 85, "unit": "C"',
    "water/alkalinity-unknown": '"Millrace Blonde"',
    "water/bottled-water-as-addition": '"Bottled spring water"',
    "water/calls-itself-target": '"Target for ales"',
    "water/carbonate-at-low-ph": '"Millrace Blonde"',
    "water/charge-imbalance": '"Aldermoor well"',
    "water/chloramine-treatment": '"Ascorbic acid"',
    "water/chlorine-not-stated": '"Millrace Blonde"',
    "water/chlorine-untreated": '"Aldermoor well"',
    "water/conductivity": '"Millrace Blonde"',
    "water/dissolved-solids": '"Millrace Blonde"',
    "water/hardness-only": '"Millrace Blonde"',
    "water/hardness-softened": '"value": 105, "unit": "mg/l"',
    "water/ion-above-drinking-limit": '"value": 70, "unit": "mg/l"',
    "water/ion-impossible": '"value": 12000, "unit": "mg/l"',
    "water/limit-of-another-body": '"Millrace Blonde"',
    "water/looks-like-target": '"Hoppy pale ale profile"',
    "water/nitrate-with-nitrite": '"value": 1.0, "unit": "mg/l"',
    "water/ph-implausible": "5.2",
    "water/report-contradiction": '"Millrace Blonde"',
    "water/source-all-zero": '"Aldermoor well"',
    "water/source-unknown": '"Millrace Blonde"',
    "water/taste-limit": '"Millrace Blonde"',
    "water/volume-is-batch-size": '"value": 20, "unit": "l"',
    "water/volume-mismatch": '"value": 30, "unit": "l"',
}
"""What each rule must point at in its failing example: the text that a brewer would change."""


def test_no_promised_rule_has_gone_away() -> None:
    promised = {f"{topic}/{name}" for topic, names in CATALOGUE.items() for name in names.split()}
    known = set(RULES) | {alias for item in RULES.values() for alias in item.aliases}
    assert promised <= known


def test_every_rule_is_in_the_catalogue_of_this_test() -> None:
    promised = {f"{topic}/{name}" for topic, names in CATALOGUE.items() for name in names.split()}
    assert set(RULES) <= promised


def test_the_plain_recipe_is_clean() -> None:
    loud = [item for item in all_findings() if item.confidence >= Confidence.LIKELY]
    assert loud == []


def test_a_declaration_says_everything_that_explain_shows() -> None:
    def holds(declaration: Rule) -> None:
        assert explained(declaration)
        assert declaration.summary.endswith(".")
        for name in declaration.reference:
            assert select(name).rows, name

    assert offenders(RULES.values(), holds) == []


@pytest.mark.parametrize("declaration", RULES.values(), ids=list(RULES))
def test_a_rule_fires_on_its_fault_at_the_right_place_and_is_silent_on_its_repair(
    declaration: Rule,
) -> None:
    found = row(declaration)
    assert found.fires
    assert found.silent
    if declaration.topic != "safety":  # these belong to the run and have no place
        assert PLACES[declaration.id] in found.place


def test_a_message_is_one_line_with_its_values_ready_for_json() -> None:
    def holds(declaration: Rule) -> None:
        import json

        for item in spoken(declaration.fails, declaration.id):
            assert "\n" not in item.message
            assert "{" not in item.message
            assert 20 < len(item.message) < 400
            json.dumps(dict(item.values))
            assert "value" in item.values or "missing" in item.values

    assert offenders(RULES.values(), holds) == []


@pytest.mark.parametrize("declaration", shown_in_files().values(), ids=list(shown_in_files()))
def test_the_matrix_of_rules_has_no_gap(declaration: Rule) -> None:
    found = row(declaration)
    assert found.fires
    assert found.silent
    assert found.explained
    assert found.place or declaration.topic == "safety", "safety notes belong to the run"


def test_an_ordinary_recipe_file_raises_no_alarm_of_the_checker_itself() -> None:
    for declaration in RULES.values():
        for example in (declaration.passes, declaration.fails):
            broken = [i for i in checked(example).findings if i.rule.startswith("internal/")]
            assert broken == [], declaration.id


def test_a_finding_points_at_its_other_places_too() -> None:
    declaration = RULES["addition/duplicate"]
    (item,) = spoken(declaration.fails, declaration.id)
    assert item.related[0].line is not None
    assert item.line is not None
    assert item.related[0].line < item.line


def test_every_echo_names_rules_that_exist() -> None:
    for echo in ECHOES:
        assert echo.cause in RULES
        # what the reader finds can be an echo only at the places the cause names
        assert echo.echo in (catalogue() if echo.beside else RULES)


def test_a_rule_id_cannot_be_declared_twice() -> None:
    declaration = RULES["water/source-unknown"]
    with pytest.raises(ValueError, match="water/source-unknown"):
        rule(declaration)(recipe_rules()["water/source-unknown"].check)


def test_style_rules_are_never_errors() -> None:
    # rules of the project: style families are warnings or notes, never errors
    for name in ("outside-style", "ratio-against-style", "residual-alkalinity-against-style"):
        assert RULES[f"ions/{name}"].severity is Severity.NOTE


def test_a_merge_patch_follows_the_examples_of_the_standard() -> None:
    # RFC 7396, appendix A, selected rows
    assert merge_patch({"a": "b"}, {"a": "c"}) == {"a": "c"}
    assert merge_patch({"a": "b"}, {"b": "c"}) == {"a": "b", "b": "c"}
    assert merge_patch({"a": "b", "b": "c"}, {"a": None}) == {"b": "c"}
    assert merge_patch({"a": ["b"]}, {"a": "c"}) == {"a": "c"}
    assert merge_patch({"a": {"b": "c"}}, {"a": {"b": "d", "c": None}}) == {"a": {"b": "d"}}
    assert merge_patch(["a", "b"], ["c", "d"]) == ["c", "d"]
    assert merge_patch({"e": None}, {"a": 1}) == {"e": None, "a": 1}
    assert merge_patch({}, {"a": {"bb": {"ccc": None}}}) == {"a": {"bb": {}}}


def test_the_place_of_a_finding_is_read_from_the_file_itself() -> None:
    declaration = RULES["addition/unit-slip"]
    (item,) = spoken(declaration.fails, declaration.id)
    assert place_of(declaration.fails, item) == '{ "value": 2, "unit": "kg" }'
    assert isinstance(declaration.fails, Example)
