"""Recipes that are alike, told apart by changing one thing at a time."""

from __future__ import annotations

from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest

from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    document,
    grist,
    malt,
    merge_patch,
    water,
    well,
)
from tests.archive.conftest import PLAIN, renamed, write
from tests.cli.conftest import Run

PLAIN_GRIST = (
    malt("Pale ale malt", 3.9, 2.8),
    malt("Light caramel malt", 0.2, 12.0, "caramel"),
    malt("Acidulated malt", 0.1, 2.0, "specialty"),
)
HOPS = {"ingredients": {"hop_additions": []}}


def changed(*patches: Any) -> bytes:
    recipe: Any = PLAIN_RECIPE
    for patch in patches:
        recipe = merge_patch(recipe, patch)
    return document(recipe)


def scaled(factor: float) -> bytes:
    """Return the plain recipe for another batch size: everything that is weighed or measured."""
    recipe: Any = deepcopy(dict(PLAIN_RECIPE))
    recipe["batch_size"]["value"] *= factor
    for listed in recipe["ingredients"].values():
        for place, item in enumerate(listed):
            amount = dict(item["amount"], value=item["amount"]["value"] * factor)
            listed[place] = dict(item, amount=amount)
    return document(recipe)


def kinds(run: Run, here: Path, first: bytes, second: bytes) -> list[str]:
    write(here / "club", {"a.json": first, "b.json": second})
    return [item["kind"] for item in run("audit", "club", "--format", "json").json["alike"]]


@pytest.mark.parametrize(
    ("other", "kind"),
    [
        (PLAIN, "identical files"),
        (renamed("Another Name", author="Somebody", notes="other words"), "same recipe"),
        (changed(HOPS), "same grist and water"),
        (
            changed(HOPS, grist(malt("Pale ale malt", 3.97, 2.8), *PLAIN_GRIST[1:])),
            "same grist and water",
        ),
        (changed(grist(malt("Pale ale malt", 4.3, 2.8), *PLAIN_GRIST[1:])), None),
        (changed(grist(malt("Pilsner malt", 3.9, 1.7), *PLAIN_GRIST[1:])), None),
        (changed(water(well(calcium=60.0))), None),
        (changed(grist(*PLAIN_GRIST, malt("Rye malt", 0.3, 3.5))), None),
    ],
)
def test_what_counts_as_alike(run: Run, here: Path, other: bytes, kind: str | None) -> None:
    assert kinds(run, here, PLAIN, other) == ([] if kind is None else [kind])


def test_another_batch_size_is_the_same_recipe(run: Run, here: Path) -> None:
    assert kinds(run, here, PLAIN, scaled(2.0)) == ["same recipe"]


def test_recipes_that_are_the_same_stand_for_each_other(run: Run, here: Path) -> None:
    write(
        here / "club",
        {"a.json": PLAIN, "b.json": renamed("Twin"), "c.json": changed(HOPS), "d.json": PLAIN},
    )
    found = run("audit", "club", "--format", "json").json["alike"]
    assert [
        (item["kind"], [member["path"][-6] for member in item["recipes"]]) for item in found
    ] == [
        ("same recipe", ["a", "b", "d"]),
        ("same grist and water", ["a", "c"]),
    ]
