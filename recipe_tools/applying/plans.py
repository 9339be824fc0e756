"""Puts dosing plans into the bytes of a recipe file and proves that they read as planned.

A dose becomes a record of the standard: MISC of type Water Agent in BeerXML, a miscellaneous
addition in BeerJSON. BeerXML 1.0 has no place for the sparge, and a BeerJSON recipe may have no
sparge step; such a dose goes into the notes as a line that is read as an addition to the sparge
(see `note_additions`). Acidulated malt is a fermentable, and the malt it replaces becomes less.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from recipe_tools.applying.malts import swap_malt
from recipe_tools.applying.note_lines import with_note_lines, without_note_lines
from recipe_tools.brewday import BrewDay, Liquor, plan
from recipe_tools.config import Options
from recipe_tools.dosing import Proposal
from recipe_tools.dosing.applied import own_treatments
from recipe_tools.editing.document import EditError
from recipe_tools.editing.records import MiscRecord, insert_misc_records, remove_records
from recipe_tools.formats import read
from recipe_tools.note_additions import sparge_line
from recipe_tools.recipe import Addition, FormatName, Recipe, SourceFile

_SAME_KG = 1e-6
_SAME_PH = 0.005
_SAME_MG_L = 0.5


@dataclass(frozen=True, slots=True)
class Applied:
    """The file with the plans in it. in_notes: what had to go into the notes, in words."""

    data: bytes
    recipes: int
    in_notes: tuple[str, ...]


def apply_plans(
    data: bytes, format_name: FormatName, proposals: Sequence[Proposal], options: Options
) -> Applied:
    """Return a file with the plans of some of its recipes written into it.

    Records of the recipe's own treatments go only where the plan was asked to replace them. Raises
    EditError where the file cannot be edited or would not give the planned brew day.
    """
    written = 0
    in_notes: list[str] = []
    for proposal in proposals:
        if proposal.planned is None:
            continue
        records, lines = _records(proposal, format_name)
        if proposal.request.replace:
            data = _without_own(data, format_name, proposal.recipe, options)
        data = _with_malt(data, format_name, proposal)
        index = proposal.recipe.index
        data = insert_misc_records(data, format_name, index, records, options.limits)
        data = with_note_lines(data, format_name, proposal.recipe.origin.path, lines)
        in_notes += lines
        _prove(data, format_name, proposal, options)
        written += 1
    return Applied(data, written, tuple(in_notes))


def _without_own(data: bytes, format_name: FormatName, recipe: Recipe, options: Options) -> bytes:
    """Return a file without the recipe's own treatments, be they records or lines of the notes."""
    gone = own_treatments(recipe, options)
    # A line of the notes has no members of its own, and its path is that of all notes.
    records = [item.origin.path for item in gone if item.origin.members]
    data = remove_records(data, format_name, records)
    in_notes = [item for item in gone if not item.origin.members]
    return without_note_lines(data, format_name, recipe.origin.path, in_notes) if in_notes else data


def _with_malt(data: bytes, format_name: FormatName, proposal: Proposal) -> bytes:
    """Return a file with the acidulated malt of a plan, and as much less of what it replaces."""
    planned = proposal.planned
    if planned is None or proposal.swap is None:
        return data
    grist, before = planned.fermentables, {id(item) for item in proposal.recipe.fermentables}
    place = next(place for place, item in enumerate(grist) if id(item) not in before)
    kept, added = grist[place], grist[place + 1]
    whole = (kept.amount_kg or 0.0) + (added.amount_kg or 0.0)
    return swap_malt(data, format_name, kept, (kept.amount_kg or 0.0) / whole, added)


def _added(proposal: Proposal) -> Iterator[Addition]:
    """Yield the additions a plan puts beside those of the recipe."""
    planned = proposal.planned
    known = {id(item) for item in proposal.recipe.additions}
    for item in planned.additions if planned is not None else ():
        if id(item) not in known:
            yield item


def _records(
    proposal: Proposal, format_name: FormatName
) -> tuple[tuple[MiscRecord, ...], tuple[str, ...]]:
    """Return what is written as records, and as lines of the notes."""
    steps = _steps(proposal.recipe) if format_name == "beerjson" else {}
    records, lines = [], []
    for item in _added(proposal):
        if item.use == "sparge" and "sparge" not in steps:
            sparge = proposal.before.sparge
            litres = 0.0 if sparge is None else sparge.volume_l.best
            lines.append(sparge_line(item.name, item.mass_g, item.volume_ml, litres))
            continue
        records.append(
            MiscRecord(
                name=item.name,
                kind=item.kind,
                use=item.use or "mash",
                step=steps.get(item.use or "mash"),
                mass_g=item.mass_g,
                volume_ml=item.volume_ml,
            )
        )
    return tuple(records), tuple(lines)


def _steps(recipe: Recipe) -> dict[str, int]:
    """Return the number of the first mash step of mash and sparge, counted from 1."""
    found: dict[str, int] = {}
    for number, step in enumerate(recipe.mash.steps if recipe.mash is not None else (), start=1):
        found.setdefault("sparge" if "sparge" in step.kind else "mash", number)
    return found


def _prove(data: bytes, format_name: FormatName, proposal: Proposal, options: Options) -> None:
    """Read the file anew and compare its brew day with the planned one."""
    planned = proposal.planned
    found = read(SourceFile("", data, format_name), options.limits).recipes
    index = proposal.recipe.index
    if planned is None or index >= len(found):
        raise EditError("the file with the plan would not read as expected")
    if not _same_grist(planned, found[index]):
        raise EditError("the file with the plan would not hold the planned grist")
    if not _same(plan(planned, options), plan(found[index], options)):
        raise EditError("the file with the plan would not give the planned mash pH and ions")


def _same_grist(planned: Recipe, written: Recipe) -> bool:
    pairs = list(zip(planned.fermentables, written.fermentables, strict=False))
    return len(planned.fermentables) == len(written.fermentables) and all(
        one.name == other.name
        and abs((one.amount_kg or 0.0) - (other.amount_kg or 0.0)) <= _SAME_KG
        for one, other in pairs
    )


def _same(planned: BrewDay, written: BrewDay) -> bool:
    first, second = planned.prediction, written.prediction
    if (first is None) != (second is None):
        return False
    if first is not None and second is not None and abs(first.ph - second.ph) > _SAME_PH:
        return False
    pairs = (
        (planned.mash, written.mash),
        (planned.sparge, written.sparge),
        (planned.total, written.total),
    )
    return all(_same_liquor(one, other) for one, other in pairs)


def _same_liquor(planned: Liquor | None, written: Liquor | None) -> bool:
    if planned is None or written is None:
        return planned is written
    if planned.ions_mg_l.keys() != written.ions_mg_l.keys():
        return False
    return all(
        abs(level.best - written.ions_mg_l[ion].best) <= _SAME_MG_L
        for ion, level in planned.ions_mg_l.items()
    )
