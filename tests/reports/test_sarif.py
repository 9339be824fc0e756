"""SARIF 2.1.0 (OASIS Standard, 27 March 2020) and the limits code-scanning services document."""

from __future__ import annotations

import gzip
import json
import re
from typing import Any
from urllib.parse import unquote

import pytest
from jsonschema import Draft7Validator, FormatChecker

from recipe_tools.findings import Severity
from recipe_tools.reports import sarif
from recipe_tools.results import Run
from tests.reports.cleanliness import assert_clean, texts_in
from tests.reports.code_scanning import complaints
from tests.reports.sample_run import (
    CATALOGUE,
    HOSTILE_TEXTS,
    finding,
    hostile_run,
    many_recipes,
    plain_run,
)
from tests.standards import require_standards

RUNS = {"plain": plain_run(), "hostile": hostile_run(), "empty": Run(files=())}


def log_of(run: Run) -> dict[str, Any]:
    """Return the only run of the log as parsed JSON."""
    document = json.loads(sarif.render(run, CATALOGUE))
    assert document["version"] == "2.1.0"
    assert len(document["runs"]) == 1
    only: dict[str, Any] = document["runs"][0]
    return only


@pytest.mark.parametrize("name", RUNS)
def test_the_log_is_valid_by_the_published_schema(name: str) -> None:
    schema = json.loads(
        require_standards("sarif-2.1.0", "sarif-schema-2.1.0.json").read_text(encoding="utf-8")
    )
    validator = Draft7Validator(schema, format_checker=FormatChecker())
    document = json.loads(sarif.render(RUNS[name], CATALOGUE))
    assert [error.message for error in validator.iter_errors(document)] == []


@pytest.mark.parametrize("name", RUNS)
def test_code_scanning_has_nothing_to_complain_of(name: str) -> None:
    assert complaints(sarif.render(RUNS[name], CATALOGUE)) == []


def test_the_log_of_a_clean_run_is_small() -> None:
    # Texts of rules that found nothing say nothing; there are over a hundred rules.
    run = RUNS["plain"]
    clean = run._replace(files=(run.files[0]._replace(findings=()),), findings=())
    assert len(sarif.render(clean, CATALOGUE)) < 5_000


def test_each_rule_that_found_something_has_its_texts_and_level() -> None:
    log = log_of(plain_run())
    rules = log["tool"]["driver"]["rules"]
    assert {item["id"] for item in rules} == {item["ruleId"] for item in log["results"]}
    for item in rules:
        declared = CATALOGUE[item["id"]]
        assert item["shortDescription"]["text"] and item["fullDescription"]["text"]
        assert item["help"]["text"] and item["help"]["markdown"]
        assert item["defaultConfiguration"]["level"] == declared.severity.word
        assert item["properties"]["tags"] == [declared.topic]


def test_results_point_to_their_rule() -> None:
    log = log_of(plain_run())
    rules = log["tool"]["driver"]["rules"]
    assert log["results"]
    for item in log["results"]:
        assert rules[item["ruleIndex"]]["id"] == item["ruleId"]


def test_a_located_result_has_four_numbers_in_code_points_and_a_fingerprint() -> None:
    log = log_of(plain_run())
    assert log["columnKind"] == "unicodeCodePoints"
    result = next(item for item in log["results"] if item["ruleId"] == "mash-ph/above-range")
    region = result["locations"][0]["physicalLocation"]["region"]
    assert region == {"startLine": 12, "startColumn": 7, "endLine": 12, "endColumn": 15}
    assert result["partialFingerprints"] == {
        "recipeToolsFinding/v1": "0123456789abcdef",
        "primaryLocationLineHash": "0123456789abcdef",
    }
    assert result["level"] == "error"
    assert result["properties"]["confidence"] == "likely"
    assert result["relatedLocations"][0]["physicalLocation"]["region"]["startLine"] == 4


def test_paths_are_relative_percent_encoded_and_based_on_a_declared_root() -> None:
    log = log_of(plain_run())
    assert "%SRCROOT%" in log["originalUriBaseIds"]
    uris = [item["location"]["uri"] for item in log["artifacts"]]
    assert uris == ["ales/harvest.xml", "lagers/torn%20page%2050%25.json"]
    for item in log["results"]:
        place = item["locations"][0]["physicalLocation"]["artifactLocation"]
        assert place["uriBaseId"] == "%SRCROOT%"
        if "index" in place:
            assert log["artifacts"][place["index"]]["location"]["uri"] == place["uri"]


def test_any_file_name_comes_back_from_its_uri() -> None:
    for file, artifact in zip(hostile_run().files, log_of(hostile_run())["artifacts"], strict=True):
        uri = artifact["location"]["uri"]
        # RFC 3986, 2.2 and 2.3: unreserved characters, the slash and percent-encoded bytes.
        assert re.fullmatch(r"(?:[A-Za-z0-9._~/-]|%[0-9A-F]{2})*", uri)
        if file.path.isprintable():
            assert unquote(uri) == file.path


