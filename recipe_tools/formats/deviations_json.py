"""Declarations of what only a BeerJSON file can do against its standard."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any, Final

from recipe_tools.findings import Example, Rule, Severity

_STANDARD = "BeerJSON 1.0; the statement of it in schemas/beerjson"


def _document(recipe: Mapping[str, Any]) -> bytes:
    plain = {
        "name": "Weir Bitter",
        "type": "all grain",
        "author": "Aldermoor Brewing Circle",
        "batch_size": {"unit": "l", "value": 20},
        "efficiency": {"brewhouse": {"unit": "%", "value": 72}},
        "ingredients": {"fermentable_additions": []},
        **recipe,
    }
    return json.dumps({"beerjson": {"version": 1, "recipes": [plain]}}, indent=2).encode()


_PLAIN = Example("A recipe that keeps to the standard.", raw=_document({}))

SCHEMA = Rule(
    id="standard/schema",
    severity=Severity.NOTE,
    summary="The file breaks the BeerJSON schema in a way of little consequence.",
    message="{fault}.",
    why="A program that insists on the schema refuses the file: a member that does not belong "
    "there, an empty list, a date or letter written another way. The standard misspells fluoride "
    '("flouride"); both spellings are read. It knows no limits for numbers; those that cannot be '
    "are found by standard/impossible-value.",
    source=_STANDARD,
    remedy="Remove the member or write the value as the message says; most often the program "
    "that wrote the file needs an update.",
    passes=_PLAIN,
    fails=Example(
        "A recipe with a member that BeerJSON keeps beside the recipes.",
        raw=_document({"equipment": "the blue kettle"}),
    ),
    standards=("beerjson",),
)

UNLISTED_MEMBER = Rule(
    id="standard/unlisted-member",
    severity=Severity.NOTE,
    summary="An ingredient or style carries a member the standard does not name there.",
    message="Members the standard does not name where they stand: {listed}. {unread}",
    why="The standard allows it, so no schema complains, and no other program reads it. A name "
    "that is nearly that of a listed member is found by standard/misspelt-tag.",
    source=_STANDARD,
    remedy="Nothing needs to be done.",
    passes=_PLAIN,
    fails=Example(
        "A malt with the number of its sack.",
        raw=_document(
            {
                "ingredients": {
                    "fermentable_additions": [
                        {
                            "name": "Aldermoor pale malt",
                            "type": "grain",
                            "yield": {"fine_grind": {"unit": "%", "value": 80}},
                            "color": {"unit": "EBC", "value": 6},
                            "amount": {"unit": "kg", "value": 4},
                            "sack": 4,
                        }
                    ]
                }
            }
        ),
    ),
    standards=("beerjson",),
)

DEVIATIONS_JSON: Final[Mapping[str, Rule]] = {item.id: item for item in (SCHEMA, UNLISTED_MEMBER)}
