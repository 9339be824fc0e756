"""The forms of a dosing plan: text, JSON, the sheet to print, the page."""

from __future__ import annotations

import json
from html.parser import HTMLParser
from typing import Any

import cmarkgfm
import jsonschema
import pytest
from cmarkgfm.cmark import Options as MarkdownOptions
from syrupy.assertion import SnapshotAssertion

from recipe_tools.config import Options, ShelfItem
from recipe_tools.dosing import Proposal, Request, propose
from recipe_tools.dosing.brew_steps import brew_steps, shopping_list
from recipe_tools.reports import brew_sheet, dose_html, dose_json, dose_text
from recipe_tools.rules.examples import PLAIN_RECIPE, merge_patch, well_with
from recipe_tools.schema_files import schema_text
from tests.dosing.cases import case, read_recipe

VALIDATOR = jsonschema.Draft202012Validator(json.loads(schema_text("dose.schema.json")))
HOSTILE = "<script>alert(1)</script> | `x` [a](http://b) \x1b[31m \u202e @all #1"


def proposal(patch: Any = None, **options: Any) -> Proposal:
    shelf = (
        ShelfItem("gypsum"),
        ShelfItem("calcium_chloride_dihydrate"),
        ShelfItem("lactic_acid", strength_percent=80.0),
        ShelfItem("campden_tablet_sodium"),
        ShelfItem("pure_water"),
    )
    body = merge_patch(PLAIN_RECIPE, patch or {})
    return propose(read_recipe(body), Options(shelf=shelf, **options), Request(replace=True))


@pytest.fixture
def hard() -> Proposal:
    """A plan with everything in it: chlorine, too much sulfate, alkalinity."""
    patch = well_with(calcium=110, sulfate=190, chloride=40, bicarbonate=210, sodium=30)
    return proposal(patch, chlorine_mg_l=0.8)


def drawn() -> list[Proposal]:
    cases = [case(9000 + seed) for seed in range(25)]
    return [propose(item.recipe(), item.options, item.request) for item in cases]


def test_text_layout(hard: Proposal, snapshot: SnapshotAssertion) -> None:
    assert dose_text.render([hard], "hard.json") == snapshot


def test_sheet_layout(hard: Proposal, snapshot: SnapshotAssertion) -> None:
    assert brew_sheet.render([hard], "hard.json") == snapshot


def test_json_layout(hard: Proposal, snapshot: SnapshotAssertion) -> None:
    assert dose_json.render([hard], "hard.json") == snapshot


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(VALIDATOR.schema)


def test_json_keeps_to_the_schema(hard: Proposal) -> None:
    for item in ([hard], [], drawn(), [proposal({"name": HOSTILE})]):
        document = json.loads(dose_json.render(item, "file.json"))
        assert [error.message for error in VALIDATOR.iter_errors(document)] == []


def test_every_dose_stands_in_every_form(hard: Proposal) -> None:
    for item in [hard, *drawn()]:
        texts = [
            dose_text.render([item], "x"),
            brew_sheet.render([item], "x").replace("\\", ""),
            dose_html.render([item], "x"),
        ]
        for line in shopping_list(item):
            name = line.name.partition(" (")[0]
            for text in texts:
                flat = " ".join(text.split())
                assert name in flat
                if line.unit == "mL":
                    assert f"{line.amount:.1f} mL" in flat


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
        if tag not in ("meta", "link", "br", "path", "rect"):
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        del tag, attrs

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_the_page_is_whole_and_loads_nothing(hard: Proposal) -> None:
    page = _Page()
    page.feed(dose_html.render([hard, proposal()], "x"))
    assert page.open == []
    # Ions and mash pH, before and after, of two plans.
    assert page.pictures == 8
    assert len(page.ids) == len(set(page.ids))
    assert all(item.startswith("#") for item in page.loads)


def test_pages_of_all_kinds_can_be_made() -> None:
    for item in drawn():
        page = _Page()
        page.feed(dose_html.render([item], "x"))
        assert page.open == []
