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
    why="The standard allows it, so no schema complains, and no other program reads it. Where the "
    "name is nearly that of a listed member (sulphate for sulfate), the value is silently lost.",
    source=_STANDARD,
    remedy="Correct the name where it is misspelt. Otherwise nothing needs to be done.",
    passes=_PLAIN,
    fails=Example(
        "A water whose sulfate stands under a name the standard does not know.",
        raw=_document(
            {
                "ingredients": {
                    "fermentable_additions": [],
                    "water_additions": [
                        {
                            "name": "Aldermoor mains",
                            **{
                                ion: {"unit": "mg/l", "value": size}
                                for ion, size in (
                                    ("calcium", 61),
                                    ("magnesium", 6),
                                    ("sodium", 14),
                                    ("chloride", 27),
                                    ("sulphate", 42),
                                    ("bicarbonate", 155),
                                )
                            },
                        }
                    ],
                }
            }
        ),
    ),
    standards=("beerjson",),
)

DEVIATIONS_JSON: Final[Mapping[str, Rule]] = {item.id: item for item in (SCHEMA, UNLISTED_MEMBER)}
