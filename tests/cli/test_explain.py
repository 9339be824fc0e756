"""Explanations: everything a declaration holds, with what kind of source stands behind it."""

from __future__ import annotations

import dataclasses
import json
import re

import periodictable
import pytest

from recipe_tools.archive.zip_archive import DEFAULT_ZIP_LIMITS
from recipe_tools.checking.checklist import catalogue
from recipe_tools.cli.declarations import MARKS, as_json, as_text
from recipe_tools.cli.subjects import TOPICS
from recipe_tools.findings import Rule
from recipe_tools.judgement.mash import WINDOW_PH
from recipe_tools.limits import DEFAULT_LIMITS
from recipe_tools.reference import table
from recipe_tools.reference.selection import select
from tests.cli.conftest import Run
from tests.offenders import offenders

RULES = list(catalogue().values())


def squeezed(text: str) -> str:
    return " ".join(text.split())


def test_everything_declared_is_explained() -> None:
    def holds(rule: Rule) -> None:
        text = squeezed("\n".join(as_text(rule)))
        for part in (rule.id, rule.severity.word, rule.summary, rule.why, rule.remedy, rule.source):
            assert squeezed(part) in text
        for name, option in rule.options.items():
            assert f"{name} = {json.dumps(option.default)}" in text
            assert squeezed(option.text) in text
            assert squeezed(option.source) in text
        for example in (rule.passes, rule.fails):
            assert squeezed(example.text) in text

    assert offenders(RULES, holds) == []


def test_a_declaration_is_complete() -> None:
    def holds(rule: Rule) -> None:
        for part in (rule.summary, rule.why, rule.remedy, rule.source):
            assert part.strip()
        for option in rule.options.values():
            assert option.text.strip()
            assert option.source.strip()
        json.dumps(as_json(rule), allow_nan=False)

    assert offenders(RULES, holds) == []


def test_rows_of_reference_tables_are_shown_with_their_mark() -> None:
    def holds(rule: Rule) -> None:
        text = squeezed("\n".join(as_text(rule)))
        for name in rule.reference:
            title, rows = select(name)
            assert f"Reference table {title}" in text
            assert rows, "a selection that chooses nothing"
            if len(rows) > 60:
                assert f"{len(rows):,} rows" in text
                continue
            for row in rows:
                if mark := row.get("mark"):
                    assert mark in MARKS
                    assert f"[{mark}: {MARKS[mark]}]" in text
                assert squeezed(row.get("source", "")) in text

    assert offenders([rule for rule in RULES if rule.reference], holds) == []


def test_explanations_hold_nothing_a_terminal_would_act_on() -> None:
    def holds(rule: Rule) -> None:
        text = "\n".join(as_text(rule))
        assert [letter for letter in set(text) if letter != "\n" and not letter.isprintable()] == []

    assert offenders(RULES, holds) == []


def test_a_rule_is_found_by_its_name(run: Run) -> None:
    result = run("explain", "mash-ph/above-range")
    assert result.code == 0
    assert result.text.startswith("mash-ph/above-range (")


def test_a_topic_explains_all_its_rules(run: Run) -> None:
    text = run("explain", "suppression").text
    assert "suppression/unused" in text
    assert "suppression/expired" in text


def test_an_unknown_rule_is_2_and_names_the_nearest(run: Run) -> None:
    result = run("explain", "mash-ph/over-range")
    assert (result.code, result.out) == (2, b"")
    assert "mash-ph/above-range" in result.err


def test_a_rule_says_whether_it_leaves_the_file_unchecked(run: Run) -> None:
    assert "not checked" in run("explain", "file/unreadable").text


@pytest.mark.parametrize("name", TOPICS)
def test_topics_fit_a_terminal(run: Run, name: str) -> None:
    lines = run("explain", name).text.splitlines()
    assert [line for line in lines if len(line) > 80 and not line.startswith("|")] == []


