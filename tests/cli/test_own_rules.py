"""Rules of a club's own, ``[[own-rule]]``: a number of the brew day and its limits."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from recipe_tools.config.own_rules import QUANTITIES
from recipe_tools.rules.examples import PLAIN_RECIPE, document
from tests.cli.conftest import Run
from tests.reports.code_scanning import complaints
from tests.standards import REPOSITORY

EXAMPLES = REPOSITORY / "examples"
HOUSE = """
[[own-rule]]
name = "house-sulfate"
quantity = "sulfate"
stage = "mash"
high = "1 mg/L"
reason = "our members taste it"
source = "tasting of the Aldermoor Brewing Circle, spring"
"""


@pytest.fixture(params=["inbox/toll-house-stout.json", "inbox/market-day-pale.xml"])
def recipe(request: pytest.FixtureRequest, here: Path) -> str:
    """Return the name of a recipe with known water, of each standard."""
    name = Path(request.param).name
    (here / name).write_bytes((EXAMPLES / request.param).read_bytes())
    return name


def settle(here: Path, **entry: Any) -> None:
    """Write a configuration with one own rule."""
    given = {"name": "ours", "reason": "because", **entry}
    lines = [f"{key} = {json.dumps(value, ensure_ascii=False)}" for key, value in given.items()]
    (here / "recipe-tools.toml").write_text("\n".join(["[[own-rule]]", *lines, ""]), "utf-8")


def found(run: Run, recipe: str, rule: str = "own/ours") -> list[dict[str, Any]]:
    report = run("check", recipe, "--format", "json", "--confidence", "possible").json
    return [item for item in report["findings"] if item["rule"] == rule]


def computed(run: Run, recipe: str) -> dict[str, float | None]:
    """Return the numbers of the JSON report that own rules can be about."""
    (file,) = run("check", recipe, "--format", "json").json["files"]
    (only,) = file["recipes"]
    total = only["water"]["total"]
    mash = only["water"]["mash"]
    return {
        **total["ions_mg_l"],
        "sulfate_to_chloride": total["sulfate_to_chloride"],
        "volume_l": total["volume_l"],
        "mash_ph": only["mash_ph"]["predicted"],
        "water_to_grist_l_kg": only["mash_ph"]["water_to_grist_l_kg"],
        "mash alkalinity_meq_l": mash["alkalinity_meq_l"],
        "mash residual_alkalinity_meq_l": mash["residual_alkalinity_meq_l"],
    }


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_each_quantity_is_judged_at_the_number_the_report_shows(
    run: Run, here: Path, recipe: str, quantity: str
) -> None:
    numbers = computed(run, recipe)
    for name in (quantity, f"mash {quantity}"):
        number = numbers.get(name)
        if number is None:
            continue
        stage = {"stage": "mash"} if name.startswith("mash ") else {}
        step = max(0.02, 0.02 * abs(number))
        settle(here, quantity=quantity, low=number + step, **stage)
        assert [item["confidence"] for item in found(run, recipe)] != ["possible"]
        assert len(found(run, recipe)) == 1, number
        settle(here, quantity=quantity, high=number - step, **stage)
        assert len(found(run, recipe)) == 1, number
        settle(here, quantity=quantity, low=number - step, high=number + step, **stage)
        assert {item["confidence"] for item in found(run, recipe)} <= {"possible"}


@pytest.mark.parametrize(
    ("quantity", "low", "high"),
    [("colour_ebc", 0, 1), ("bitterness_ibu", 0, 0.1), ("original_gravity", 0.9, 0.91)],
)
def test_numbers_of_the_beer(
    run: Run, here: Path, recipe: str, quantity: str, low: float, high: float
) -> None:
    settle(here, quantity=quantity, low=low, high=high)
    assert len(found(run, recipe)) == 1
    settle(here, quantity=quantity, low=high, high=None or {"original_gravity": 1.2}.get(quantity, 900))  # fmt: skip  # noqa: E501
    assert found(run, recipe) == []


def test_the_finding_says_number_limit_and_reason(run: Run, here: Path, recipe: str) -> None:
    (here / "recipe-tools.toml").write_text(HOUSE, "utf-8")
    (item,) = found(run, recipe, "own/house-sulfate")
    assert item["severity"] == "warning"
    assert item["message"].startswith("Sulfate of the mash water is")
    assert "above 1 mg/L" in item["message"]
    assert item["message"].endswith(": our members taste it")
    assert item["line"] is not None and item["fingerprint"]


def test_severity_style_and_units(run: Run, here: Path, recipe: str) -> None:
    settle(here, quantity="sulfate", high="0.01 mEq/L", severity="error", style="stout")
    items = found(run, recipe)
    assert [item["severity"] for item in items] == (["error"] if "stout" in recipe else [])
    if items:
        # 1 mEq of sulfate is 48.03 mg (molar mass 96.06 g/mol, IUPAC).
        assert items[0]["values"]["high"] == pytest.approx(0.4803, abs=0.001)


@pytest.mark.parametrize("where", ["suppress", "rules", "without", "only", "notes"])
def test_an_own_rule_is_settled_like_any_other(
    run: Run, here: Path, recipe: str, where: str
) -> None:
    more = {
        "suppress": '[[suppress]]\nrule = "own/house-sulfate"\nreason = "for once"\n',
        "rules": '[rules."own/house-sulfate"]\nseverity = "off"\n',
    }.get(where, "")
    (here / "recipe-tools.toml").write_text(HOUSE + more, "utf-8")
    if where == "notes":
        data = (here / recipe).read_text("utf-8")
        line = "recipe-tools: ignore own/house-sulfate because it was asked for"
        if recipe.endswith(".json"):
            content = json.loads(data)
            content["beerjson"]["recipes"][0]["notes"] = line
            data = json.dumps(content)
        else:
            start, _, rest = data.rpartition("</RECIPE>")
            data = f"{start}<NOTES>{line}</NOTES></RECIPE>{rest}"
        (here / recipe).write_text(data, "utf-8")
    arguments = {"without": ["--without", "own"], "only": ["--only", "ions"]}.get(where, [])
    report = run("check", recipe, "--format", "json", *arguments).json
    items = [item for item in report["findings"] if item["rule"] == "own/house-sulfate"]
    if where in ("suppress", "notes"):
        assert [item["suppressed"] is not None for item in items] == [True]
    else:
        assert items == []
    only = run("check", recipe, "--format", "json", "--only", "own/house-sulfate").json
    assert {item["rule"] for item in only["findings"]} <= {
        "own/house-sulfate",
        *(rule for rule in run("check", recipe, "--format=json").rules if rule[:5] == "file/"),
    }


def test_reports_explain_and_rules_know_it(run: Run, here: Path, recipe: str) -> None:
    (here / "recipe-tools.toml").write_text(HOUSE, "utf-8")
    log = run("check", recipe, "--format", "sarif").text
    assert complaints(log) == []
    declared = {rule["id"]: rule for rule in json.loads(log)["runs"][0]["tool"]["driver"]["rules"]}
    assert declared["own/house-sulfate"]["fullDescription"]["text"] == "our members taste it"
    for name in ("html", "markdown", "github", "text"):
        assert "own/house-sulfate" in run("check", recipe, "--format", name).text
    for name in ("html", "text", "json"):
        assert "own/house-sulfate" in run("audit", ".", "--no-cache", "--format", name).text
    assert "own/house-sulfate" in run("rules").text
    text = run("explain", "own/house-sulfate").text
    for said in ("our members taste it", "tasting of the Aldermoor", "1 mg/L", "mash water"):
        assert said in " ".join(text.split())
    assert "own/house-sulfate" in run("explain", "own").text
    result = run("explain", "own/house-sulfat")
    assert (result.code, "Did you mean own/house-sulfate?" in result.err) == (2, True)


def test_an_own_rule_that_is_not_there_cannot_be_asked_for(
    run: Run, here: Path, recipe: str
) -> None:
    result = run("check", recipe, "--only", "own/house-sulfate")
    assert (result.code, result.text) == (2, "")
    assert "has no rule own/house-sulfate" in result.err


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        ({"quantity": "sulphate", "low": 1}, "quantity: sulphate is not known here; the nearest is sulfate"),  # noqa: E501
        ({"quantity": "residual_alkalinity", "low": 1}, "the nearest is residual_alkalinity_meq_l"),
        ({"quantity": "sulfate"}, "own-rule[0].low and high are both missing"),
        ({"quantity": "sulfate", "low": 2, "high": 1}, "own-rule[0].low is above its high"),
        ({"quantity": "sulfate", "low": "2 kg"}, "own-rule[0].low"),
        ({"quantity": "sulfate", "low": [1, 2]}, "own-rule[0].low is a list"),
        ({"quantity": "mash_ph", "low": "5.2 pH"}, "own-rule[0].low is a text"),
        ({"quantity": "mash_ph", "low": 5, "stage": "mash"}, "stage belongs to no mash_ph"),
        ({"quantity": "sulfate", "low": 1, "stage": "boil"}, "own-rule[0].stage is not one of"),
        ({"quantity": "sulfate", "low": 1, "style": "stowt"}, "nearest is stout"),
        ({"quantity": "sulfate", "low": 1, "severity": "off"}, "own-rule[0].severity is not one"),
        ({"quantity": "sulfate", "low": 1, "name": "../x"}, "own-rule[0].name is not lower-case"),
        ({"quantity": "sulfate", "low": 1, "reason": " "}, "own-rule[0].reason is empty"),
        ({"quantity": "sulfate", "low": 1, "code": "print(1)"}, "own-rule[0].code is not known"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_with_the_nearest_name(
    run: Run, here: Path, entry: dict[str, Any], said: str
) -> None:
    (here / "plain.json").write_bytes(document(PLAIN_RECIPE))
    settle(here, **entry)
    result = run("check", "plain.json")
    assert (result.code, result.text) == (2, "")
    assert said in " ".join(result.err.split())


def test_a_name_stands_once(run: Run, here: Path) -> None:
    (here / "plain.json").write_bytes(document(PLAIN_RECIPE))
    (here / "recipe-tools.toml").write_text(HOUSE + HOUSE, "utf-8")
    result = run("check", "plain.json")
    assert result.code == 2 and "own-rule[1].name stands there twice" in result.err


def test_nothing_is_said_of_what_nobody_knows(run: Run, here: Path) -> None:
    """Water unknown, no mash: a rule has nothing to judge, and says nothing false."""
    name = "ferry-wheat.json"
    (here / name).write_bytes((EXAMPLES / "inbox" / name).read_bytes())
    settle(here, quantity="sulfate", low=500)
    assert found(run, name) == []
