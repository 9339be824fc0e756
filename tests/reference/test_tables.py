"""Every fact has a source and a mark, and the tables agree with one another."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import get_args

import pytest

from recipe_tools import reference
from recipe_tools.recipe import IONS
from recipe_tools.reference import agents, data_digest, families, table, table_names, tables
from recipe_tools.reference.agent_table import AgentForm, AgentKind
from recipe_tools.reference.malt_names import CLASS_ORDER, UNKNOWN

MARKS = {"published", "memory", "derived", "derived_default"}
OWN_CHOICE = {"derived_default"}
LANGUAGES = {
    *("en", "de", "fr", "es", "pt", "it", "nl", "pl", "cs", "sv", "da", "no", "ru", "fi"),
    *("formula", "E-number"),
}

RANGED = [
    ("brewing_ion_ranges", "low", "high"),
    ("brewing_ion_ranges", "warn_above", "error_above"),
    ("brewing_ion_ranges", "low", "warn_above"),
    ("drinking_water_limits", "low", "high"),
    ("hazards", "strength_from", "strength_below"),
    *[("style_codes", f"{name}_low", f"{name}_high") for name in ("srm", "ibu", "og")],
    *[
        ("style_water_targets", f"{name}_low", f"{name}_high")
        for name in (
            "calcium",
            "magnesium",
            "sodium",
            "chloride",
            "sulfate",
            "bicarbonate",
            "residual_alkalinity_caco3",
            "sulfate_to_chloride",
        )
    ],
]


def _rows() -> list[tuple[str, int, Mapping[str, str]]]:
    return [
        (name, place, row) for name in table_names() for place, row in enumerate(table(name), 2)
    ]


def test_every_row_names_its_source_and_how_far_it_can_be_trusted() -> None:
    without = [
        f"{name} line {place}"
        for name, place, row in _rows()
        if not row["source"].strip() or row["mark"] not in MARKS
    ]
    assert without == []


def test_tables_of_the_project_are_all_there() -> None:
    assert {
        "agents",
        "agent_aliases",
        "brewing_ion_ranges",
        "city_waters",
        "drinking_water_limits",
        "hazards",
        "malt_aliases",
        "solution_density",
        "style_codes",
        "style_codes_older",
        "style_names",
        "style_water_targets",
    } <= set(table_names())


def test_an_unknown_table_is_a_key_error() -> None:
    with pytest.raises(KeyError):
        table("no_such_table")


def test_no_row_names_a_program_a_link_or_a_trade_mark() -> None:
    word = re.compile(
        r"\b(?:software|app|calculator|spreadsheet|plug-?in|https?|www|github|\.com|version \d)\b"
        r"|[®™]",
        re.IGNORECASE,
    )
    found = [
        (name, place, value)
        for name, place, row in _rows()
        for value in row.values()
        if word.search(value)
    ]
    assert found == []


def test_no_cell_has_blanks_around_it() -> None:
    found = [
        (name, place, column)
        for name, place, row in _rows()
        for column, value in row.items()
        if value != value.strip()
    ]
    assert found == []


@pytest.mark.parametrize(("name", "low", "high"), RANGED)
def test_low_ends_are_not_above_high_ends(name: str, low: str, high: str) -> None:
    wrong = [
        row for row in table(name) if row[low] and row[high] and float(row[low]) > float(row[high])
    ]
    assert wrong == []


def test_every_name_of_an_agent_leads_to_agents_that_exist() -> None:
    known = agents()
    for row in table("agent_aliases"):
        ids = row["agents"].split()
        assert ids, row
        assert set(ids) <= set(known), row
        assert row["language"] in LANGUAGES, row
        assert row["use"] in ("any", "alone"), row


def test_every_agent_can_be_named() -> None:
    named = {name for row in table("agent_aliases") for name in row["agents"].split()}
    assert set(agents()) - named == set()


def test_kinds_and_forms_are_those_of_the_type() -> None:
    for item in agents().values():
        assert item.kind in get_args(AgentKind), item.id
        assert item.form in get_args(AgentForm), item.id


def test_densities_and_hazards_are_of_agents_or_families_that_exist() -> None:
    known = agents()
    families_of_agents = {item.family for item in known.values()}
    assert {row["agent_id"] for row in table("solution_density")} <= set(known)
    assert {row["agent_id"] for row in table("hazards")} <= set(known) | families_of_agents


def test_every_malt_name_belongs_to_a_class_the_mash_model_knows() -> None:
    classes = {row["class"] for row in table("malt_aliases")}
    assert classes == set(CLASS_ORDER)
    modelled = {row["class"] for row in table("malt_model")}
    without_grain = {"sugar", "extract_liquid", "extract_dry", "colouring"}
    assert classes - without_grain <= modelled
    assert UNKNOWN in modelled


def test_every_family_of_a_style_has_targets() -> None:
    known = {*families(), "base_style"}
    for row in table("style_codes"):
        assert row["family"] in known, row
        assert row["ion_family"] in {*known, ""}, row
        assert row["ra_family"] in {*known, ""}, row
        assert set(row["exempt"].split()) <= set(IONS), row


def test_older_codes_and_names_lead_to_styles_that_exist() -> None:
    known = {(row["code"], row["name"]) for row in table("style_codes")}
    for row in table("style_codes_older"):
        assert (row["code_2021"], row["name_2021"]) in known, row
    for row in table("style_names"):
        assert (row["code"], row["name_2021"]) in known, row


def test_each_family_has_exactly_one_range_and_it_is_marked_as_our_choice() -> None:
    ranges = [row for row in table("style_water_targets") if row["row"] == "range"]
    names = [row["family"] for row in ranges]
    assert len(names) == len(set(names))
    assert {row["mark"] for row in ranges} == OWN_CHOICE
    for row in table("style_water_targets"):
        assert row["family"] in names, row


def test_each_ion_has_at_most_one_range_of_ours() -> None:
    own = [row["ion"] for row in table("brewing_ion_ranges") if row["mark"] in OWN_CHOICE]
    assert len(own) == len(set(own))


def test_the_digest_follows_the_data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = data_digest()
    assert re.fullmatch(r"[0-9a-f]{16}", before)
    for name in ("agents", "crush"):
        source = Path(tables.__file__).with_name("data") / f"{name}.csv"
        (tmp_path / source.name).write_bytes(source.read_bytes())
    monkeypatch.setattr(tables, "_FOLDER", tmp_path)
    uncached = tables.data_digest.__wrapped__
    smaller = uncached()
    (tmp_path / "crush.csv").write_bytes(b"crush,source,mark\n")
    assert len({before, smaller, uncached()}) == 3


def test_importing_the_room_reads_no_table() -> None:
    """`--version` and the command line's help must not pay for facts they do not use."""
    code = (
        "import sys, recipe_tools.reference as room;"
        "print(sorted(name for name in sys.modules if name.startswith('recipe_tools.reference.')));"
        "room.recognise_agent('Gypsum');"
        "heavy = ('difflib', 'hashlib', 'pint', 'highspy');"
        "print(*(name for name in heavy if name in sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.split("\n")[:2] == ["[]", ""]


def test_every_public_name_can_be_had() -> None:
    for name in reference.__all__:
        assert getattr(reference, name) is not None
    with pytest.raises(AttributeError):
        _ = reference.no_such_name
