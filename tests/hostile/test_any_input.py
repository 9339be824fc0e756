"""Any input at every boundary: no traceback, the same report twice, nothing lost."""

from __future__ import annotations

import json
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from recipe_tools.findings import Severity
from recipe_tools.formats.deviation_examples import PLAIN_TEXT
from recipe_tools.rules.examples import PLAIN_RECIPE, document
from tests.conformance.beerjson_engines import official_documents, python_verdicts
from tests.fuzz.mutations import beerjson as change_json
from tests.fuzz.mutations import beerxml as change_xml
from tests.hostile import beerjson_documents, beerxml_documents
from tests.hostile.soundness import SMALL, assert_sound, findings_of
from tests.standards import require_standards

GENERATED = settings(
    deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
BEERJSON = document(PLAIN_RECIPE).decode()
KEYS = st.sampled_from(
    (
        "beerjson",
        "version",
        "recipes",
        "name",
        "mash",
        "mash_steps",
        "amount",
        "value",
        "unit",
        "style",
    )
) | st.text(max_size=5)
SCALARS = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats(allow_nan=True, allow_infinity=True)
    | st.text(st.characters(exclude_categories=()), max_size=10)
)
ANY_JSON = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=5) | st.dictionaries(KEYS, inner, max_size=5),
    max_leaves=30,
)


def written(value: Any) -> bytes:
    return json.dumps(value).encode("utf-8", "surrogatepass")


@settings(GENERATED, max_examples=100)
@given(st.binary(max_size=400))
def test_any_bytes(data: bytes) -> None:
    assert_sound(data, SMALL)


@settings(GENERATED, max_examples=60)
@given(
    st.sampled_from(
        (b"<RECIPES>", b'{"beerjson":', b"\xef\xbb\xbf<", b"\xff\xfe<\x00", b"[", b"<?xml ")
    ),
    st.binary(max_size=200),
)
def test_any_bytes_that_start_like_a_recipe(start: bytes, data: bytes) -> None:
    assert_sound(start + data, SMALL)


@settings(GENERATED, max_examples=80)
@given(beerxml_documents.trees())
def test_any_tree_of_beerxml_tags(text: str) -> None:
    assert_sound(text.encode(), SMALL)


@settings(GENERATED, max_examples=80)
@given(ANY_JSON)
def test_any_json(value: Any) -> None:
    assert_sound(written(value), SMALL)


@settings(GENERATED, max_examples=80)
@given(ANY_JSON)
def test_any_json_in_place_of_a_recipe(value: Any) -> None:
    assert_sound(written({"beerjson": {"version": 1, "recipes": [value, PLAIN_RECIPE]}}), SMALL)


@settings(GENERATED, max_examples=250)
@given(st.randoms(use_true_random=False))
def test_beerjson_with_wrong_values_in_any_place(dice: Any) -> None:
    assert_sound(change_json(BEERJSON, dice).encode("utf-8", "surrogatepass"), SMALL)


@settings(GENERATED, max_examples=250)
@given(st.randoms(use_true_random=False))
def test_beerxml_with_wrong_values_in_any_place(dice: Any) -> None:
    assert_sound(change_xml(PLAIN_TEXT, dice).encode("utf-8", "surrogatepass"), SMALL)


def assert_valid(data: bytes) -> None:
    """Fail where a document that keeps to its standard is told it does not."""
    run = assert_sound(data)
    assert run.files[0].status == "checked"
    assert run.files[0].recipes
    told = [item for item in findings_of(run) if item.rule.startswith(("file/", "standard/"))]
    assert not [item for item in told if (item.severity or Severity.ERROR) > Severity.NOTE], told


@settings(GENERATED, max_examples=40)
@given(beerjson_documents.documents())
def test_valid_beerjson_of_any_shape(value: Any) -> None:
    assert_valid(written(value))


@settings(GENERATED, max_examples=4)
@given(beerjson_documents.documents(everything=True))
def test_valid_beerjson_with_every_optional_member(value: Any) -> None:
    assert_valid(written(value))


@settings(GENERATED, max_examples=10)
@given(beerjson_documents.documents())
def test_what_is_drawn_keeps_to_the_published_schema(value: Any) -> None:
    folder = require_standards("beerjson-1.0")
    theirs, _ = python_verdicts(official_documents(folder))("document")
    assert theirs(value)


@settings(GENERATED, max_examples=40)
@given(beerxml_documents.documents())
def test_valid_beerxml_of_any_shape(text: str) -> None:
    assert_valid(text.encode())


@settings(GENERATED, max_examples=10)
@given(beerxml_documents.documents(everything=True))
def test_valid_beerxml_with_every_optional_tag(text: str) -> None:
    assert_valid(text.encode())
