"""How much of a file is read before it is refused, so that no file can take the machine."""

from __future__ import annotations

from dataclasses import dataclass

MEBIBYTE = 1024 * 1024


@dataclass(frozen=True, slots=True)
class Limits:
    """Upper bounds for one file, all of this project's own choice (derived_default).

    Reaching a limit is a finding and never a silent cut.

    max_bytes: size of a file. max_depth: nesting of elements or members. max_recipes: recipes in a
    file. max_additions: records of one kind (fermentables, hops, additions ...) in a recipe.
    max_findings_per_rule: findings of one rule shown for one file; the rest is counted and said.
    """

    max_bytes: int = 32 * MEBIBYTE
    max_depth: int = 200
    max_recipes: int = 10_000
    max_additions: int = 10_000
    max_findings_per_rule: int = 100


DEFAULT_LIMITS = Limits()
