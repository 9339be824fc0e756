"""The forms of a dosing plan: text, JSON, the sheet to print, the page."""

from __future__ import annotations

import json
import re
from functools import cache
from html import unescape
from html.parser import HTMLParser
from typing import Any

import cmarkgfm
import jsonschema
import pytest
from cmarkgfm.cmark import Options as MarkdownOptions
from syrupy.assertion import SnapshotAssertion

from recipe_tools import __version__
from recipe_tools.config import Options, ShelfItem
from recipe_tools.dosing import Proposal, Request, propose
from recipe_tools.dosing.brew_steps import brew_steps, shopping_list
from recipe_tools.reports import brew_sheet, dose_html, dose_json, dose_text
from recipe_tools.rules.examples import PLAIN_RECIPE, merge_patch, well_with
from recipe_tools.schema_files import schema_text
from tests.dosing.cases import case, read_recipe

VALIDATOR = jsonschema.Draft202012Validator(json.loads(schema_text("dose.schema.json")))
HOSTILE = "<script>alert(1)</script> | `x` [a](http://b) \x1b[31m \u202e @all #1"


SALTS = (
    ShelfItem("gypsum"),
    ShelfItem("calcium_chloride_dihydrate"),
    ShelfItem("lactic_acid", strength_percent=80.0),
)
SHELF = (*SALTS, ShelfItem("campden_tablet_sodium"), ShelfItem("pure_water"))


def proposal(patch: Any = None, **options: Any) -> Proposal:
    body = merge_patch(PLAIN_RECIPE, patch or {})
    chosen = Options(**{"shelf": SHELF, **options})
    return propose(read_recipe(body), chosen, Request(replace=True))


@pytest.fixture
def hard() -> Proposal:
    """A plan with everything in it: chlorine, too much sulfate, alkalinity."""
    patch = well_with(calcium=110, sulfate=190, chloride=40, bicarbonate=210, sodium=30)
    return proposal(patch, chlorine_mg_l=0.8)


@cache
def drawn() -> list[Proposal]:
    cases = [case(9000 + seed) for seed in range(25)]
    return [propose(item.recipe(), item.options, item.request) for item in cases]


def test_text_layout(hard: Proposal, snapshot: SnapshotAssertion) -> None:
    assert dose_text.render([hard], "hard.json") == snapshot


def test_sheet_layout(hard: Proposal, snapshot: SnapshotAssertion) -> None:
    assert brew_sheet.render([hard], "hard.json") == snapshot


def test_json_layout(hard: Proposal, snapshot: SnapshotAssertion) -> None:
    text = dose_json.render([hard], "hard.json")
    assert text.replace(f'"{__version__}"', '"VERSION"') == snapshot


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(VALIDATOR.schema)


def test_json_keeps_to_the_schema(hard: Proposal) -> None:
    for item in ([hard], [], drawn(), [proposal({"name": HOSTILE})]):
        document = json.loads(dose_json.render(item, "file.json"))
        assert [error.message for error in VALIDATOR.iter_errors(document)] == []


def at_hand(item: Proposal) -> dict[str, tuple[float, str]]:
    """Return what a plan needs, by name: amount and unit, added up from its doses."""
    found: dict[str, tuple[float, str]] = {}
    parts = [(dose.stock.name, dose.amount, dose.stock.unit) for dose in item.doses]
    if item.dechlorination is not None:
        parts.append((item.dechlorination.name, item.dechlorination.grams, "g"))
    if item.dilution is not None:
        # Poured by the tenth of a litre.
        parts += [("Pure water", round(part, 1), "L") for part in item.dilution.litres.values()]
    for name, amount, unit in parts:
        found[name] = (found.get(name, (0.0, unit))[0] + amount, unit)
    return found


def amounts_of(item: Proposal) -> list[tuple[float, str]]:
    """Return every amount a plan speaks of, with its unit, and the volumes it goes into."""
    before, found = item.before, list(at_hand(item).values())
    found += [(dose.amount, dose.stock.unit) for dose in item.doses]
    for part in item.portions:
        found += [(part.first, part.stock.unit), (part.rest, part.stock.unit)]
    mash, sparge = before.mash, before.sparge
    volumes = [liquor.volume_l.best for liquor in (mash, sparge, before.total) if liquor]
    found += [(litres, "L") for litres in (*volumes, before.top_up_l)]
    if item.dilution is not None:
        found += [(litres, "L") for litres in item.dilution.litres.values()]
    if item.soda_g_per_tenth is not None:
        found.append((item.soda_g_per_tenth, "g"))
    sulfite = item.dechlorination
    if sulfite is not None:
        found.append((sulfite.litres, "L"))
    if sulfite is not None and not sulfite.direct:
        found += [(sulfite.stock_g, "g"), (sulfite.solution_ml, "mL"), (100.0, "mL")]
    return found


AMOUNT = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?) (g|mL|L)(?![\w/])")