def test_all_limits_are_explained(run: Run) -> None:
    text = run("explain", "limits").text
    for limits in (DEFAULT_LIMITS, DEFAULT_ZIP_LIMITS):
        for field in dataclasses.fields(limits):
            assert f"{getattr(limits, field.name):,}" in text
    assert "33,554,432" in text, "32 MiB"


def test_all_exit_codes_are_explained(run: Run) -> None:
    codes = re.findall(r"^ *(\d+)  ", run("explain", "exit-codes").text, re.MULTILINE)
    assert codes == ["0", "1", "2", "3", "130"]


def test_the_model_card_is_shown_in_full(run: Run) -> None:
    text = run("explain", "model").text
    for heading in ("Equation", "How it does against measurements", "Where it must not be trusted"):
        assert f"\n{heading}\n" in text


def test_a_brewer_is_told_first_what_it_means_in_the_glass_and_what_to_do() -> None:
    def holds(rule: Rule) -> None:
        text = "\n".join(as_text(rule))
        order = ("in the glass", "what to do", "reason", "source", "passes")
        places = [text.index(f"\n  {label} ") for label in order]
        assert places == sorted(places)
        assert as_json(rule)["in_the_glass"]

    assert offenders(RULES, holds) == []


def test_what_is_said_of_the_glass_belongs_to_a_rule_or_a_topic() -> None:
    known = {rule.id for rule in RULES} | {rule.topic for rule in RULES}
    told = [row["rule"] for row in table("in_the_glass")]
    assert set(told) <= known
    assert len(set(told)) == len(told)
    # What is wrong with the beer has a sentence of its own, not only that of its topic.
    of_the_beer = {rule.id for rule in RULES if rule.topic in ("ions", "mash-ph", "sparge")}
    assert of_the_beer <= set(told)


def test_the_words_are_few_lines_each_and_their_numbers_are_right(run: Run) -> None:
    text = run("explain", "words").text
    entries = dict(re.findall(r"^- `([^`]+)`: ((?:.+\n?)(?:  .+\n?)*)", text, re.MULTILINE))
    wanted = {"residual alkalinity", "strike", "sparge", "hydrate", "mEq/L", "band", "grist"}
    wanted |= {"infusion", "dechlorination", "buffer", "window"}
    assert wanted <= set(entries)
    assert list(entries) == sorted(entries, key=str.casefold)
    assert [word for word, said in entries.items() if said.count("\n") > 2] == []

    def mass(formula: str) -> float:
        return float(periodictable.formula(formula).mass)

    def number(word: str, pattern: str) -> float:
        found = re.search(pattern, squeezed(entries[word]))
        assert found is not None, entries[word]
        return float(found[1])

    dihydrate = mass("CaCl2") / (mass("CaCl2") + 2 * mass("H2O"))
    shown = {
        number("as CaCO3", r"(\d+) mg/L are 1 mEq/L"): mass("CaCO3") / 2,
        number("mEq/L", r"1 mEq/L is (\d+) mg/L of bicarbonate"): mass("HCO3"),
        number("dH", r"is ([0-9.]+) mg/L as CaCO3"): 10 * mass("CaCO3") / mass("CaO"),
        number("dH", r"([0-9.]+) mEq/L"): 20 / mass("CaO"),
        number("hydrate", r"has ([0-9.]+) times"): 1 / dihydrate,
        number("dechlorination", r"malt: ([0-9.]+) mg"): mass("Na2S2O5") / (2 * mass("Cl2")),
    }
    for said, computed in shown.items():
        assert said == pytest.approx(computed, rel=0.005)
    assert "{:g} to {:g}".format(*WINDOW_PH) in squeezed(entries["window"])


def test_rules_lists_every_rule(run: Run) -> None:
    text = run("rules").text
    assert all(f"  {rule.id} " in text for rule in RULES)
    listed = run("rules", "--format", "json").json
    assert [item["id"] for item in listed] == [rule.id for rule in RULES]
