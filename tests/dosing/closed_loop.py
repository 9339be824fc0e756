"""The closed loop: a plan is written into the file, a check of the file is content, a second dose
proposes nothing. `python -m tests.dosing.closed_loop [CASES]` counts it over drawn brew days in
both standards.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from recipe_tools import formats
from recipe_tools.applying import apply_plans
from recipe_tools.checking import check_bytes
from recipe_tools.dosing import Proposal, propose
from recipe_tools.editing.document import EditError
from recipe_tools.limits import Limits
from recipe_tools.recipe import FormatName, Recipe, SourceFile
from recipe_tools.rules.examples import document, quantity
from tests.dosing.cases import Case, case
from tests.planted.written import beerxml

STANDARDS: tuple[FormatName, ...] = ("beerjson", "beerxml")
CASES = 500
JUDGED = ("ions/", "mash-ph/", "sparge/", "water/chlor", "addition/", "internal/", "file/")
SAID_ALL_THE_SAME = ("addition/below-scale-resolution",)
"""Sulfite that the plan measures out of a solution: the check says to do just that."""
ABSORPTION_L_KG, DEAD_SPACE_L = 1.0, 0.5
"""What the grain and the tun hold back where a BeerXML file does not say (contract of volumes)."""


@dataclass(frozen=True, slots=True)
class Turn:
    """What became of one case. outcome: ``closed``, ``nothing to add``, ``no plan`` or a fault.

    complete: whether the plan was said to meet everything. told: what was found, in words.
    """

    outcome: str
    complete: bool = False
    told: tuple[str, ...] = ()


def file_of(drawn: Case, standard: FormatName) -> bytes:
    """Return the recipe of a case as a file of a standard."""
    return document(drawn.body) if standard == "beerjson" else beerxml(_whole(drawn.body))


def _whole(body: dict[str, Any]) -> dict[str, Any]:
    """Return a recipe with what BeerXML asks for beside it, and the boil size its sparge gives."""
    steps = body["mash"]["mash_steps"]
    kilograms = sum(
        item["amount"]["value"] for item in body["ingredients"]["fermentable_additions"]
    )
    litres = sum(item["amount"]["value"] for item in steps)
    boil = litres - ABSORPTION_L_KG * kilograms - DEAD_SPACE_L
    first = {**steps[0], "start_ph": steps[0]["end_ph"]} if "end_ph" in steps[0] else steps[0]
    parts = dict(body["ingredients"])
    parts["water_additions"] = [
        {**item, "pH": {"value": item["pH"]}} if "pH" in item else item
        for item in parts["water_additions"]
    ]
    return {
        **body,
        "style": {"category": "Beer", **body["style"]},
        "ingredients": {"hop_additions": [], "culture_additions": [], **parts},
        "mash": {**body["mash"], "mash_steps": [first, *steps[1:]]},
        "boil": {"pre_boil_size": quantity(round(boil, 4), "l"), "boil_time": quantity(60, "min")},
        "original_gravity": quantity(1.050, "sg"),
        "final_gravity": quantity(1.011, "sg"),
        "alcohol_by_volume": quantity(5.1, "%"),
        "color_estimate": quantity(12, "EBC"),
        "ibu_estimate": {"value": quantity(25, "IBUs")},
    }


def turn(seed: int, standard: FormatName) -> Turn:
    """Take one case round the loop."""
    drawn = case(seed)
    data = file_of(drawn, standard)
    proposal = propose(_recipe(data, standard), drawn.options, drawn.request)
    if proposal.planned is None:
        return Turn("no plan")
    complete = proposal.feasible and not proposal.missing
    try:
        written = apply_plans(data, standard, [proposal], drawn.options).data
    except EditError as error:
        return Turn("not written", complete, (str(error),))
    if complete and (said := tuple(_findings(written, drawn))):
        return Turn("not clean", complete, said)
    asked = replace(drawn.request, replace=False)
    again = propose(_recipe(written, standard), drawn.options, asked)
    if more := tuple(asked_for(again)):
        return Turn("dosed again", complete, more)
    return Turn("closed" if any(asked_for(proposal)) else "nothing to add", complete)


def _recipe(data: bytes, standard: FormatName) -> Recipe:
    return formats.read(SourceFile("", data, standard), Limits()).recipes[0]


def _findings(data: bytes, drawn: Case) -> Iterator[str]:
    for item in check_bytes(data, "drawn", drawn.options).findings:
        if item.rule.startswith(JUDGED) and item.rule not in SAID_ALL_THE_SAME:
            yield f"{item.rule}: {item.message}"


def asked_for(proposal: Proposal) -> Iterator[str]:
    """Yield what a proposal wants to be added."""
    for item in proposal.doses:
        yield f"{item.amount:g} {item.stock.unit} {item.stock.name} into the {item.stage}"
    if proposal.dilution is not None:
        yield f"{100 * proposal.dilution.share:.0f} % pure water"
    if proposal.dechlorination is not None:
        yield f"{proposal.dechlorination.grams:g} g {proposal.dechlorination.name}"


def main() -> int:
    """Print what became of the cases; 1 where a loop stays open."""
    cases = int(sys.argv[1]) if len(sys.argv) > 1 else CASES
    faults = 0
    for standard in STANDARDS:
        counts: Counter[str] = Counter()
        for seed in range(cases):
            found = turn(seed, standard)
            counts[
                found.outcome + (" (nearest plan)" if found.told and not found.complete else "")
            ] += 1
            if found.told:
                faults += 1
                print(f"{standard}, seed {seed}, {found.outcome}: {'; '.join(found.told)}")
        shown = ", ".join(f"{name} {count}" for name, count in sorted(counts.items()))
        print(f"{standard}, {cases} cases: {shown}")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
