"""Our statement of BeerJSON 1.0 against the published one.

Source: the JSON Schemas and samples of the BeerJSON repository (beerjson/beerjson, MIT licence).
"""

from __future__ import annotations

import json
import random
import re
from collections import Counter
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from recipe_tools.formats.beerjson_schema import BOUNDS, RANGE, SUFFIX, UNLISTED, compiled
from tests.conformance.beerjson_engines import (
    OWN_ROOT,
    PAIRS,
    changed,
    full_records,
    official_documents,
    own_documents,
    pruned,
    python_verdicts,
    records,
)
from tests.standards import require_standards

MUTATIONS = 16_000
SEED = 20_240_517


@pytest.fixture(scope="module")
def folder() -> Path:
    return require_standards("beerjson-1.0")


@pytest.fixture(scope="module")
def samples(folder: Path) -> dict[str, Any]:
    paths = sorted((folder / "samples").rglob("*.json"))
    return {path.name: json.loads(path.read_text("utf-8-sig")) for path in paths}


def screen(kind: str, record: Any) -> bool:
    """The verdict of the compiled check for a kind of record."""
    file, _, name = PAIRS[kind][1].partition("#/$defs/")
    part = file.removesuffix(SUFFIX) + (f"#{name}" if name else "")
    return not any(
        item.keyword not in (UNLISTED, BOUNDS, RANGE) for item in compiled(part)(record) or ()
    )


def record_pool(samples: dict[str, Any]) -> list[tuple[str, Any]]:
    """All records of all samples, cut to one element per list, each different one once."""
    pool: dict[str, tuple[str, Any]] = {}
    for document in samples.values():
        for kind, record in records(document):
            small = pruned(record)
            pool.setdefault(f"{kind} {json.dumps(small, sort_keys=True)}", (kind, small))
    return list(pool.values())


def test_our_schemas_are_valid_schemas() -> None:
    for name, document in own_documents().items():
        jsonschema.Draft202012Validator.check_schema(document)
        assert document["$id"] == OWN_ROOT + name.removesuffix(SUFFIX)


def test_our_schemas_name_the_revision_they_state() -> None:
    stated = {document["$comment"] for document in own_documents().values()}
    (comment,) = stated
    revision = re.search(r"revision ([0-9a-f]{40})", comment)
    described = require_standards("beerxml-1.0.md").read_text("utf-8")
    assert revision is not None
    assert f"at commit `{revision[1]}`" in described


def test_every_sample_has_the_published_verdict(folder: Path, samples: dict[str, Any]) -> None:
    verdicts = python_verdicts(official_documents(folder))
    theirs, ours = verdicts("document")
    assert len(samples) == 39
    for name, document in samples.items():
        small = pruned(document) if len(json.dumps(document)) > 100_000 else document
        assert theirs(small) is ours(small) is screen("document", small) is True, name


def test_changed_records_have_the_published_verdict(folder: Path, samples: dict[str, Any]) -> None:
    verdicts = python_verdicts(official_documents(folder))
    official = official_documents(folder)
    pool = [*record_pool(samples), *full_records(official, random.Random(SEED), 6)]
    # Large records are dear to validate; their parts are in the pool on their own.
    weights = [1.0 / (1 + len(json.dumps(record)) / 400) for _, record in pool]
    chance = random.Random(SEED)
    count: Counter[str] = Counter()
    seen: Counter[bool] = Counter()
    for kind, record in chance.choices(pool, weights, k=MUTATIONS):
        action, altered = changed(record, chance)
        if chance.random() < 0.2:
            altered = changed(altered, chance)[1]
        theirs, ours = verdicts(kind)
        expected = theirs(altered)
        assert ours(altered) is expected, (kind, action, altered)
        assert screen(kind, altered) is expected, (kind, action, altered)
        count[action] += 1
        seen[expected] += 1
    print(
        f"{sum(count.values())} changed records of {len(pool)}: {dict(count)}; valid {dict(seen)}"
    )
    assert sum(count.values()) >= 5000
    assert min(seen[True], seen[False]) > 1000
    assert set(count) == {"removed", "added", "renamed", "type", "word", "number", "emptied"}


def test_records_with_every_published_member_are_valid(folder: Path) -> None:
    official = official_documents(folder)
    verdicts = python_verdicts(official)
    kinds = set()
    for kind, record in full_records(official, random.Random(SEED), 3):
        theirs, ours = verdicts(kind)
        assert theirs(record) is ours(record) is screen(kind, record) is True, (kind, record)
        kinds.add(kind)
    assert kinds == set(PAIRS)


def members(value: Any) -> set[str]:
    """All member names that the properties of a schema document name."""
    if isinstance(value, dict):
        named = value.get("properties")
        found = set(named) if isinstance(named, dict) else set()
        return found.union(*(members(item) for item in value.values()))
    return set().union(*(members(item) for item in value)) if isinstance(value, list) else set()


def test_we_name_the_published_members_and_fluoride(folder: Path) -> None:
    theirs = set().union(*(members(item) for item in official_documents(folder).values()))
    ours = set().union(*(members(item) for item in own_documents().values()))
    assert ours - theirs == {"fluoride"}
    assert theirs - ours == set()


def test_the_engine_in_rust_agrees(folder: Path, samples: dict[str, Any]) -> None:
    rust = pytest.importorskip("jsonschema_rs", reason="jsonschema-rs is not installed")
    resources = [(document["$id"], document) for document in own_documents().values()]
    registry = rust.Registry(resources)
    whole = rust.validator_for({"$ref": OWN_ROOT + "document"}, registry=registry)
    chance = random.Random(SEED)
    small = [item for item in samples.values() if len(json.dumps(item)) < 100_000]
    seen: Counter[bool] = Counter()
    for _ in range(3000):
        document = changed(chance.choice(small), chance)[1]
        expected = whole.is_valid(document)
        assert screen("document", document) is expected, document
        seen[expected] += 1
    assert min(seen[True], seen[False]) > 200, seen
