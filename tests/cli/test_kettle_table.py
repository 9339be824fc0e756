"""The table of `dose` to take to the kettle: what to add now, by what the mash reads."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from recipe_tools.rules.examples import additions, together, well_with
from recipe_tools.schema_files import schema_text
from tests.cli.conftest import Run
from tests.rules.whole_files import EXTRACT, STANDARDS, written

HARD = together(
    well_with(calcium=95, bicarbonate=270, sulfate=45, sodium=25, chloride=40), additions()
)
PLAIN: dict[str, Any] = {}
SHELF = "".join(f'[[shelf]]\nagent = "{name}"\n' for name in ("gypsum", "baking soda"))
LACTIC = SHELF + '[[shelf]]\nagent = "lactic acid"\nstrength_percent = 80\n'
PHOSPHORIC = SHELF + '[[shelf]]\nagent = "phosphoric acid"\nstrength_percent = 10\n'


def saved(here: Path, standard: str, patch: Any, config: str = LACTIC) -> str:
    name, data = written(standard, patch)
    (here / name).write_bytes(data)
    (here / "recipe-tools.toml").write_text(config)
    return name


def planned(run: Run, *arguments: str) -> dict[str, Any]:
    document = run("dose", *arguments, "--format", "json").json
    jsonschema.validate(document, json.loads(schema_text("dose.schema.json")))
    plan: dict[str, Any] = document["recipes"][0]
    return plan


@pytest.mark.parametrize("standard", STANDARDS)
@pytest.mark.parametrize("patch", [PLAIN, HARD], ids=["no mash acid", "mash acid"])
def test_its_rows_are_what_a_reading_of_that_mash_would_answer(
    run: Run, here: Path, standard: str, patch: Any
) -> None:
    name = saved(here, standard, patch, PHOSPHORIC)
    plan = planned(run, name)
    assert bool(plan["acid_portions"]) == (patch is HARD)
    added = [
        f"{item['amount']} {item['unit']} {item['name']}"
        for item in plan["doses"]
        if item["stage"] == "mash" and not item["agent"].endswith("_acid")
    ]
    added += [f"{part['first']} {part['unit']} {part['name']}" for part in plan["acid_portions"]]
    options = [part for item in added for part in ("--added", item)]
    table = plan["by_reading"]
    for row in table["rows"][::4]:
        agent = table["raising" if row["direction"] == "raise" else "lowering"]
        ph = f"{row['read_ph']:.2f}"
        answer = run("reading", name, "--ph", ph, *options, "--format", "json").json
        assert row["leave_it"] == (answer["correction"] is None), ph
        if row["leave_it"]:
            continue
        steps = answer["correction"]["steps"]
        unit = "grams" if agent["unit"] == "g" else "millilitres"
        assert [step["agent"] for step in steps] == [agent["name"]] * len(steps)
        amounts = [row["now"], row["then_at_most"]]
        assert [step[unit] for step in steps] == [amount for amount in amounts if amount], ph


@pytest.mark.parametrize("standard", STANDARDS)
def test_rows_run_from_490_to_600_and_grow_away_from_the_target(
    run: Run, here: Path, standard: str
) -> None:
    name = saved(here, standard, PLAIN, PHOSPHORIC)
    table = planned(run, name)["by_reading"]
    rows = table["rows"]
    assert [round(100 * row["read_ph"]) for row in rows] == list(range(490, 601, 5))
    inside = [row["read_ph"] for row in rows if row["leave_it"]]
    assert (inside[0], inside[-1], len(inside)) == (5.2, 5.6, 9)
    for direction, away in (("raise", -1), ("lower", 1)):
        whole = [
            (away * row["read_ph"], row["now"] + row["then_at_most"], row["now"])
            for row in rows
            if row["direction"] == direction
        ]
        whole.sort()
        sums = [total for _, total, _ in whole]
        assert sums == sorted(sums)
        assert sums[0] < sums[-1]
        # Two thirds first, then read again: common practice, no source.
        assert all(now <= 0.7 * total for _, total, now in whole if total > 1.0)
        # A mash is a buffer of about constant capacity: twice as far takes about twice as much.
        near, far = (next(s for d, s, _ in whole if d > away * 5.4 + x) for x in (0.24, 0.49))
        assert far / near == pytest.approx(2.0, abs=0.35)


@pytest.mark.parametrize("standard", STANDARDS)
def test_it_stands_on_every_sheet_with_the_agent_in_the_heading_alone(
    run: Run, here: Path, standard: str
) -> None:
    name = saved(here, standard, PLAIN)
    rows = planned(run, name)["by_reading"]["rows"]
    for form in ("text", "markdown", "html"):
        sheet = run("dose", name, "--format", form).text.replace("\\", "")
        flat = " ".join(re.sub(r"<[^>]+>|\|", " ", sheet).split())
        table = flat[flat.index("What to add now") :]
        table = re.split("What comes of it|Before and after", table)[0]
        assert table.lower().count("lactic acid") == 1
        assert table.lower().count("baking soda") == 1
        assert table.count("leave it") == 9
        for row in rows:
            if row["now"] >= 0.1 and not row["leave_it"]:
                shown = rf"{row['read_ph']:.2f} {row['now']:.1f}\*? {row['then_at_most']:.1f}"
                assert re.search(shown, table), (form, shown)
        # What the table speaks of is handled with care, also where the plan has none of it.
        assert "Goggles and gloves" in flat


def test_the_text_sheet_stays_on_one_page(run: Run, here: Path) -> None:
    text = run("dose", saved(here, "beerjson", PLAIN)).text
    table = text[text.index("What to add now") : text.index("What comes of it")]
    assert len(table.splitlines()) <= 22
    assert max(map(len, text.splitlines())) <= 80


@pytest.mark.parametrize("standard", STANDARDS)
def test_a_taste_limit_stops_it_and_is_named(run: Run, here: Path, standard: str) -> None:
    name = saved(here, standard, HARD)
    table = planned(run, name)["by_reading"]
    short = [row for row in table["rows"] if not row["reaches"]]
    assert short
    assert all("400 mg/L" in row["why"] for row in short)
    text = " ".join(run("dose", name).text.split())
    assert "* falls short of 5.40: lactate stops at its taste limit of 400 mg/L" in text


@pytest.mark.parametrize("standard", STANDARDS)
def test_what_the_shelf_lacks_is_said(run: Run, here: Path, standard: str) -> None:
    name = saved(here, standard, PLAIN, '[[shelf]]\nagent = "gypsum"\n')
    table = planned(run, name)["by_reading"]
    assert table["raising"] is None
    assert table["lowering"] is None
    text = run("dose", name).text
    assert "nothing on the shelf raises it" in text
    assert "nothing on the shelf lowers it" in text


@pytest.mark.parametrize("standard", STANDARDS)
def test_without_a_mash_there_is_none(run: Run, here: Path, standard: str) -> None:
    name = saved(here, standard, EXTRACT)
    assert planned(run, name)["by_reading"] is None
    assert "What to add now" not in run("dose", name).text


@pytest.mark.parametrize("standard", STANDARDS)
def test_it_is_there_where_no_plan_is(run: Run, here: Path, standard: str) -> None:
    name = saved(here, standard, well_with(sodium=260, chloride=330))
    plan = planned(run, name)
    assert not plan["planned"]
    assert plan["by_reading"]["rows"]
    assert "What to add now" in run("dose", name).text
