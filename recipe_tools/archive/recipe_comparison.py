"""Two states of a recipe file side by side: what was written, and what came of it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Literal, NamedTuple

from recipe_tools.archive.recipe_changes import Json, RecipeChange, State, change, pairs, states_of
from recipe_tools.archive.recording import packed
from recipe_tools.archive.records import RecipeRecord, findings_entry
from recipe_tools.config import Options
from recipe_tools.results import CheckedFile, CheckedRecipe

Written = Literal["malt", "dose"]
_LEAST = 1e-9


class Side(NamedTuple):
    """A file as it was checked, with the options in force for it."""

    file: CheckedFile
    options: Options


class WrittenChange(NamedTuple):
    """A malt or an addition to the water that is there in another amount.

    before, after: kilograms of a malt; grams, millilitres of an addition in ``unit``. None where it
    is not there, or has no amount.
    """

    kind: Written
    name: str
    stage: str
    unit: str
    before: float | None
    after: float | None


class RecipeComparison(NamedTuple):
    """A recipe before and after.

    change: what came of it. written: malts and additions in another amount. new, gone: open
    findings that only one side has; other: those that say something else now, before and after.
    """

    change: RecipeChange
    written: tuple[WrittenChange, ...]
    new: tuple[Json, ...]
    gone: tuple[Json, ...]
    other: tuple[tuple[Json, Json], ...]

    @property
    def same(self) -> bool:
        """True where nothing has changed that a report shows."""
        moved = self.change.ph_moved
        steady = moved is None or moved.before == moved.after
        told = (self.written, self.new, self.gone, self.other, self.change.moved)
        return steady and not any(told) and self.change.kind not in ("new", "gone")


def compare_files(
    path: str, before: Side | None, after: Side | None
) -> tuple[RecipeComparison, ...]:
    """Return the recipes of two states of a file, in the order of the later one.

    path: as reports name it. One of both is there. Recipes belong together by their names, else by
    their places.
    """
    states = [_states(side) for side in (before, after)]
    recipes = [
        {item.recipe.index: item for item in side.file.recipes} if side else {}
        for side in (before, after)
    ]
    found = []
    for pair in pairs(*states):
        checked = [
            recipes[place][state.recipe["index"]] if state else None
            for place, state in enumerate(pair)
        ]
        found.append(_compared(change(path, *pair), checked))
    return tuple(found)


def _states(side: Side | None) -> list[State]:
    if side is None:
        return []
    kept = packed(side.file, side.options)
    recipes = json.loads(kept.record)[-1]
    entries = [RecipeRecord.of_values(values).entry() for values in recipes]
    return states_of(entries, findings_entry(kept.findings)["findings"])


def _compared(item: RecipeChange, checked: Sequence[CheckedRecipe | None]) -> RecipeComparison:
    before, after = (_open(state) for state in item.states)
    both = before.keys() & after.keys()
    return RecipeComparison(
        item,
        tuple(_written(*checked)),
        tuple(found for key, found in after.items() if key not in both),
        tuple(found for key, found in before.items() if key not in both),
        tuple(
            (before[key], found)
            for key, found in after.items()
            if key in both and _said(before[key]) != _said(found)
        ),
    )


def _open(state: State | None) -> Mapping[str, Json]:
    """Return the open findings by fingerprint."""
    findings = state.findings if state is not None else ()
    return {item["fingerprint"]: item for item in findings if item["suppressed"] is None}


def _said(item: Json) -> tuple[str, str]:
    return item["severity"], item["message"]


def _written(before: CheckedRecipe | None, after: CheckedRecipe | None) -> Iterator[WrittenChange]:
    if before is None or after is None:
        return
    was, now = (_amounts(item) for item in (before, after))
    for key in [*now, *(key for key in was if key not in now)]:
        left, right = was.get(key), now.get(key)
        if left is None or right is None or abs(left - right) > _LEAST:
            yield WrittenChange(*key, left, right)


def _amounts(checked: CheckedRecipe) -> dict[tuple[Written, str, str, str], float]:
    """Return the amounts of malts and additions by kind, name, stage and unit."""
    found: dict[tuple[Written, str, str, str], float] = {}
    for key, amount in _listed(checked):
        found[key] = found.get(key, 0.0) + amount
    return found


def _listed(checked: CheckedRecipe) -> Iterable[tuple[tuple[Written, str, str, str], float]]:
    for malt in checked.recipe.fermentables:
        if malt.amount_kg:
            yield ("malt", malt.name, "", "kg"), round(malt.amount_kg, 6)
    for dose in checked.day.doses if checked.day is not None else ():
        unit, amount = ("g", dose.grams) if dose.grams is not None else ("mL", dose.millilitres)
        if amount is not None and dose.agent is not None:
            yield ("dose", dose.addition.name, dose.stage, unit), round(amount.best, 6)
