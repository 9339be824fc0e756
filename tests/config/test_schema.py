"""The published schema and the loader agree on what is allowed."""

from __future__ import annotations

import json
from collections.abc import Iterator
from copy import deepcopy
from datetime import date
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from referencing import Registry, Resource

from recipe_tools.config import ConfigError
from recipe_tools.config.load import TOP_LEVEL, options_from_table
from recipe_tools.config.own_rules import QUANTITIES, STAGES
from recipe_tools.config.tables import (
    EQUIPMENT,
    MALT,
    OWN_RULE,
    READINGS,
    SHELF,
    STYLE_KEYS,
    SUPPRESS,
    WATER,
)
from recipe_tools.schema_files import schema_path, schema_text
from recipe_tools.water_report import KEYS, ReportError, report_from_table

CONFIG = json.loads(schema_text("config.schema.json"))
REPORT = json.loads(schema_text("water-report.schema.json"))
SCHEMAS = Registry().with_resource(REPORT["$id"], Resource.from_contents(REPORT))
CONFIG_VALIDATOR = Draft202012Validator(CONFIG, registry=SCHEMAS)
REPORT_VALIDATOR = Draft202012Validator(REPORT)
ARRAYS = (("malt", MALT), ("shelf", SHELF), ("suppress", SUPPRESS), ("own-rule", OWN_RULE))


def loads(table: dict[str, Any]) -> bool:
    try:
        options_from_table(table)
    except ConfigError:
        return False
    return True


def reads(rows: dict[str, Any]) -> bool:
    try:
        report_from_table(rows)
    except ReportError:
        return False
    return True


def test_the_schemas_are_schemas() -> None:
    Draft202012Validator.check_schema(CONFIG)
    Draft202012Validator.check_schema(REPORT)


def test_every_schema_has_an_id_of_its_own_and_refers_to_ids_only() -> None:
    folder = schema_path("config.schema.json").parent
    schemas = [json.loads(path.read_text("utf-8")) for path in sorted(folder.rglob("*.json"))]
    ids = [schema["$id"] for schema in schemas]
    assert len(set(ids)) == len(schemas)
    registry = Registry().with_resources(
        (schema["$id"], Resource.from_contents(schema)) for schema in schemas
    )
    for schema in schemas:
        resolver = registry.resolver(schema["$id"])
        for target in references(schema):
            resolver.lookup(target)


def references(value: Any) -> Iterator[str]:
    """Yield what a schema refers to."""
    if isinstance(value, dict) and isinstance(value.get("$ref"), str):
        yield value["$ref"]
    items = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    for item in items:
        yield from references(item)


def test_both_know_the_same_keys() -> None:
    definitions = CONFIG["$defs"]
    assert set(CONFIG["properties"]) == set(TOP_LEVEL)
    assert set(definitions["water"]["properties"]) == set(WATER.readers)
    assert set(definitions["equipment"]["properties"]) == set(EQUIPMENT.readers)
    for name, table in ARRAYS:
        items = CONFIG["properties"][name]["items"]
        assert set(items["properties"]) == set(table.readers)
        assert set(items["required"]) == set(table.required)
    assert set(CONFIG["properties"]["readings"]["properties"]) == set(READINGS.readers)
    own = CONFIG["properties"]["own-rule"]["items"]["properties"]
    assert own["quantity"]["enum"] == list(QUANTITIES)
    assert own["stage"]["enum"] == list(STAGES)
    family = definitions["style"]["additionalProperties"]
    assert set(family["properties"]) == set(STYLE_KEYS)
    assert set(REPORT["properties"]) == set(KEYS)