def shown(text: str, unit: str, value: float) -> bool:
    """Tell whether a text is an amount, to half a unit of its last digit."""
    digits = len(text.partition(".")[2])
    if not digits:
        # Whole from 10 on; from 100 on three digits.
        return len(text) >= 2 and abs(float(text) - value) <= 0.5 * 10.0 ** (len(text) - 3) + 1e-9
    # Water and soda are given to the tenth, all else with every digit.
    half = 0.5 * 10.0**-digits if unit == "L" or digits < 2 else 0.5e-4
    return abs(float(text) - value) <= half + 1e-9


def forms(item: Proposal) -> dict[str, str]:
    """Return the forms for people as plain text, without the name of the recipe."""
    page = dose_html.render([item], "x")
    page = page[page.index("<main") : page.index("</main>")]
    page = re.sub(r"<(style|svg)\b.*?</\1>", " ", page, flags=re.S)
    page = re.sub(r"<h3>What comes of it.*?(?=<h3>|</section>)", " ", page, flags=re.S)
    sheet = brew_sheet.render([item], "x").replace("\\", "").replace("**", "")
    texts = {
        "text": dose_text.render([item], "x"),
        "markdown": sheet,
        "html": unescape(re.sub(r"<[^>]+>", " ", page)),
    }
    ends = r"What comes of it|Before and after| Notes | note "
    return {name: re.split(ends, " ".join(text.split()))[0] for name, text in texts.items()}


LISTED = {
    "text": "- {amount} {name} (",
    "markdown": "- [ ] {amount} {name} (",
    "html": "{amount} {name} ",
}


@cache
def far_from_the_scale() -> list[Proposal]:
    """Return plans whose sulfite is less than a scale shows: the solution is no dose."""
    return [
        proposal(chlorine_mg_l=chlorine, shelf=(*SALTS, ShelfItem(name, scale_g=scale)))
        for chlorine in (0.15, 0.4, 3.9)
        for name in ("sodium_metabisulfite", "potassium_metabisulfite", "campden_tablet_sodium")
        for scale in (None, 0.01)
    ]


def test_every_amount_of_every_form_is_that_of_the_plan(hard: Proposal) -> None:
    for item in [hard, *drawn(), *far_from_the_scale()]:
        planned = amounts_of(item)
        for form, flat in forms(item).items():
            start = flat.find("To have at hand")
            if start < 0:
                assert not at_hand(item), form
                continue
            listed = flat[start:].partition("Handling")[0]
            for name, (amount, unit) in at_hand(item).items():
                match = re.search(rf"([\d.]+) {unit} {re.escape(name)}", listed)
                assert match is not None, (form, name)
                assert shown(match[1], unit, amount), (form, name, match[0], amount)
                assert LISTED[form].format(amount=f"{match[1]} {unit}", name=name) in listed
            for number, unit in AMOUNT.findall(flat[start:]):
                assert any(
                    unit == other and shown(number, unit, amount) for amount, other in planned
                ), (form, number, unit)


def test_json_holds_the_amounts_of_the_plan(hard: Proposal) -> None:
    for item in [hard, *drawn(), *far_from_the_scale()]:
        (plan,) = json.loads(dose_json.render([item], "x"))["recipes"]
        doses = [
            (dose["name"], dose["stage"], dose["amount"], dose["unit"]) for dose in plan["doses"]
        ]
        assert doses == [(d.stock.name, d.stage, d.amount, d.stock.unit) for d in item.doses]
        planned = amounts_of(item)
        for step in plan["steps"]:
            for action in step["actions"]:
                amount, unit = action["amount"], action["unit"]
                # Water and soda stand there to the tenth, all else as the plan has it.
                near = 0.05 if unit == "L" or action["what"] == "soda" else 1e-4
                assert amount is None or any(
                    unit == other and abs(amount - value) <= near + 1e-9 for value, other in planned
                ), action


def test_a_stock_solution_is_told_from_the_dose() -> None:
    # 1.341 mg of sodium metabisulfite per mg of chlorine (Na2S2O5 + 2 Cl2 + 3 H2O, 190.11 g/mol,
    # 2 x 70.90), and a tenth: 0.4 mg/L in 28.5 L take 16.8 mg. No scale of 0.1 g shows that.
    item = proposal(chlorine_mg_l=0.4, shelf=(*SALTS, ShelfItem("sodium_metabisulfite")))
    assert item.dechlorination is not None
    assert item.dechlorination.grams == pytest.approx(0.4 * 28.5 * 1.341 * 1.1 / 1000, rel=0.03)
    for flat in forms(item).values():
        assert "0.017 g Sodium metabisulfite" in flat
        assert "1.0 g Sodium metabisulfite" not in flat
        assert "a stock solution of 1.0 g in 100 mL of water. Only 1.7 mL of it is the dose" in flat