def test_a_file_name_that_is_not_utf8_keeps_its_bytes() -> None:
    from recipe_tools.reports.escaping import uri_path

    assert uri_path(b"caf\xe9.xml".decode("utf-8", "surrogateescape")) == "caf%E9.xml"


def test_only_a_fix_with_a_change_in_a_known_place_is_offered() -> None:
    edits = [item["fixes"] for item in log_of(plain_run())["results"] if "fixes" in item]
    assert len(edits) == 1 and len(edits[0]) == 1
    replacement = edits[0][0]["artifactChanges"][0]["replacements"][0]
    assert replacement["insertedContent"] == {"text": "0.0028"}
    assert replacement["deletedRegion"] == {
        "startLine": 40,
        "startColumn": 15,
        "endLine": 40,
        "endColumn": 21,
    }


def test_an_unread_file_is_a_notification_of_a_run_that_failed() -> None:
    (invocation,) = log_of(plain_run())["invocations"]
    assert invocation["executionSuccessful"] is False
    (note,) = invocation["toolExecutionNotifications"]
    assert note["level"] == "error"
    assert note["associatedRule"]["id"] == "file/unreadable"
    place = note["locations"][0]["physicalLocation"]["artifactLocation"]
    assert place["uri"] == "lagers/torn%20page%2050%25.json"


def test_a_run_that_read_everything_succeeded() -> None:
    log = log_of(hostile_run())
    assert log["invocations"] == [{"executionSuccessful": True}]


def test_an_unread_file_without_a_finding_is_notified_too() -> None:
    run = plain_run()
    torn = run.files[1]._replace(findings=())
    (invocation,) = log_of(run._replace(files=(run.files[0], torn)))["invocations"]
    assert len(invocation["toolExecutionNotifications"]) == 1


def test_an_accepted_finding_says_why() -> None:
    suppressed = [item for item in log_of(plain_run())["results"] if "suppressions" in item]
    assert [item["suppressions"] for item in suppressed] == [
        [{"kind": "external", "justification": "brewed so for years"}]
    ]


@pytest.mark.parametrize("about", [None, "recipe-tools.toml"])
def test_a_finding_of_the_whole_run_stands_at_a_file(about: str | None) -> None:
    run = plain_run()
    run = run._replace(findings=(run.findings[0]._replace(about=about),))
    result = next(item for item in log_of(run)["results"] if "safety/" in item["ruleId"])
    place = result["locations"][0]["physicalLocation"]
    assert place["artifactLocation"]["uri"] == (about or "ales/harvest.xml")
    assert place["region"] == {"startLine": 1, "startColumn": 1, "endLine": 1, "endColumn": 2}


def test_more_than_a_service_takes_is_cut_from_the_end_with_exact_counts() -> None:
    notes = [finding("addition/hydrate-ambiguous", f"note {n}", None) for n in range(25_010)]
    errors = [finding("mash-ph/above-range", f"error {n}", None) for n in range(5)]
    run = Run(files=plain_run().files[:1], findings=(*notes, *errors))
    run = run._replace(files=(run.files[0]._replace(findings=(), over_limit=()),))
    log = log_of(run)
    assert len(log["results"]) == 25_000
    assert [item["level"] for item in log["results"][:6]] == ["error"] * 5 + ["note"]
    assert log["properties"]["findings"] == {"error": 5, "warning": 0, "note": 25_010}
    assert log["properties"]["resultsLeftOut"] == {"error": 0, "warning": 0, "note": 15}
    assert log["properties"]["resultsInTotal"] == 25_015


def test_the_compressed_log_stays_under_the_limit_of_services(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(sarif, "MAX_COMPRESSED_BYTES", 20_000)
    text = sarif.render(many_recipes(400), CATALOGUE)
    assert len(gzip.compress(text.encode())) <= 20_000
    log = json.loads(text)["runs"][0]
    left_out = sum(log["properties"]["resultsLeftOut"].values())
    assert left_out > 0
    assert len(log["results"]) + left_out == log["properties"]["resultsInTotal"] == 2_000


def test_counted_but_not_listed_findings_stand_in_the_properties() -> None:
    properties = log_of(plain_run())["properties"]
    assert properties["countedButNotListed"] == {"standard/wrong-type": 23}
    counts = plain_run().counts()
    assert properties["findings"] == {level.word: counts[level] for level in Severity}


def test_hostile_texts_stay_text() -> None:
    document = sarif.render(hostile_run(), CATALOGUE)
    assert_clean(document)
    log = log_of(hostile_run())
    for text in texts_in(log):
        assert_clean(text)
    messages = [item["message"]["text"] for item in log["results"]]
    # 3.11.6: [text](target) would be an embedded link; 3.11.5: braces stand for arguments.
    assert not any(re.search(r"\]\(", text) for text in messages)
    assert not any(re.search(r"(?<!\{)\{(?:\{\{)*(?!\{)\d", text) for text in messages)
    assert len(messages) == 2 * len(HOSTILE_TEXTS)


def test_the_same_run_gives_the_same_bytes() -> None:
    assert sarif.render(plain_run(), CATALOGUE) == sarif.render(plain_run(), CATALOGUE)