# The range of calcium is so wide that no replacement of one end can turn it round.
VALID: dict[str, Any] = {
    "water": {
        "records": "source",
        "report": {"calcium": "62 mg/L", "alkalinity": 130, "kind": "average", "ph": 7.5},
        "chlorine_mg_l": 0.4,
        "chloramine": False,
        "treatment": "boiled",
    },
    "equipment": {
        "sparge": True,
        "grain_absorption_l_kg": 0.9,
        "dead_space_l": "1 qt",
        "crush": "coarse",
        "units": "us",
    },
    "malt": [{"name": "Pale", "di_ph": 5.7, "buffer_meq_kg_ph": 45, "di_water_l_kg": 8.3}],
    "shelf": [{"agent": "gypsum", "form": "solid", "purity_percent": 99, "scale_g": 0.1}],
    "style": {
        "mild": {"calcium": [0, 20_000_000], "sodium": {"high": 60}, "sulfate": "1 - 3 mEq/L"}
    },
    "rules": {"ions/calcium-low": {"severity": "off", "options": {"low": 3}}},
    "paths": [{"globs": ["*.xml"], "equipment": {"sparge": False}}],
    "suppress": [{"rule": "ions", "reason": "x", "path": "a/", "recipe": 3, "until": "2030-01-31"}],
    "own-rule": [
        {
            "name": "hard-enough",
            "quantity": "residual_alkalinity_meq_l",
            "stage": "mash",
            "style": "stout",
            "low": 1.0,
            "severity": "note",
            "reason": "x",
            "source": "x",
        }
    ],
}

REPLACEMENTS: list[Any] = [
    True,
    -5,
    0,
    5,
    10_000_000,
    "",
    "source",
    "note",
    "gypsum",
    [],
    [1, 2],
    ["a"],
    {},
    {"low": 1},
    "2030-01-31",
]


def places(value: Any, here: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Return the paths of all values below a table."""
    found = []
    items = value.items() if isinstance(value, dict) else enumerate(value)
    for key, inner in items:
        found.append((*here, key))
        if isinstance(inner, (dict, list)):
            found += places(inner, (*here, key))
    return found


def changed(path: tuple[Any, ...], replacement: Any) -> dict[str, Any]:
    table = deepcopy(VALID)
    target: Any = table
    for key in path[:-1]:
        target = target[key]
    target[path[-1]] = replacement
    return table


def test_the_full_example_is_valid_for_both() -> None:
    CONFIG_VALIDATOR.validate(VALID)
    assert loads(VALID)


@pytest.mark.parametrize("path", places(VALID), ids=lambda path: ".".join(map(str, path)))
def test_every_value_replaced_by_others(path: tuple[Any, ...]) -> None:
    for replacement in REPLACEMENTS:
        if path[-2:] == ("report", "date") or "options" in path[:-1]:
            continue
        table = changed(path, replacement)
        agreed = CONFIG_VALIDATOR.is_valid(table)
        # A text may hold any unit or agent; that only the loader can judge.
        if isinstance(replacement, str) and replacement and agreed:
            continue
        assert loads(table) == agreed, replacement


def value_at(path: tuple[Any, ...]) -> Any:
    target: Any = VALID
    for key in path:
        target = target[key]
    return target


TABLES = [
    path
    for path in places(VALID)
    if isinstance(value_at(path), dict) and path[-1] not in ("options", "style", "rules")
]


@pytest.mark.parametrize("path", TABLES, ids=lambda path: ".".join(map(str, path)))
def test_every_table_with_an_unknown_key(path: tuple[Any, ...]) -> None:
    table = changed(path, {**value_at(path), "unheard_of": 1})
    assert not CONFIG_VALIDATOR.is_valid(table)
    assert not loads(table)


def test_without_each_mandatory_key() -> None:
    for name, table in ARRAYS:
        for key in table.required:
            rest = {k: v for k, v in VALID[name][0].items() if k != key}
            broken = {**VALID, name: [rest]}
            assert not CONFIG_VALIDATOR.is_valid(broken)
            assert not loads(broken)


def test_a_date_of_toml_is_allowed_too() -> None:
    table = {"suppress": [{"rule": "ions", "reason": "x", "until": date(2030, 1, 31)}]}
    assert loads(table)


ROWS = st.dictionaries(
    st.sampled_from([key for key in KEYS if key != "date"]),
    st.sampled_from(
        [1, 7.5, 0, -1, 15, 4.3, True, "12 mg/L", [1, 2], [7.2, 7.4, 7.6], {}, "sample", "x" * 400]
    ),
    min_size=1,
    max_size=4,
)


@settings(max_examples=400, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(ROWS)
def test_water_reports(rows: dict[str, Any]) -> None:
    allowed = REPORT_VALIDATOR.is_valid(rows)
    if reads(rows):
        assert allowed
    elif allowed:
        # Only texts, whose units the schema does not know, may be refused by the reader alone.
        assert any(isinstance(value, str) for value in rows.values())
