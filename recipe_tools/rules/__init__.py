"""The rules: each a generator function with its declaration beside it.

A rule looks at one `BrewDay` and yields findings. It reads its thresholds from ``options`` (the
defaults of its declaration, overridden by recipe-tools.toml). The `rule` decorator registers it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, NamedTuple

from recipe_tools.brewday import BrewDay
from recipe_tools.findings import Finding, Rule

Check = Callable[[BrewDay, Mapping[str, Any]], Iterator[Finding]]


class RecipeRule(NamedTuple):
    """A declaration together with the function that applies it to a brew day."""

    declaration: Rule
    check: Check


_registered: dict[str, RecipeRule] = {}


def rule(declaration: Rule) -> Callable[[Check], Check]:
    """Register the decorated generator function under its declaration, whose id its findings get.

    Raises ValueError on a second use of an id.
    """

    def register(check: Check) -> Check:
        if declaration.id in _registered:
            raise ValueError(f"rule {declaration.id} is declared twice")
        _registered[declaration.id] = RecipeRule(declaration, _signed(declaration.id, check))
        return check

    return register


def _signed(id_: str, check: Check) -> Check:
    def signed(day: BrewDay, options: Mapping[str, Any]) -> Iterator[Finding]:
        for finding in check(day, options):
            yield finding._replace(rule=id_)

    return signed


def recipe_rules() -> Mapping[str, RecipeRule]:
    """Return all rules that look at a brew day, by id, in the order of their ids."""
    from recipe_tools.rules import (  # noqa: F401  (importing a topic registers its rules)
        addition,
        ions,
        mash_ph,
        safety,
        sanity,
        sparge,
        water,
    )

    return dict(sorted(_registered.items()))