def test_the_steps_add_up_to_the_doses(hard: Proposal) -> None:
    for item in [hard, *drawn()]:
        done: dict[tuple[str, str], float] = {}
        for step in brew_steps(item):
            stage = "sparge" if step.when == "sparge_water" else "mash"
            for action in step.actions:
                if action.what in ("salt", "base", "acid", "acid_rest"):
                    key = (action.name, stage)
                    done[key] = done.get(key, 0.0) + (action.amount or 0.0)
        doses = {(d.stock.name, d.stage): d.amount for d in item.doses if not d.stock.is_malt}
        assert done == pytest.approx(doses)


def test_the_order_is_that_of_the_brew_day(hard: Proposal) -> None:
    order = ["evening_before", "strike_water", "dough_in", "ten_minutes", "sparge_water", "kettle"]
    for item in [hard, *drawn()]:
        places = [order.index(step.when) for step in brew_steps(item)]
        assert places == sorted(places)


def test_lines_of_text_fit_a_terminal() -> None:
    for item in drawn():
        for line in dose_text.render([item], "x").splitlines():
            assert len(line) <= 80, line


def test_who_handles_acid_or_sulfite_is_told_how(hard: Proposal) -> None:
    text = " ".join(dose_text.render([hard], "x").split())
    # CLP, Annex VI: lactic acid above 5 % is H314 and H318; sulfite with acid gives gas, EUH031.
    for words in (
        "H314",
        "EUH031",
        "Goggles and gloves",
        "acid into water",
        "asthma",
        "data sheet",
    ):
        assert words in text


def test_nothing_hostile_gets_into_a_form() -> None:
    item = proposal({"name": HOSTILE, "style": {"name": HOSTILE}})
    text = dose_text.render([item], HOSTILE)
    assert "\x1b" not in text
    assert "\u202e" not in text
    page = dose_html.render([item], HOSTILE)
    assert "<script" not in page
    sheet = cmarkgfm.github_flavored_markdown_to_html(
        brew_sheet.render([item], HOSTILE), MarkdownOptions.CMARK_OPT_UNSAFE
    )
    assert "<script" not in sheet
    assert "<a " not in sheet


def test_the_sheet_has_boxes_to_tick(hard: Proposal) -> None:
    sheet = brew_sheet.render([hard], "x")
    boxes = [line for line in sheet.splitlines() if line.startswith("- [ ] ")]
    actions = sum(len(step.actions) for step in brew_steps(hard))
    assert len(boxes) == actions + len(shopping_list(hard))
    assert "pH read: ______" in sheet


class _Page(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.pictures = 0
        self.ids: list[str] = []
        self.loads: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = dict(attrs)
        self.pictures += tag == "svg"
        if values.get("id"):
            self.ids.append(values["id"] or "")
        self.loads += [values[name] or "" for name in ("src", "href") if values.get(name)]
        if tag not in ("meta", "link", "br", "path", "rect", "input"):
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        del tag, attrs

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_the_page_is_whole_and_loads_nothing(hard: Proposal) -> None:
    page = _Page()
    page.feed(dose_html.render([hard, proposal()], "x"))
    assert page.open == []
    # Ions and mash pH, before and after in one, of two plans.
    assert page.pictures == 4
    assert len(page.ids) == len(set(page.ids))
    assert all(item.startswith("#") for item in page.loads)


def test_before_and_after_stand_on_one_scale(hard: Proposal) -> None:
    page = dose_html.render([hard], "x")
    assert hard.before.liquor is not None
    assert hard.after is not None
    assert hard.after.liquor is not None
    seen = 0
    for ion, then in hard.after.liquor.ions_mg_l.items():
        name = re.escape(f">{ion.capitalize()}</text>")
        row = re.search(rf"{name}(?:(?!<text x=\"0\").)*", page)
        ring = re.search(r'class="was" cx="([\d.]+)"', row[0]) if row else None
        if row is None or ring is None:
            continue
        zero = re.search(r'class="axis" d="M([\d.]+)', row[0])
        bar = re.search(r'class="value[^"]*" d="M([\d.]+)', row[0])
        assert zero is not None
        assert bar is not None
        # Two marks of one scale from zero lie as their values do.
        before = hard.before.liquor.ions_mg_l[ion].best
        ratio = (float(ring[1]) - float(zero[1])) / (float(bar[1]) - float(zero[1]))
        assert ratio == pytest.approx(before / then.best, abs=0.02), ion
        seen += 1
    assert seen >= 4
    assert page.index('class="was"') < page.index("To have at hand")


def test_the_page_has_boxes_to_tick_and_room_for_the_reading(hard: Proposal) -> None:
    page = dose_html.render([hard], "x")
    actions = sum(len(step.actions) for step in brew_steps(hard))
    assert page.count('<input type="checkbox"') == actions + len(shopping_list(hard))
    assert page.count("pH read:") == 1
    assert page.count('class="blank"') == 2


def test_pages_of_all_kinds_can_be_made() -> None:
    for item in drawn():
        page = _Page()
        page.feed(dose_html.render([item], "x"))
        assert page.open == []
