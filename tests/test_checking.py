"""One file checked as a program would: findings with places, and nothing that stops the rest."""

from __future__ import annotations

import pickle
from collections.abc import Iterator
from pathlib import Path

import pytest

import recipe_tools
from recipe_tools.checking import FileRequest, check_bytes, check_many, checklist
from recipe_tools.config import Options, PathOverride, RuleSettings
from recipe_tools.findings import Confidence, Finding, Severity, find
from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    document,
    dose,
    merge_patch,
    more_additions,
    xml_file,
    xml_misc,
)

GYPSUM = "Gypsum (calcium sulfate dihydrate)"
FAULTY = document(merge_patch(PLAIN_RECIPE, more_additions(dose(GYPSUM, 4, "kg"))))
SLIP = "addition/unit-slip"


def rules_of(findings: tuple[Finding, ...]) -> list[str]:
    return [item.rule for item in findings]


def test_the_plain_recipe_is_clean() -> None:
    file = check_bytes(document(PLAIN_RECIPE), "plain.json")
    assert (file.status, file.format, file.findings) == ("checked", "beerjson", ())
    assert file.recipes[0].day is not None


def test_a_finding_stands_where_an_editor_would_look_for_it() -> None:
    item = next(item for item in check_bytes(FAULTY, "x.json").findings if item.rule == SLIP)
    assert item.line is not None
    assert item.column is not None
    line = FAULTY.decode().splitlines()[item.line - 1]
    assert line[item.column - 1] in '{4"'
    assert item.path == "x.json"
    assert item.recipe == 0
    assert item.severity is Severity.ERROR


def test_findings_are_sorted_by_line_column_and_rule() -> None:
    additions = [dose(GYPSUM, 4, "kg"), dose("Calcium chloride", 3), dose("Lactic acid", 3, "ml")]
    content = document(merge_patch(PLAIN_RECIPE, more_additions(*additions)))
    found = check_bytes(content, "x.json", request=FileRequest(Confidence.POSSIBLE)).findings
    keys = [(item.line or 0, item.column or 0, item.rule) for item in found]
    assert len(keys) > 2
    assert keys == sorted(keys)


def test_fingerprints_are_unique_and_stay_when_lines_move() -> None:
    found = check_bytes(FAULTY, "x.json").findings
    moved = check_bytes(b"\n\n" + FAULTY, "y.json").findings
    marks = [item.fingerprint for item in found]
    assert len(set(marks)) == len(marks)
    assert [item.fingerprint for item in moved] == marks
    assert [item.line for item in moved] != [item.line for item in found]


def test_a_rule_that_raises_does_not_stop_the_others(monkeypatch: pytest.MonkeyPatch) -> None:
    options = Options()
    made = checklist.checklist(options)

    def broken(day: object, settings: object) -> Iterator[Finding]:
        raise ZeroDivisionError("a secret from the file")
        yield find("x/y", "never")

    entries = [
        item._replace(check=broken) if item.id == "water/ph-implausible" else item
        for item in made.entries
    ]
    monkeypatch.setitem(
        checklist._lists, id(options), (options, made._replace(entries=tuple(entries)))
    )
    file = check_bytes(FAULTY, "x.json", options)
    failed = [item for item in file.findings if item.rule == "internal/rule-failed"]
    assert [item.values["value"] for item in failed] == ["water/ph-implausible"]
    assert "ZeroDivisionError" in failed[0].message
    assert "secret" not in failed[0].message
    assert file.incomplete
    assert SLIP in rules_of(file.findings)


def test_a_failing_computation_or_reader_is_a_finding(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*arguments: object) -> None:
        raise RuntimeError

    monkeypatch.setattr("recipe_tools.brewday.plan", fail)
    file = check_bytes(FAULTY, "x.json")
    assert "internal/computation-failed" in rules_of(file.findings)
    assert file.recipes[0].day is None
    assert file.incomplete
    monkeypatch.setattr("recipe_tools.formats.read", fail)
    file = check_bytes(FAULTY, "x.json")
    assert rules_of(file.findings) == ["internal/reading-failed"]
    assert file.status == "not_checked"


def test_severity_follows_the_configuration() -> None:
    note = Options(rules={SLIP: RuleSettings(severity="note")})
    off = Options(rules={SLIP: RuleSettings(severity="off")})
    found = [item for item in check_bytes(FAULTY, "x.json", note).findings if item.rule == SLIP]
    assert [item.severity for item in found] == [Severity.NOTE]
    assert SLIP not in rules_of(check_bytes(FAULTY, "x.json", off).findings)


