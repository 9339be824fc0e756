"""The thresholds of the rules are promised: verdicts, configurations and baselines hang on them.

Published limits stand with their source; the rest is common practice or chosen here
(derived_default), and set down so that no value moves unnoticed.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.rules.matrix import declarations

RULES = declarations()

PUBLISHED: dict[str, dict[str, Any]] = {
    # Regulation (EU) 1169/2011 Annex II, 21 CFR 130.9; (EC) 1333/2008 Annex II 14.2.1 (from
    # memory); WHO guideline value for chlorine
    "addition/sulfite-dose-high": {"so2_above": 10, "beer_error_above": 50, "chlorine_up_to": 5},
    # 40 CFR 143.3: stains from 0.3 mg/L
    "ions/iron-high": {"warn_above": 0.1, "error_above": 0.3},
    # Noonan, Brewing Lager Beer: laxative above about 125 mg/L
    "ions/magnesium-high": {"warn_above": 40, "error_above": 125},
    # Directive (EU) 2020/2184 and WHO: taste limit of 200 mg/L
    "ions/sodium-high": {"warn_above": 100, "error_above": 200},
    # 40 CFR 143.3: 250 mg/L by taste; Taylor 2006: up to 400 in dry, bitter beers
    "ions/sulfate-high": {"note_above": 250, "warn_above": 400, "error_above": 800},
    # Noonan: span of 5 to 200 mg/L
    "ions/calcium-high": {"warn_above": 200},
    # Briggs et al. 2004 (from memory): liquors hold 20 to 150; Plzeň 7 to 10 mg/L
    "ions/calcium-low": {"low": 50, "warn_below": 20, "soft_low": 7},
    # WHO Guidelines (from memory): increasingly unpalatable above 1000 mg/L
    "ions/total-minerals-high": {"solids_above": 1000, "both_above": 150},
    # cooled sample: 5.2 to 5.6 (abstract in the library of the MBAA)
    "mash-ph/above-range": {"high": 5.6},
    "mash-ph/below-range": {"low": 5.2},
    "mash-ph/acid-overshoots": {"low": 5.2},
    "mash-ph/soured": {"low": 5.2},
    "mash-ph/near-edge": {"low": 5.2, "high": 5.6, "within": 0.05},
    # Troester 2009: mashes of 2 to 5 L/kg
    "mash-ph/thickness-outside-model": {"low": 2, "high": 5},
    # Directive (EU) 2020/2184: pH 6.5 to 9.5; nitrate/50 + nitrite/3 at most 1
    "water/ph-implausible": {"low": 6.5, "high": 9.5},
    # Standard Methods 1030 E (from memory); 0.81 in published county reports
    "water/dissolved-solids": {"ratio_from": 1.0, "ratio_to": 1.2, "slack": 5},
    "water/conductivity": {"solids_from": 0.55, "solids_to": 0.81, "slack": 10},
    "water/nitrate-with-nitrite": {"nitrate": 50, "nitrite": 3},
}

PRACTICE: dict[str, dict[str, Any]] = {
    "addition/acid-and-base-together": {"meq_from": 2, "percent_from": 5},
    "addition/below-scale-resolution": {"scale_g": 0.1},
    "addition/cleaner-as-agent": {"agents": "sodium_hydroxide quicklime"},
    "addition/mass-flag-contradiction": {"powder_low": 0.6, "powder_high": 1.3},
    "addition/strength-missing": {"factor": 1.5},
    "addition/sulfite-dose-low": {"share_of_need": 95},
    "addition/will-not-dissolve": {"share_of_solubility": 100},
    "addition/wrong-stage": {"salt_from": 0.5},
    "ions/chloride-high": {"warn_above": 200, "error_above": 300},
    "ions/copper-high": {"warn_above": 0.1, "error_above": 1},
    "ions/manganese-high": {"warn_above": 0.05, "error_above": 0.1},
    "ions/nitrate-high": {"warn_above": 25},
    "ions/nitrite-high": {"warn_above": 0.1},
    "ions/outside-style": {"tolerance": 5},
    "ions/potassium-high": {"warn_above": 50},
    "ions/ratio-against-style": {"judged_from": 25, "full_weight_from": 50, "both_below": 150},
    "ions/residual-alkalinity-against-style": {"tolerance": 9},
    "ions/sodium-with-sulfate": {"sodium_above": 70, "sulfate_above": 200},
    "ions/zinc-high": {"warn_above": 0.5, "error_above": 5},
    "mash-ph/acidulated-share-high": {"share_above": 10},
    "mash-ph/lactate-taste": {"lactate_above": 400},
    "mash-ph/stated-target-differs": {"tolerance": 0.1},
    "recipe/abv-against-gravities": {"percent": 15, "at_least": 0.5},
    "recipe/bitterness-against-hops": {"percent": 50, "at_least": 8},
    "recipe/colour-against-malts": {"percent": 45, "at_least": 5},
    "recipe/colour-or-gravity-outside-style": {"slack_percent": 10},
    "recipe/gravity-against-grist": {"percent": 18, "at_least": 6},
    "recipe/malt-colour-scale": {
        "darkest": 700,
        "agrees": 25,
        "off": 45,
        "palest": 20,
        "deepest": 78,
    },
    "recipe/thickness-unusual": {"low": 1.8, "high": 9},
    "recipe/unlikely-value": {
        "alpha_acid": 25,
        "hops": 30,
        "culture": 150,
        "carbonation": 6,
        "beyond_boil": 1,
    },
    "recipe/us-units": {
        "signs": 2,
        "certain_signs": 3,
        "agrees": 30,
        "off": 70,
        "thickest": 1.8,
        "thinnest": 7,
        "weakest": 1.025,
        "strongest": 1.15,
    },
    "recipe/volumes-do-not-add-up": {
        "tolerance": 5,
        "held_by_grain": 0.8,
        "left_behind": 25,
        "boils_away": 5,
        "boils_away_percent": 30,
    },
    "sparge/acid-overshoots": {"surplus": 2},
    "sparge/alkalinity-high": {"note_above": 50, "warn_above": 100},
    "sparge/ph-high": {"ph_above": 6, "alkalinity_from": 25},
    "sparge/temperature-high": {"celsius_above": 78, "celsius_below": 95},
    "water/bottled-water-as-addition": {"litres_from": 0.5},
    "water/charge-imbalance": {"note_above": 5, "warn_above": 10},
    "water/chloramine-treatment": {"above": 0.05},
    "water/chlorine-untreated": {"above": 0.05},
    "water/hardness-softened": {"alkalinity_from": 75, "hardness_below": 30, "sodium_from": 60},
    "water/ion-above-drinking-limit": {"body": "WHO"},
    "water/ion-impossible": {"main_above": 5000, "trace_above": 100},
    "water/volume-is-batch-size": {"within": 2},
    "water/volume-mismatch": {"within": 15},
}


@pytest.mark.parametrize("rule", RULES)
def test_a_threshold_is_the_one_that_was_promised(rule: str) -> None:
    promised = {**PUBLISHED, **PRACTICE}.get(rule, {})
    declared = RULES[rule].options
    assert {name: option.default for name, option in declared.items()} == promised
    assert all(option.unit for option in declared.values())


def test_no_threshold_is_promised_of_a_rule_that_has_gone_away() -> None:
    assert {*PUBLISHED, *PRACTICE} <= set(RULES)
