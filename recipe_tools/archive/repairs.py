"""What would repair a recipe of an archive, in a line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from recipe_tools.archive.records import RecipeRecord
from recipe_tools.config import Options
from recipe_tools.recipe import FormatName
from recipe_tools.results import CheckedRecipe

if TYPE_CHECKING:
    from recipe_tools.dosing import Proposal
    from recipe_tools.dosing.records import Split

_STAGES = {"mash": "into the mash", "sparge": "into the sparge", "kettle": "into the kettle"}


def repair(
    checked: CheckedRecipe,
    record: RecipeRecord,
    options: Options,
    format_name: FormatName | None,
) -> str:
    """Return the doses of a plan for a recipe in trouble, empty where it needs none.

    The plan is the one of `recipe-tools dose`, which also looks for ways out of having none. Water
    nobody knows has none. Never raises: what fails is said.
    """
    if not record.water_known or not (record.bad_errors or record.bad_warnings):
        return ""
    from recipe_tools.dosing import Request, propose

    # BeerXML has no record for salts of the sparge.
    split: Split = "mash" if format_name == "beerxml" else "by_volume"
    request = Request(split=split, ways_out=False)
    try:
        proposal = propose(checked.recipe, options, request)
    except Exception as error:  # a fault of ours in one recipe must not end the run
        return f"no plan: {type(error).__name__}; please report it"
    return _words(proposal)


def _words(proposal: Proposal) -> str:
    if proposal.planned is None or proposal.after is None:
        # `recipe-tools dose FILE` has the others, and what would lead further.
        return f"no plan: {proposal.reasons[0]}" if proposal.reasons else ""
    parts = []
    if proposal.dilution is not None and proposal.dilution.share > 0:
        parts.append(f"{100 * proposal.dilution.share:.0f} % pure water")
    for dose in proposal.doses:
        name = dose.stock.name.partition(" (")[0]
        parts.append(
            f"{dose.amount:g} {dose.stock.unit} {name} {_STAGES.get(dose.stage, dose.stage)}"
        )
    prediction = proposal.after.prediction
    if not parts:
        return ""
    ph = f"; then mash pH {prediction.ph:.2f}" if prediction is not None else ""
    left = "" if proposal.feasible else ", with something still outside its range"
    return f"{', '.join(parts)}{ph}{left}"
