"""What a planted fault is, and the pieces faults are made of."""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from recipe_tools.rules.examples import quantity

Json = dict[str, Any]
Planter = Callable[[Json], None]


def nothing(recipe: Json) -> None:
    """Leave the recipe as it is: the fault lies in its file or in the configuration."""


def always(recipe: Json) -> bool:
    """Tell that a fault can be planted into any recipe."""
    return True


@dataclass(frozen=True)
class Fault:
    """A fault and the rule that has to name it.

    beside: rules that may rightly speak beside it. config: configuration under which it shows.
    fits: whether it can be planted into a recipe at all. only: the standard that can hold it.
    edit: change of the written file. touches: parts of the recipe that a second fault must leave
    alone. hides: rules, or beginnings of their names, that this fault rightly silences.
    """

    name: str
    rule: str
    plant: Planter = nothing
    beside: frozenset[str] = frozenset()
    config: Mapping[str, Any] = field(default_factory=dict)
    fits: Callable[[Json], bool] = always
    only: str = ""
    edit: Callable[[bytes], bytes] | None = None
    touches: frozenset[str] = frozenset()
    hides: tuple[str, ...] = ()


def parts(*names: str) -> frozenset[str]:
    """Return names of parts of a recipe."""
    return frozenset(names)


def together(*planters: Planter) -> Planter:
    """Return one planter that does what several do."""

    def plant(recipe: Json) -> None:
        for planter in planters:
            planter(recipe)

    return plant


def miscs(recipe: Json) -> list[Json]:
    """Return the miscellaneous additions of a recipe."""
    found: list[Json] = recipe["ingredients"]["miscellaneous_additions"]
    return found


def size(recipe: Json) -> float:
    """Return how many times 20 L the batch is: doses are planted in proportion."""
    litres: float = recipe["batch_size"]["value"]
    return litres / 20.0


def grain_kg(recipe: Json) -> float:
    """Return the mass of all mashed grain."""
    return sum(
        float(item["amount"]["value"])
        for item in recipe["ingredients"]["fermentable_additions"]
        if item["timing"]["use"] == "add_to_mash"
    )


def add(*items: Json, scaled: bool = True) -> Planter:
    """Return a planter that adds doses, given for a batch of 20 L."""

    def plant(recipe: Json) -> None:
        factor = size(recipe) if scaled else 1.0
        for item in copy.deepcopy(list(items)):
            item["amount"]["value"] = round(item["amount"]["value"] * factor, 4)
            miscs(recipe).append(item)

    return plant


def water_is(**mg_l: float) -> Planter:
    """Return a planter that puts one tap water in place of all waters."""

    def plant(recipe: Json) -> None:
        record: Json = {"name": "Aldermoor tap water"}
        record.update({ion: quantity(amount, "mg/l") for ion, amount in mg_l.items()})
        record["amount"] = quantity(round(28.5 * size(recipe), 1), "l")
        recipe["ingredients"]["water_additions"] = [record]

    return plant


def ions(**mg_l: float) -> Planter:
    """Return a planter that changes single figures of the first water."""

    def plant(recipe: Json) -> None:
        for ion, amount in mg_l.items():
            waters(recipe)[0][ion] = quantity(amount, "mg/l")

    return plant


def waters(recipe: Json) -> list[Json]:
    """Return the waters of a recipe."""
    found: list[Json] = recipe["ingredients"]["water_additions"]
    return found


def without(*words: str) -> Planter:
    """Return a planter that drops doses of acid, base or everything dosed into water."""

    def plant(recipe: Json) -> None:
        miscs(recipe)[:] = [item for item in miscs(recipe) if not _is_one_of(item, words)]

    return plant


_KINDS: Mapping[str, tuple[str, ...]] = {
    "acid": ("acid", "säure", "kwas", "h3po4", "h₃po₄", "hcl"),
    "base": ("soda", "bicarbonat", "hydroxid", "hydrogencarbonat", "nahco", "lime", "ca(oh)"),
}


def _is_one_of(item: Json, words: tuple[str, ...]) -> bool:
    if item["type"] != "water agent":
        return False
    name = item["name"].casefold().replace("á", "a")
    if "ascorb" in name or "sulfit" in name:
        return False
    acid, base = (any(word in name for word in _KINDS[kind]) for kind in ("acid", "base"))
    return any({"acid": acid, "base": base, "salt": not acid and not base}[word] for word in words)


def has(word: str) -> Callable[[Json], bool]:
    """Return a test for a dose of an ``acid``, ``base`` or ``salt``."""
    return lambda recipe: any(_is_one_of(item, (word,)) for item in miscs(recipe))


def has_water(recipe: Json) -> bool:
    """Tell whether the recipe states its water (and no report does)."""
    return bool(waters(recipe))


def has_minerals(recipe: Json) -> bool:
    """Tell whether its first water holds ions."""
    return bool(waters(recipe)) and waters(recipe)[0]["calcium"]["value"] > 0


def has_sparge(recipe: Json) -> bool:
    """Tell whether the recipe sparges."""
    return len(recipe["mash"]["mash_steps"]) > 1


def ebc(recipe: Json) -> float:
    """Return the stated colour."""
    found: float = recipe["color_estimate"]["value"]
    return found


def stated(patch: Callable[[Json], Json]) -> Planter:
    """Return a planter that states other numbers; the patch may depend on the true ones."""

    def plant(recipe: Json) -> None:
        recipe.update(patch(recipe))

    return plant
