"""What is written is what its standard asks, but for what is listed as missing."""

from __future__ import annotations

import functools
import json
import re
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from jsonschema import Draft7Validator
from referencing import Registry, Resource
from referencing.jsonschema import DRAFT7

from recipe_tools.config import Options
from recipe_tools.converting import convert_bytes
from recipe_tools.formats.fields import RECORDS, SETS
from recipe_tools.recipe import FormatName
from tests.converting.accounts import generated, settable, value_for
from tests.standards import require_standards

OPTIONS = Options()
SEEDS = range(10)


@functools.cache
def official() -> Any:
    """The published schema of a whole document, of draft 7."""
    folder = require_standards("beerjson-1.0", "beer.json").parent
    documents = [json.loads(path.read_text("utf-8")) for path in sorted(folder.glob("*.json"))]
    pairs = [(one["$id"], Resource.from_contents(one, DRAFT7)) for one in documents]
    registry: Any = Registry().with_resources(pairs)
    root = next(one for one in documents if one["$id"].endswith("/beer.json"))
    return Draft7Validator(root, registry=registry)


def breaks(data: bytes) -> list[tuple[str, str]]:
    """Return (pointer, keyword) of what the published schemas say; the missing member's pointer."""
    found = []
    for error in official().iter_errors(json.loads(data)):
        pending = [error]
        while pending:
            one = pending.pop()
            if one.context:
                pending += one.context
                continue
            at = "".join(f"/{part}" for part in one.absolute_path)
            if one.validator == "required":
                name = re.match(r"'([^']*)'", one.message)
                assert name is not None
                at += f"/{name[1]}"
            found.append((at, one.validator))
    return found


def lacks(data: bytes) -> set[str]:
    """Return what a BeerXML document lacks by the table of the standard, without our reader."""
    found: set[str] = set()
    root = ET.fromstring(data)
    assert root.tag in SETS
    pending = [(root, f"/{root.tag}")]
    while pending:
        element, at = pending.pop()
        places: dict[str, int] = {}
        for child in element:
            places[child.tag] = places.get(child.tag, 0) + 1
            held = SETS.get(element.tag) == child.tag
            pending.append((child, f"{at}/{child.tag}" + f"[{places[child.tag]}]" * held))
        kind = element.findtext("TYPE")
        for field in RECORDS[element.tag].fields if element.tag in RECORDS else ():
            required = field.required == "yes"
            if field.required == "conditional":
                required = kind in ("Infusion", "All Grain", "Partial Mash")
            if required and element.find(field.tag) is None:
                found.add(f"{at}/{field.tag}")
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_beerjson_breaks_the_published_schema_only_where_something_is_missing(seed: int) -> None:
    result = convert_bytes(generated(seed, "beerjson"), "made", "beerjson", OPTIONS)
    assert result.data is not None
    missing = {item.pointer for item in result.missing}
    for at, keyword in breaks(result.data):
        assert any(one == at or one.startswith(f"{at}/") for one in missing), (at, keyword)
    assert bool(breaks(result.data)) == bool(missing) == (not result.valid)


@pytest.mark.parametrize("seed", SEEDS)
def test_beerxml_lacks_only_what_is_listed_as_missing(seed: int) -> None:
    result = convert_bytes(generated(seed, "beerxml"), "made", "beerxml", OPTIONS)
    assert result.data is not None
    missing = {item.pointer for item in result.missing}
    for at in lacks(result.data):
        assert any(one == at or one.startswith(f"{at}/") for one in missing), at
    for at in missing:
        assert any(at == one or at.startswith(f"{one}/") for one in lacks(result.data)), at


@pytest.mark.parametrize("to", ["beerjson", "beerxml"])
@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_missing_can_be_stated_and_the_result_is_valid(seed: int, to: FormatName) -> None:
    source = generated(seed, to)
    first = convert_bytes(source, "made", to, OPTIONS)
    if not settable(first):
        pytest.skip("a mash without steps cannot be stated by single values")
    settings = [(item.pointer, value_for(item, to)) for item in first.missing]
    result = convert_bytes(source, "made", to, OPTIONS, settings)
    assert result.missing == ()
    assert result.valid
    assert result.data is not None
    if to == "beerjson":
        assert breaks(result.data) == []
    else:
        assert lacks(result.data) == set()
