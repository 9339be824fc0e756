"""What is accepted: suppressions, the baseline, and what of it is of no use any more."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from recipe_tools import baseline
from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    document,
    dose,
    merge_patch,
    more_additions,
    xml_file,
)
from tests.cli.conftest import Run

RULE = "addition/unit-slip"
GYPSUM = "Gypsum (calcium sulfate dihydrate)"


def suppress(here: Path, **entry: str) -> None:
    lines = [f'{key} = "{value}"' for key, value in entry.items() if key != "until"]
    if "until" in entry:
        lines.append(f"until = {entry['until']}")
    (here / "recipe-tools.toml").write_text("[[suppress]]\n" + "\n".join(lines) + "\n")


def test_the_faulty_recipe_shows_the_rule_these_tests_are_about(run: Run, faulty: Path) -> None:
    assert RULE in run("check", "faulty.json", "--format", "json").rules


def test_a_suppressed_finding_is_shown_as_such_and_not_counted(
    run: Run, faulty: Path, here: Path
) -> None:
    open_ones = run("check", "faulty.json", "--format", "json").json["summary"]["findings"]
    suppress(here, rule=RULE, reason="we measured it")
    report = run("check", "faulty.json", "--format", "json").json
    found = [item for item in report["findings"] if item["rule"] == RULE]
    assert [item["suppressed"] for item in found] == [{"reason": "we measured it"}]
    counted = report["summary"]["findings"]
    assert sum(open_ones.values()) - sum(counted.values()) == len(found)
    assert "we measured it" not in run("check", "faulty.json").text
    assert "we measured it" in run("check", "faulty.json", "--verbose").text


@pytest.mark.parametrize(
    ("entry", "matches"),
    [
        ({"path": "faulty.json"}, True),
        ({"path": "other/*.json"}, False),
        ({"recipe": "Millrace Blonde"}, True),
        ({"recipe": "Somebody else's"}, False),
    ],
)
def test_a_suppression_holds_for_its_file_and_recipe_only(
    run: Run, faulty: Path, here: Path, entry: dict[str, str], matches: bool
) -> None:
    suppress(here, rule=RULE, reason="said", **entry)
    report = run("check", "faulty.json", "--format", "json").json
    found = [item for item in report["findings"] if item["rule"] == RULE]
    assert all((item["suppressed"] is not None) == matches for item in found)


def test_a_suppression_that_matches_nothing_is_reported_where_all_was_looked_at(
    run: Run, clean: Path, here: Path
) -> None:
    suppress(here, rule="sparge/temperature-high", reason="heater was broken")
    assert "suppression/unused" in run("check", ".", "--format", "json").rules
    assert "suppression/unused" not in run("check", "clean.json", "--format", "json").rules


def test_an_expired_suppression_is_reported_and_does_not_hold(
    run: Run, faulty: Path, here: Path
) -> None:
    suppress(here, rule=RULE, reason="until spring", until="2020-03-31")
    on_the_day = run("check", ".", "--format", "json", "--today", "2020-03-31")
    assert "suppression/expired" not in on_the_day.rules
    day_after = run("check", ".", "--format", "json", "--today", "2020-04-01")
    assert "suppression/expired" in day_after.rules
    found = [item for item in day_after.json["findings"] if item["rule"] == RULE]
    assert [item["suppressed"] for item in found] == [None]


def test_what_explains_exit_code_3_cannot_be_switched_off(run: Run, here: Path) -> None:
    (here / "torn.json").write_text("{")
    loud = run("check", "torn.json", "--format", "json")
    quiet = run("check", "torn.json", "--format", "json", "--without", "file")
    assert loud.code == quiet.code == 3
    assert loud.rules == quiet.rules != []


def test_the_baseline_accepts_what_there_is_and_nothing_new(
    run: Run, faulty: Path, here: Path
) -> None:
    assert run("baseline", "write", ".", "--baseline", "b.json").code == 0
    assert run("check", ".", "--baseline", "b.json").code == 0
    (here / "new.json").write_bytes(faulty.read_bytes())
    report = run("check", ".", "--baseline", "b.json", "--format", "json")
    assert report.code == 1
    fresh = {item["path"] for item in report.json["findings"] if item["suppressed"] is None}
    assert fresh - {None} == {"new.json"}


def test_moving_lines_does_not_invalidate_the_baseline(run: Run, faulty: Path, here: Path) -> None:
    run("baseline", "write", ".", "--baseline", "b.json")
    faulty.write_bytes(json.dumps(json.loads(faulty.read_bytes()), indent=7).encode())
    assert run("check", ".", "--baseline", "b.json").code == 0


def test_a_second_write_gives_the_same_bytes(run: Run, faulty: Path, here: Path) -> None:
    run("baseline", "write", ".", "--baseline", "b.json")
    once = (here / "b.json").read_bytes()
    assert run("baseline", "write", ".", "--baseline", "b.json").code == 0
    assert (here / "b.json").read_bytes() == once


def test_rewriting_the_baseline_does_not_swallow_new_errors(
    run: Run, faulty: Path, here: Path
) -> None:
    run("baseline", "write", ".", "--baseline", "b.json")
    (here / "new.json").write_bytes(faulty.read_bytes())
    result = run("baseline", "write", ".", "--baseline", "b.json")
    assert result.code == 1
    assert "new.json" in result.err
    assert run("check", ".", "--baseline", "b.json").code == 1
    assert run("baseline", "write", ".", "--baseline", "b.json", "--accept").code == 0
    assert run("check", ".", "--baseline", "b.json").code == 0


def test_entries_whose_finding_is_gone_are_reported_and_pruned(
    run: Run, faulty: Path, here: Path
) -> None:
    run("baseline", "write", ".", "--baseline", "b.json")
    faulty.write_bytes(document(PLAIN_RECIPE))
    assert "baseline/stale" in run("check", ".", "--baseline", "b.json", "--format", "json").rules
    assert run("baseline", "prune", ".", "--baseline", "b.json").code == 0
    after = run("check", ".", "--baseline", "b.json", "--format", "json")
    assert "baseline/stale" not in after.rules
    assert all(entry.path != "faulty.json" or entry.rule != RULE for entry in known(here))


def test_entries_of_files_that_are_gone_are_stale_once_their_folder_is_walked(
    run: Run, faulty: Path, clean: Path, here: Path
) -> None:
    run("baseline", "write", ".", "--baseline", "b.json")
    faulty.unlink()
    named = run("check", "clean.json", "--baseline", "b.json", "--format", "json")
    assert "baseline/stale" not in named.rules
    walked = run("check", ".", "--baseline", "b.json", "--format", "json")
    assert "baseline/stale" in walked.rules


def known(here: Path) -> tuple[baseline.Entry, ...]:
    return baseline.read((here / "b.json").read_bytes()).entries


def test_a_baseline_counts_equal_findings(run: Run, here: Path) -> None:
    one = merge_patch(PLAIN_RECIPE, more_additions(dose(GYPSUM, 4, "kg")))
    (here / "x.json").write_bytes(document(one))
    run("baseline", "write", ".", "--baseline", "b.json")
    two = merge_patch(PLAIN_RECIPE, more_additions(dose(GYPSUM, 4, "kg"), dose(GYPSUM, 4, "kg")))
    (here / "x.json").write_bytes(document(two))
    assert run("check", ".", "--baseline", "b.json").code == 1


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[]",
        "{}",
        '{"version": 2, "accepted": []}',
        '{"version": 1, "accepted": [{}]}',
        '{"version": 1, "accepted": [], "files": [{"path": "x"}]}',
        '{"version": 1, "accepted": [{"path": "x", "fingerprint": "y", "rule": "z",'
        ' "severity": "dire"}]}',
    ],
)
def test_a_damaged_baseline_is_wrong_use(run: Run, clean: Path, here: Path, text: str) -> None:
    (here / "b.json").write_text(text)
    result = run("check", "clean.json", "--baseline", "b.json")
    assert (result.code, result.out) == (2, b"")
    assert "b.json" in result.err


def test_no_baseline_is_written_over_files_that_could_not_be_checked(
    run: Run, here: Path, faulty: Path
) -> None:
    (here / "torn.json").write_text("{")
    assert run("baseline", "write", ".", "--baseline", "b.json").code == 3
    assert not (here / "b.json").exists()


CONFIGURED = """
[[malt]]
name = " pale ALE malt"
di_ph = 5.7
[[malt]]
name = "Pale aie malt"
di_ph = 5.7
[style.porter]
calcium = [50, 150]
[style.portter]
calcium = [50, 150]
[style.blonde_ale]
calcium = [50, 150]
[[paths]]
globs = ["club/**"]
equipment = { sparge = true }
[[paths]]
globs = ["clubs/**", "*.beer"]
[paths.style.house_bitter]
calcium = [50, 150]
"""
"""Entries that fit something in the folder, and those of the same kind that do not."""

UNUSED = {
    "Pale aie malt": "names no malt of any recipe",
    "portter": "is no style family and the style of no recipe; the nearest family is",
    "clubs/**, *.beer": "matches no file",
}


@pytest.mark.parametrize("command", [("check", "."), ("audit", ".", "--no-cache")])
@pytest.mark.parametrize("jobs", ["1", "2"])
@pytest.mark.parametrize("name", ["a.json", "a.xml"])
def test_an_entry_of_the_configuration_that_fits_nothing_is_reported(
    command: tuple[str, ...], jobs: str, name: str, run: Run, here: Path
) -> None:
    (here / "recipe-tools.toml").write_text(CONFIGURED)
    for folder in ("club", "other"):
        (here / folder).mkdir()
        plain = document(PLAIN_RECIPE) if name.endswith("json") else xml_file()
        (here / folder / name).write_bytes(plain)
    report = run(*command, "--format", "json", "--jobs", jobs).json
    found = [item for item in report["findings"] if item["rule"] == "configuration/unused"]
    assert {item["severity"] for item in found} == {"note"}
    text = " ".join(run(*command, "--jobs", jobs).text.split())
    for value, words in UNUSED.items():
        assert f'"{value}" in recipe-tools.toml {words}' in text
    assert text.count("configuration/unused") == len(UNUSED)


def test_nothing_is_unused_where_not_all_was_looked_at(run: Run, here: Path) -> None:
    (here / "recipe-tools.toml").write_text(CONFIGURED)
    (here / "club").mkdir()
    (here / "club" / "a.json").write_bytes(document(PLAIN_RECIPE))
    for path in ("club", "club/a.json"):
        assert "configuration/unused" not in run("check", path, "--format", "json").rules
    assert "configuration/unused" in run("check", ".", "--format", "json").rules
    off = ("--without", "configuration")
    assert "configuration/unused" not in run("check", ".", *off, "--format", "json").rules


def test_a_stored_result_remembers_what_it_made_use_of(
    run: Run, here: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("RECIPE_TOOLS_CACHE_DIR", str(tmp_path / "cache"))
    (here / "recipe-tools.toml").write_text(CONFIGURED)
    (here / "a.json").write_bytes(document(PLAIN_RECIPE))
    first, again = (run("audit", ".").text for _ in range(2))
    assert "Pale aie malt" in first
    assert again == first
