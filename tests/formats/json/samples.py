"""Access to the BeerJSON files made for these tests (tests/files/json)."""

from __future__ import annotations

from pathlib import Path

from recipe_tools.findings import Finding
from recipe_tools.formats import beerjson
from recipe_tools.formats.result import ReadResult
from recipe_tools.limits import Limits

FOLDER = Path(__file__).resolve().parents[2] / "files" / "json"
LIMITS = Limits()
RECIPE = "/beerjson/recipes/0"
MALTS = f"{RECIPE}/ingredients/fermentable_additions"
SALTS = f"{RECIPE}/ingredients/miscellaneous_additions"
WATER = f"{RECIPE}/ingredients/water_additions/0"
STEPS = f"{RECIPE}/mash/mash_steps"


def data_of(name: str) -> bytes:
    """The bytes of a test file."""
    return (FOLDER / name).read_bytes()


def read(name: str) -> ReadResult:
    """A test file as read."""
    return beerjson.read(data_of(name), LIMITS)


def of_rule(result: ReadResult, rule: str) -> list[Finding]:
    """The findings of a rule, in the order in which they were made."""
    return [item for item in result.findings if item.rule == rule]
