"""How much of a file is read before it is refused, so that no file can take the machine."""

from __future__ import annotations

from dataclasses import dataclass

MEBIBYTE = 1024 * 1024


@dataclass(frozen=True, slots=True)
class Limits:
    """Upper bounds for one file. All are this project's own choice (derived_default).

    max_bytes: size of the file. max_depth: nesting of elements or members. max_recipes,
    max_additions, max_fermentables, max_steps: records of a kind (the last three per recipe).
    max_text: characters of one text field. max_findings_per_rule: findings of one rule shown for
    one file; the rest is counted and said, never dropped silently.
    """

    max_bytes: int = 32 * MEBIBYTE
    max_depth: int = 200
    max_recipes: int = 10_000
    max_additions: int = 10_000
    max_fermentables: int = 10_000
    max_steps: int = 10_000
    max_text: int = 4 * MEBIBYTE
    max_findings_per_rule: int = 100


DEFAULT_LIMITS = Limits()
