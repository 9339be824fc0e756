"""The conformance vectors: what this project says of each, and the published verdict on it."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path

from recipe_tools.checking import check_bytes
from recipe_tools.config import Options
from recipe_tools.formats.fields import FIELDS
from tests.conformance.beerjson_engines import official_documents, python_verdicts
from tests.conformance.vectors import Vector, manifest, vectors, write
from tests.standards import require_standards

ONLY = Options(only=("standard", "file"))


def wrong(vector: Vector) -> str:
    """Say what is not found of a vector, or found beyond it."""
    file = check_bytes(vector.text.encode(), vector.file, ONLY)
    found = {item.rule for item in file.findings}
    if found != set(vector.findings):
        return f"{vector.file}: {sorted(found)} for {sorted(vector.findings)}"
    if vector.at and vector.at not in {item.pointer for item in file.findings}:
        return f"{vector.file}: at {[item.pointer for item in file.findings]}, not {vector.at}"
    if vector.at and file.findings[0].line is None:
        return f"{vector.file}: no line"
    return ""


def test_each_vector_has_its_findings_and_no_others() -> None:
    failures = list(filter(None, map(wrong, vectors())))
    assert failures == [], f"{len(failures)} of {len(vectors())}"


ROOTS = {"HOP": "hop_varieties", "FERMENTABLE": "fermentables", "YEAST": "cultures"} | {
    "MISC": "miscellaneous_ingredients",
    "WATER": "profiles",
    "STYLE": "styles",
    "MASH": "mashes",
    "MASH_STEP": "mashes.mash_steps",
    "RECIPE": "recipes",
}
SAME_FAULTS = {
    "missing": ("missing",),
    "word": ("word", "type"),
    "too-low": ("value.too-low", "too-low"),
    "too-high": ("value.too-high", "too-high"),
}
"""Faults that both standards can have, by name in BeerXML, with their names in BeerJSON."""


def weights(vector: Vector) -> set[tuple[str, str]]:
    """Rules that speak of a vector, with their severity."""
    file = check_bytes(vector.text.encode(), vector.file, ONLY)
    return {(item.rule, str(item.severity)) for item in file.findings}


def test_a_fault_weighs_the_same_in_both_standards() -> None:
    """Of each field that both have, in documents of one record: nothing but the text differs."""
    by_file = {vector.file: vector for vector in vectors()}
    compared, differ = 0, []
    for field in FIELDS:
        path = f"beerjson/{ROOTS.get(field.record)}.{field.path.replace('/', '.')}"
        for fault, others in SAME_FAULTS.items():
            xml = by_file.get(f"beerxml/{field.record}.{field.tag}.{fault}.xml")
            names = (f"{path}.{name}.json" for name in others)
            beerjson = next((by_file[name] for name in names if name in by_file), None)
            if xml is None or beerjson is None or not field.path:
                continue
            compared += 1
            if weights(xml) != weights(beerjson):
                differ.append((xml.file, weights(xml), weights(beerjson)))
    assert compared > 200
    assert differ == []


def test_the_published_schemas_give_the_stated_verdict() -> None:
    """Source: the JSON Schemas of BeerJSON 1.0, judged by jsonschema."""
    theirs, _ = python_verdicts(official_documents(require_standards("beerjson-1.0")))("document")
    compared: Counter[bool] = Counter()
    for vector in vectors():
        if vector.standard == "BeerJSON 1.0" and "cut-short" not in vector.file:
            expected = theirs(json.loads(vector.text))
            if vector.file != "beerjson/document.not-finite.json":  # NaN is a number to a schema
                assert vector.valid is expected, vector.file
            compared[expected] += 1
    print(dict(compared))
    assert min(compared.values()) > 100


def test_every_clause_has_a_name_of_its_own_and_a_description() -> None:
    described = manifest()
    assert len({item["file"] for item in described}) == len(described)
    assert all(item["clause"] for item in described)
    assert all(bool(item["fault"]) or item["valid"] for item in described)


def test_they_are_written_for_others(tmp_path: Path) -> None:
    count = write(tmp_path)
    listed = json.loads((tmp_path / "manifest.json").read_text("utf-8"))
    assert len(listed) == count
    assert {str(path.relative_to(tmp_path)) for path in tmp_path.rglob("*.*ml")} <= {
        item["file"] for item in listed
    }
    assert all((tmp_path / item["file"]).is_file() for item in listed)
