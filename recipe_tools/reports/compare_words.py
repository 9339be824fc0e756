"""Sentences on two states of a recipe that all reports of a comparison share."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from recipe_tools.archive.recipe_changes import Kind, State
from recipe_tools.archive.recipe_comparison import RecipeComparison, WrittenChange
from recipe_tools.recipe import IONS
from recipe_tools.reports.amounts import amount

VERDICTS: Mapping[Kind, str] = {
    "newly out": "newly out of the window or past a limit",
    "worse": "worse than before",
    "better": "better than before",
    "unchanged": "neither worse nor better",
    "new": "new",
    "gone": "gone",
}
ARROW = " → "


class Row(NamedTuple):
    """A quantity before and after, in words; empty where there is none."""

    what: str
    before: str
    after: str

    @property
    def moved(self) -> bool:
        """True where both sides differ."""
        return self.before != self.after


def title(item: RecipeComparison) -> str:
    """Return the name of the recipe and the verdict."""
    return f"{item.change.recipe['name'] or 'Recipe without a name'}: {verdict(item)}"


def verdict(item: RecipeComparison) -> str:
    """Return in words what became of the recipe."""
    return "nothing has changed" if item.same else VERDICTS[item.change.kind]


def rows(item: RecipeComparison) -> list[Row]:
    """Return water, mash pH with its band, ions, residual alkalinity and ratio."""
    states = item.change.states
    found = [
        Row("source water", *map(_water, states)),
        Row("mash pH", *map(_ph, states)),
    ]
    found += [Row(f"{ion}, mg/L", *(_ion(state, ion) for state in states)) for ion in IONS]
    found += [
        Row(words, *(_number(state, name, digits) for state in states))
        for name, words, digits in _MORE
    ]
    return [row for row in found if row.before or row.after]


_MORE = (
    ("residual_alkalinity_meq_l", "residual alkalinity, mEq/L", 1),
    ("sulfate_to_chloride", "sulfate to chloride", 1),
)


def _water(state: State | None) -> str:
    """Return the name of the source water, which a recipe may state itself."""
    if state is None:
        return ""
    name = (state.recipe.get("water") or {}).get("name")
    return str(name) if name and state.recipe.get("water_known") else state.water


def _ph(state: State | None) -> str:
    ph = state.ph if state is not None else None
    if ph is None:
        return ""
    return f"{ph['predicted']:.2f} ({ph['low']:.2f} to {ph['high']:.2f})"


def _ion(state: State | None, ion: str) -> str:
    if state is None or state.recipe["ions_mg_l"].get(ion) is None:
        return ""
    return f"{state.recipe['ions_mg_l'][ion]:.0f}"


def _number(state: State | None, name: str, digits: int) -> str:
    if state is None or state.recipe.get(name) is None:
        return ""
    return f"{state.recipe[name]:.{digits}f}"


def written_line(line: WrittenChange) -> str:
    """Return what was written otherwise: a malt or an addition with both amounts."""
    stage = f" ({line.stage})" if line.stage else ""
    sides = [
        "none" if value is None else amount(value, line.unit) for value in (line.before, line.after)
    ]
    return f"{line.name}{stage}: {ARROW.join(sides)}"


class Said(NamedTuple):
    """A finding that came, went or says something else now."""

    change: str
    severity: str
    message: str
    rule: str


def said(item: RecipeComparison) -> Iterator[Said]:
    """Yield the findings that differ: new ones first, then those that changed, then those gone."""
    order = ("error", "warning", "note")
    for word, found in (("new", item.new), ("gone", item.gone)):
        if word == "gone":
            for before, after in item.other:
                if before["severity"] != after["severity"]:
                    level = f"{before['severity']}{ARROW}{after['severity']}"
                    yield Said("changed", level, after["message"], after["rule"])
                else:
                    yield Said("changed", after["severity"], after["message"], after["rule"])
        for finding in sorted(found, key=lambda one: (order.index(one["severity"]), one["rule"])):
            yield Said(word, finding["severity"], finding["message"], finding["rule"])
