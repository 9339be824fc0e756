"""What has changed for each recipe since an earlier state: under another water, or edited.

A state is what the JSON report of an audit says of a recipe, with its open findings.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, Literal, NamedTuple

from recipe_tools.archive.trouble import beer, is_trouble
from recipe_tools.judgement.ions import upper_limit
from recipe_tools.judgement.mash import WINDOW_PH
from recipe_tools.recipe import IONS

Json = dict[str, Any]
Kind = Literal["newly out", "worse", "better", "unchanged", "new", "gone"]

KINDS: tuple[Kind, ...] = ("newly out", "worse", "new", "better", "unchanged", "gone")
"""The most urgent first."""

MASH_PH = "mash pH"
_WINDOW_RULES = ("mash-ph/above-range", "mash-ph/below-range")
_LIMIT_TOPICS = ("mash-ph", "ions", "sparge", "water")
_TENTH_PH = 0.1
_MOVED_PH = 0.01
_MOVED_MG_L = 1.0
_MOVED_SHARE = 0.03
"""An ion that moves by less has not moved (derived_default)."""
_NOTICED = 0.05
"""Difference of `_excess` from which a recipe is worse or better (derived_default)."""


class State(NamedTuple):
    """A recipe as an audit reports it, with its open findings."""

    recipe: Json
    findings: Sequence[Json]

    @property
    def water(self) -> str:
        """The source water in words, as it is counted."""
        return water_label(self.recipe)

    @property
    def ph(self) -> Json | None:
        """The prediction, None without one."""
        return self.recipe.get("mash_ph")


class Moved(NamedTuple):
    """A quantity before and after, None where it is not known."""

    what: str
    before: float | None
    after: float | None


class Out(NamedTuple):
    """Something out of its window or past its limit.

    what: ``mash pH``, an ion, or the id of a rule. said: in the words of the finding.
    """

    what: str
    said: str


class RecipeChange(NamedTuple):
    """One recipe before and after.

    out: what is newly out of its window or past its limit, or newly wrong; ended: what no longer
    is. moved: ions
    that moved, most first. before, after: None where it was not, or is no longer, there.
    """

    kind: Kind
    urgency: float
    path: str
    before: State | None
    after: State | None
    moved: tuple[Moved, ...] = ()
    out: tuple[Out, ...] = ()
    ended: tuple[Out, ...] = ()

    @property
    def recipe(self) -> Json:
        """The recipe as it is now, or was."""
        state = self.after or self.before
        assert state is not None
        return state.recipe

    @property
    def ph_moved(self) -> Moved | None:
        """The predicted mash pH before and after; None where there is none on either side."""
        values = [state.ph["predicted"] if state and state.ph else None for state in self.states]
        return None if values == [None, None] else Moved(MASH_PH, *values)

    @property
    def states(self) -> tuple[State | None, State | None]:
        """Before and after."""
        return self.before, self.after

    def entry(self) -> Json:
        """Return the change as JSON reports have it."""
        recipe = self.recipe
        return {
            "change": self.kind,
            "path": self.path,
            "recipe": recipe["index"],
            "name": recipe["name"],
            "water": [state and state.water for state in self.states],
            "mash_ph": [state and state.ph for state in self.states],
            "moved": [item._asdict() for item in self.moved],
            "newly_out": [item._asdict() for item in self.out],
            "no_longer_out": [item._asdict() for item in self.ended],
            "doses": self.after.recipe.get("doses") if self.after else None,
        }


def water_label(recipe: Mapping[str, Any]) -> str:
    """Return the source water of a recipe in words: what recipes state themselves counts as one."""
    water = recipe.get("water") or {}
    origin, name = water.get("origin"), water.get("name")
    if not recipe.get("water_known"):
        return "unknown water"
    if origin == "pure":
        return "pure water"
    if origin in ("report", "configuration") and name:
        return str(name)
    return "the water each recipe states"


def change(path: str, before: State | None, after: State | None) -> RecipeChange:
    """Return what has changed in a recipe. One of both is there."""
    if before is None or after is None:
        kind: Kind = "new" if before is None else "gone"
        urgency = _excess(after.recipe) if after is not None else 0.0
        return RecipeChange(kind, urgency, path, before, after)
    was, now = _outs(before), _outs(after)
    newly, over = now.keys() - was.keys(), was.keys() - now.keys()
    worse = _excess(after.recipe) - _excess(before.recipe)
    more = _errors(after.recipe) - _errors(before.recipe)
    if any(map(_is_limit, newly)):
        kind = "newly out"
    elif newly or more > 0 or worse > _NOTICED:
        kind = "worse"
    else:
        kind = "better" if over or more < 0 or worse < -_NOTICED else "unchanged"
    # What is newly out counts, and the mash before all else; what was out before does not.
    urgency = 10.0 * max(more, 0) + 5.0 * (MASH_PH in newly) + len(newly) + worse
    return RecipeChange(
        kind,
        round(urgency, 3),
        path,
        before,
        after,
        tuple(_moved(before.recipe, after.recipe)),
        tuple(Out(key, now[key]) for key in sorted(newly, key=_mash_first)),
        tuple(Out(key, was[key]) for key in sorted(over, key=_mash_first)),
    )


def _outs(state: State) -> dict[str, str]:
    """Return what is out of its window or past its limit, with what is said of it."""
    found: dict[str, str] = {}
    recipe, ph = state.recipe, state.ph
    for item in state.findings:
        if item["severity"] != "note" and item["suppressed"] is None and is_trouble(item["rule"]):
            found.setdefault(_key(item["rule"]), f"{item['message']} ({item['rule']})")
    if recipe.get("water_known") and ph is not None:
        low, high = _window(ph)
        side = ph.get("against") or _side(ph["predicted"], low, high)
        if side in ("below", "above"):
            words = f"The mash pH of {ph['predicted']:.2f} lies {side} {low:g} to {high:g}."
            found.setdefault(MASH_PH, words)
    for ion in recipe.get("over_limit", ()):
        found.setdefault(str(ion), f"There is more {ion} than the level that is warned of.")
    return found


def _is_limit(key: str) -> bool:
    """Tell whether something has a window or limit; a name that is not understood has none."""
    return key == MASH_PH or key in IONS or key.partition("/")[0] in _LIMIT_TOPICS


def _mash_first(key: str) -> tuple[bool, str]:
    return key != MASH_PH, key


def _key(rule: str) -> str:
    topic, _, name = rule.partition("/")
    if rule in _WINDOW_RULES:
        return MASH_PH
    ion = name.removesuffix("-high")
    return ion if topic == "ions" and ion in IONS else rule


def _window(ph: Json) -> tuple[float, float]:
    low, high = ph.get("window") or WINDOW_PH
    return float(low), float(high)


def _side(ph: float, low: float, high: float) -> str:
    return "below" if ph < low else "above" if ph > high else "within"


def _errors(recipe: Json) -> int:
    return int((recipe.get("trouble") or recipe["findings"])["error"])


def _excess(recipe: Json) -> float:
    """Return how far a recipe is out: tenths of pH, and shares of the limits of ions."""
    excess = 0.0
    ph = recipe.get("mash_ph")
    if ph is not None and recipe.get("water_known") and ph.get("against") != "exempt":
        low, high = _window(ph)
        excess += max(low - ph["predicted"], ph["predicted"] - high, 0.0) / _TENTH_PH
    for ion in recipe.get("over_limit", ()):
        limit, level = upper_limit(ion), recipe["ions_mg_l"].get(ion)
        if limit and level is not None:
            excess += max(level - limit, 0.0) / limit
    return excess


def _moved(before: Json, after: Json) -> Iterator[Moved]:
    """Yield the ions that moved, those that moved by the largest share first."""
    found = []
    for ion in IONS:
        was, now = before["ions_mg_l"].get(ion), after["ions_mg_l"].get(ion)
        if was is None or now is None:
            if was != now:
                found.append((0.0, Moved(ion, was, now)))
            continue
        step = abs(now - was)
        if step >= max(_MOVED_MG_L, _MOVED_SHARE * max(was, now)):
            found.append((-step / max(was, now, 10.0), Moved(ion, was, now)))
    yield from (item for _, item in sorted(found, key=lambda pair: pair[0]))


def states_of(recipes: Iterable[Json], findings: Iterable[Json]) -> list[State]:
    """Return the states of the recipes of a file, given as the JSON report has both."""
    by_recipe: dict[int | None, list[Json]] = {}
    for item in findings:
        by_recipe.setdefault(item["recipe"], []).append(item)
    return [State(item, by_recipe.get(item["index"], [])) for item in recipes]


def pairs(
    before: Sequence[State], after: Sequence[State]
) -> Iterator[tuple[State | None, State | None]]:
    """Yield the recipes of a file that belong together: of one name, else at one place."""
    left = list(before)
    waiting = []
    for state in after:
        same = [item for item in left if item.recipe["name"] == state.recipe["name"]]
        place = state.recipe["index"]
        match = min(same, key=lambda item: abs(item.recipe["index"] - place), default=None)
        if match is None:
            waiting.append(state)
        else:
            left.remove(match)
            yield match, state
    for state in waiting:
        place = state.recipe["index"]
        match = next((item for item in left if item.recipe["index"] == place), None)
        if match is not None:
            left.remove(match)
        yield match, state
    yield from ((state, None) for state in left)


class BeerChanges(NamedTuple):
    """The versions of one beer with what has changed in each, the most urgent first."""

    kind: Kind
    versions: tuple[RecipeChange, ...]

    @property
    def name(self) -> str:
        """The shortest of the names, which most often is the one without a version."""
        names: list[str] = [item.recipe["name"] for item in self.versions]
        return min(names, key=len)


def packed_change(item: RecipeChange) -> tuple[Any, ...]:
    """Return a change as a row of the table that `archive.compare` keeps."""
    recipe = item.recipe
    key = beer(item.path, recipe["name"], recipe.get("brewer") or "")
    text = json.dumps([state and [state.recipe, state.findings] for state in item.states])
    return KINDS.index(item.kind), item.urgency, key, item.path, recipe["index"], text


def unpacked_change(path: str, text: str) -> RecipeChange:
    """Return the change that was packed."""
    before, after = (state and State(*state) for state in json.loads(text))
    return change(path, before, after)