def test_only_and_without_take_rules_and_topics() -> None:
    only = check_bytes(FAULTY, "x.json", Options(only=("addition",))).findings
    assert {item.rule.partition("/")[0] for item in only} == {"addition"}
    without = check_bytes(FAULTY, "x.json", Options(without=(SLIP,))).findings
    assert SLIP not in rules_of(without)


def test_thresholds_follow_the_configuration() -> None:
    name, option = next(iter(checklist.catalogue()["ions/sodium-high"].options.items()))
    settings = RuleSettings(options={name: 12_345})
    made = checklist.checklist(Options(rules={"ions/sodium-high": settings}))
    entry = next(item for item in made.entries if item.id == "ions/sodium-high")
    assert option.default != 12_345
    assert entry.options[name] == 12_345


def test_what_is_less_certain_is_counted_and_not_listed() -> None:
    content = document(merge_patch(PLAIN_RECIPE, more_additions(dose("Calcium chloride", 3))))
    all_of_it = check_bytes(content, "x.json", request=FileRequest(Confidence.POSSIBLE))
    certain = check_bytes(content, "x.json", request=FileRequest(Confidence.CERTAIN))
    left_out = sum(certain.hidden.values())
    assert left_out > 0
    assert len(certain.findings) + left_out == len(all_of_it.findings)


def test_a_flood_of_findings_is_capped_with_the_exact_count() -> None:
    many = [dose(f"Unheard-of powder {place}", 3) for place in range(150)]
    content = document(merge_patch(PLAIN_RECIPE, more_additions(*many)))
    file = check_bytes(content, "x.json")
    listed = [item for item in file.findings if item.rule == "addition/agent-unknown"]
    limit = Options().limits.max_findings_per_rule
    assert len(listed) == limit
    assert [(more.rule, more.count) for more in file.over_limit] == [
        ("addition/agent-unknown", 150 - limit)
    ]


def test_positions_are_only_looked_for_where_something_was_found(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def fail(*arguments: object) -> None:
        raise AssertionError("no finding needs a place")

    monkeypatch.setattr("recipe_tools.formats.positions.locate", fail)
    assert check_bytes(document(PLAIN_RECIPE), "x.json").findings == ()
    assert "internal/positions-failed" in rules_of(check_bytes(FAULTY, "x.json").findings)


def test_handling_notes_belong_to_the_run_and_name_no_file() -> None:
    content = xml_file(xml_misc("Lactic acid 80 %", "0.003", "FALSE"))
    file = check_bytes(content, "x.xml")
    assert all(not item.rule.startswith("safety/") for item in file.findings)
    assert {item.path for item in file.safety} == {None}
    assert "safety/strong-acid-handling" in rules_of(file.safety)


def test_a_checked_file_can_be_handed_to_another_process() -> None:
    import recipe_tools.archive.worker  # noqa: F401  (teaches pickle about read-only mappings)

    file = check_bytes(FAULTY, "x.json")
    copy = pickle.loads(pickle.dumps(file))
    assert copy.findings == file.findings
    assert copy.recipes[0].recipe == file.recipes[0].recipe


def test_overrides_for_a_path_hold_there_only() -> None:
    options = Options(
        paths=(PathOverride(("wild/**",), {"rules": {SLIP: RuleSettings(severity="off")}}),)
    )
    assert SLIP in rules_of(check_bytes(FAULTY, "x", options.for_path("tame/x.json")).findings)
    assert SLIP not in rules_of(check_bytes(FAULTY, "x", options.for_path("wild/x.json")).findings)


def test_the_public_names_exist(tmp_path: Path) -> None:
    for name in recipe_tools.__all__:
        assert getattr(recipe_tools, name) is not None
    with pytest.raises(AttributeError):
        _ = recipe_tools.no_such_name
    path = tmp_path / "x.json"
    path.write_bytes(FAULTY)
    assert [recipe.name for recipe in recipe_tools.load_recipes(path)] == ["Millrace Blonde"]
    assert SLIP in rules_of(recipe_tools.check_file(path).findings)
    day = recipe_tools.plan(recipe_tools.load_recipes(path)[0], recipe_tools.Options())
    assert day.prediction is not None


def test_many_files_together_give_what_each_gives_alone() -> None:
    folder = Path(__file__).parent / "files"
    paths = sorted(path for path in folder.rglob("*") if path.is_file())
    files = [(path.read_bytes(), path.name, FileRequest()) for path in paths]
    assert len(files) > 100
    alone = [check_bytes(data, name, request=request) for data, name, request in files]
    assert check_many(files) == alone
