"""What is said to help does help: each change is made and the plan worked out anew."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from recipe_tools.config import Options, ShelfItem
from recipe_tools.dosing import Proposal, Request, propose
from recipe_tools.dosing.shelf import USUAL_SHELF, stock
from recipe_tools.reference import agents
from tests.dosing.cases import case

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
    if "--replace" in text:
        return options, replace(request, replace=True)
    added = _bought(text)
    if "reverse-osmosis" in text:
        added.append(ShelfItem("pure_water"))
    assert added, text
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
        share = re.search(r"(\d+) %  ?of reverse", text)
        if share and other.dilution is not None:
            assert 100.0 * other.dilution.share <= int(share[1]) + 10.1


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
                    # A plan takes pure water for its ranges alone: the share is looked at by hand.
                    continue
                assert other.after is not None
                assert other.after.prediction is not None
                assert abs(other.after.prediction.ph - target) < 0.06, (seed, text)
                seen += 1
    assert seen
