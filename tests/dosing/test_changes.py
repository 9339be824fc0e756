"""What is said to help does help: each change is made and the plan worked out anew."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import product
from typing import Any

import pytest

from recipe_tools import formats
from recipe_tools.config import Options, ShelfItem
from recipe_tools.dosing import Proposal, Request, propose
from recipe_tools.dosing.shelf import USUAL_SHELF, stock
from recipe_tools.limits import Limits
from recipe_tools.recipe import FormatName, Recipe, SourceFile
from recipe_tools.reference import agents
from recipe_tools.rules.examples import malt, quantity, step
from tests.dosing.cases import Case, case
from tests.dosing.closed_loop import STANDARDS, file_of

HARD_BEERS = (
    ("German Pils", "5D", (malt("Pilsner malt", 4.5, 3.5),)),
    ("Munich Helles", "4A", (malt("Pilsner malt", 4.0, 3.5), malt("Munich malt", 0.6, 15.0))),
    (
        "Irish Stout",
        "15B",
        (malt("Pale ale malt", 3.8, 6.0), malt("Roasted barley", 0.4, 1200.0, "roasted")),
    ),
)
_SOLD = {
    made.name.casefold(): item
    for item in (
        *(ShelfItem(name) for name in agents()),
        ShelfItem("lactic_acid", strength_percent=80.0),
        ShelfItem("phosphoric_acid", strength_percent=10.0),
    )
    if (made := stock(item)) is not None
}


def _bought(text: str) -> list[ShelfItem]:
    """Return the things a change names."""
    return [item for name, item in _SOLD.items() if name in text.casefold()]


def _changed(text: str, options: Options, request: Request) -> tuple[Options, Request] | None:
    """Return options and request with a change made; None for a wider range."""
    if "allowed" in text:
        return None
    if "[water] treatment" in text:
        how = "boiled" if '"boiled"' in text else "lime"
        return replace(options, treatment=how), request
    request = replace(request, replace=request.replace or "--replace" in text)
    added = _bought(text)
    if "reverse-osmosis" in text:
        added.append(ShelfItem("pure_water"))
    assert added or "--replace" in text, text
    return replace(options, shelf=(*(options.shelf or USUAL_SHELF), *added)), request


def _proposal(seed: int) -> tuple[Options, Request, Proposal]:
    drawn = case(8000 + seed)
    return drawn.options, drawn.request, propose(drawn.recipe(), drawn.options, drawn.request)


@pytest.mark.parametrize("seed", range(60))
def test_a_change_that_is_named_makes_a_plan(seed: int) -> None:
    options, request, proposal = _proposal(seed)
    if proposal.feasible:
        assert proposal.changes == ()
        return
    for text in proposal.changes:
        changed = _changed(text, options, request)
        if changed is None:
            continue
        other = propose(proposal.recipe, *changed)
        assert other.feasible, (text, other.reasons)
        _holds(text, other)


def _holds(text: str, other: Proposal) -> None:
    """Check that a plan is what was said of it: its pure water, its mash pH, no extrapolation."""
    if share := re.search(r"(\d+) % of reverse", text):
        assert other.dilution is not None
        assert 100.0 * other.dilution.share == pytest.approx(int(share[1]), abs=0.5), text
    found = other.after.prediction if other.after is not None else None
    if stops := re.search(r"its mash stops at pH ([\d.]+)", text):
        assert found is not None
        assert found.ph == pytest.approx(float(stops[1]), abs=0.006), text
    elif found is not None:
        assert abs(found.ph - other.target_ph) <= 0.056, (text, found.ph)
        assert not found.warnings or "extrapolation" in text


@pytest.mark.parametrize("seed", range(60))
def test_where_no_plan_is_made_a_reason_is_given(seed: int) -> None:
    _, _, proposal = _proposal(seed)
    assert bool(proposal.reasons) != proposal.feasible
    if proposal.planned is None:
        assert proposal.doses == ()
        assert proposal.after is None


def test_a_wider_range_says_how_wide() -> None:
    seen = 0
    for seed in range(60):
        options, request, proposal = _proposal(seed)
        for text in proposal.changes:
            match = re.search(r"with (\w+) allowed (up|down) to ([\d.]+) mg/L instead", text)
            if match is None:
                continue
            family = proposal.before.targets.family  # type: ignore[union-attr]
            low, high = proposal.before.targets.ranges[match[1]]  # type: ignore[union-attr]
            value = float(match[3])
            ends = (low, value + 0.6) if match[2] == "up" else (value - 0.6, high)
            wider = replace(options, styles={family: {match[1]: ends}})
            assert propose(proposal.recipe, wider, request).feasible, text
            seen += 1
    assert seen


def test_hard_water_is_never_without_advice_that_holds() -> None:
    """Calcium 110 mg/L with bicarbonate 300 and 400, in a file of either standard."""
    seen = 0
    for (standard, bicarbonate), (name, code, grist) in product(
        zip(STANDARDS, (300.0, 400.0), strict=True), HARD_BEERS
    ):
        options, recipe = Options(), _hard(name, code, grist, bicarbonate, standard)
        proposal = propose(recipe, options)
        assert proposal.changes or proposal.feasible, (name, bicarbonate)
        for text in proposal.changes:
            if (changed := _changed(text, options, Request())) is not None:
                other = propose(recipe, *changed)
                assert other.feasible, (text, other.reasons)
                _holds(text, other)
                seen += 1
    assert seen >= 8


def _hard(
    name: str, code: str, grist: Sequence[Any], bicarbonate: float, standard: FormatName
) -> Recipe:
    """Return a beer with hard, alkaline water, read from its file."""
    body = dict(case(0).body)
    water = {"name": "Aldermoor well", "amount": quantity(30.0, "l"), "pH": 7.4}
    ions = {"calcium": 110, "magnesium": 10, "sodium": 20, "chloride": 40, "sulfate": 60}
    for ion, amount in {**ions, "bicarbonate": bicarbonate}.items():
        water[ion] = quantity(amount, "mg/l")
    body["style"] = {
        **body["style"],
        "name": name,
        "category_number": int(code[:-1]),
        "style_letter": code[-1],
    }
    body["ingredients"] = {
        "fermentable_additions": list(grist),
        "miscellaneous_additions": [],
        "water_additions": [water],
    }
    steps = [step("Rest", "infusion", 15.0, 66), step("Sparge", "sparge", 12.0, 75)]
    body["mash"] = {**body["mash"], "mash_steps": steps}
    data = file_of(Case(0, body, Options(), Request()), standard)
    return formats.read(SourceFile("", data, standard), Limits()).recipes[0]


def test_what_is_said_to_lead_to_the_target_does() -> None:
    seen = 0
    for seed in range(40):
        options, request, proposal = _proposal(seed)
        for text in proposal.remarks:
            limit, stops, ways = text.partition("; ")
            if not (stops and ways.endswith(" gets you there")):
                continue
            target = float(limit.rpartition(" ")[2])
            for way in ways.removesuffix(" gets you there").split(" or "):
                share = re.match(r"(\d+) % reverse", way)
                added = [ShelfItem("pure_water")] if share else _bought(way)
                assert added, way
                shelf = (*(options.shelf or USUAL_SHELF), *added)
                other = propose(proposal.recipe, replace(options, shelf=shelf), request)
                if share:
                    _holds(f"{share[1]} % of reverse-osmosis water", other)
                assert other.after is not None
                assert other.after.prediction is not None
                assert abs(other.after.prediction.ph - target) < 0.06, (seed, text)
                seen += 1
    assert seen
