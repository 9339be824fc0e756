"""`recipe-tools tidy`: what it shows, writes, refuses and exits with."""

from __future__ import annotations

import copy
import json
from pathlib import Path

import pytest

from recipe_tools.rules.examples import PLAIN_RECIPE, document, merge_patch, xml_file, xml_misc
from recipe_tools.tidying import tidying
from tests.cli.conftest import Run

COMMA = xml_misc("Gypsum (calcium sulfate dihydrate)", "0,004", "true")
"""A record that follows BeerXML 1.0 but for its decimal comma and the case of its Boolean."""

SLIP = xml_misc("Gypsum (calcium sulfate dihydrate)", "4", "TRUE")


@pytest.fixture
def club(here: Path) -> Path:
    """A folder with a faulty file of each standard, and a sound one."""
    faulty = merge_patch(PLAIN_RECIPE, {"type": "All Grain", "efficiency": {"brewhouse": "72 %"}})
    for name, data in (
        ("ales/bitter.xml", xml_file(COMMA)),
        ("pils/light.json", document(faulty)),
        ("pils/sound.json", document(PLAIN_RECIPE)),
    ):
        path = here / "club" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    return here / "club"


def state(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_without_a_destination_it_shows_the_diff_and_writes_nothing(run: Run, club: Path) -> None:
    before = state(club)
    result = run("tidy", "club")
    assert result.code == 0
    assert "-    <AMOUNT>0,004</AMOUNT>" in result.text.replace("\t", " " * 4) or (
        "0,004" in result.text and "0.004" in result.text
    )
    assert '"all grain"' in result.text
    assert "sound.json" not in result.text
    assert "2 to be tidied, 1 as they should be" in result.err
    assert state(club) == before


def test_in_place_writes_only_what_is_mended(run: Run, club: Path) -> None:
    before = state(club)
    assert run("tidy", "--in-place", "club").code == 0
    after = state(club)
    assert after["pils/sound.json"] == before["pils/sound.json"]
    xml = before["ales/bitter.xml"].replace(b"0,004", b"0.004").replace(b">true<", b">TRUE<")
    assert after["ales/bitter.xml"] == xml
    recipe = json.loads(after["pils/light.json"])["beerjson"]["recipes"][0]
    assert recipe == {
        **PLAIN_RECIPE,
        "type": "all grain",
        "efficiency": {"brewhouse": {"unit": "%", "value": 72}},
    }
    assert run("tidy", "--check", "club").code == 0
    assert state(club) == after


def test_check_fails_where_something_would_change(run: Run, club: Path) -> None:
    before = state(club)
    result = run("tidy", "--check", "club")
    assert result.code == 1
    assert "bitter.xml: to be tidied" in result.text
    assert "sound.json: unchanged" in result.text
    assert state(club) == before


def test_an_output_folder_holds_copies(run: Run, club: Path, here: Path) -> None:
    before = state(club)
    assert run("tidy", "--output-dir", "out", "club").code == 0
    copies = state(here / "out")
    assert set(copies) == {f"club/{name}" for name in before}
    assert b"0.004" in copies["club/ales/bitter.xml"]
    assert state(club) == before


def test_rules_are_kept_to_or_left_out(run: Run, club: Path) -> None:
    place = club / "ales" / "bitter.xml"
    run("tidy", "--in-place", "--only", "standard/boolean-spelling", "club")
    assert b"0,004" in place.read_bytes()
    assert b">TRUE<" in place.read_bytes()
    assert run("tidy", "--check", "--without", "standard", "club").code == 0
    assert run("tidy", "--only", "standard/coma", "club").code == 2


def test_only_when_asked_for_a_number_is_written_as_it_is_meant(run: Run, here: Path) -> None:
    path = here / "slip.xml"
    path.write_bytes(xml_file(SLIP))
    assert run("tidy", "--check", "slip.xml").code == 0
    assert run("tidy", "--meant", "--in-place", "slip.xml").code == 0
    assert path.read_bytes() == xml_file(SLIP).replace(b"<AMOUNT>4<", b"<AMOUNT>0.004<")
    share = merge_patch(PLAIN_RECIPE, {"efficiency": {"brewhouse": {"unit": "%", "value": 0.72}}})
    (here / "share.json").write_bytes(document(share))
    assert run("tidy", "--check", "share.json").code == 0
    assert run("tidy", "--meant", "--in-place", "share.json").code == 0
    written = json.loads((here / "share.json").read_bytes())["beerjson"]["recipes"][0]
    assert written["efficiency"]["brewhouse"]["value"] == 72


@pytest.mark.parametrize("name", ["ales/bitter.xml", "pils/light.json"])
def test_what_would_read_otherwise_is_not_written(
    run: Run, club: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """A step that goes wrong is found out by the proof, whatever it did."""
    before = state(club)
    mend = tidying._replaced

    def wrong(data: bytes, *others: object) -> bytes:
        return (
            mend(data, *others).replace(b"Gypsum", b"Epsom").replace(b'"name": "P', b'"name": "Q')
        )

    monkeypatch.setattr(tidying, "_replaced", wrong)
    result = run("tidy", "--in-place", f"club/{name}")
    assert result.code == 3
    assert "not written" in result.err
    assert state(club) == before


def test_values_in_one_group_of_findings_keep_their_own_edits(run: Run, here: Path) -> None:
    """Faults of one kind are one finding; each place is changed to what stands there."""
    texts = merge_patch(
        copy.deepcopy(PLAIN_RECIPE),
        {
            "original_gravity": {"unit": "sg", "value": "1.046"},
            "final_gravity": {"unit": "sg", "value": "1.010"},
            "boil": {"boil_time": {"unit": "min", "value": "60"}},
        },
    )
    for item, amount in zip(texts["ingredients"]["hop_additions"], ("31", "17", "9"), strict=False):
        item["amount"]["value"] = amount
        item["alpha_acid"]["value"] = f"{amount}.5"
    (here / "texts.json").write_bytes(document(texts))
    result = run("check", "texts.json", "--format", "json", "--fail-on", "never")
    edits = [edit for item in result.json["findings"] for edit in item["edits"]]
    assert edits
    assert all(edit["replacement"] in edit["current"] for edit in edits)
    run("tidy", "--in-place", "texts.json")
    written = json.loads((here / "texts.json").read_bytes())["beerjson"]["recipes"][0]
    hops = written["ingredients"]["hop_additions"]
    for item, amount in zip(hops, (31, 17, 9), strict=False):
        assert (item["amount"]["value"], item["alpha_acid"]["value"]) == (amount, amount + 0.5)


def test_a_file_that_cannot_be_read_is_said_and_left(run: Run, here: Path) -> None:
    for name, data in (("cut.xml", b"<RECIPES><RECIPE><NAME>x"), ("cut.json", b'{"beerjson": {')):
        (here / name).write_bytes(data)
        result = run("tidy", "--in-place", name)
        assert result.code == 3
        assert f"{name}:1: not written" in result.err
        assert (here / name).read_bytes() == data


LIBRARIES = {
    "hops.xml": (
        b"<HOPS><HOP><Name>Mill Garden</Name><ALPHA>5,5 %</ALPHA><AMOUNT>0</AMOUNT>"
        b"<USE>boil</USE><TIME>60</TIME></HOP></HOPS>",
        b"<HOPS><HOP><NAME>Mill Garden</NAME><VERSION>1</VERSION><ALPHA>5.5</ALPHA>"
        b"<AMOUNT>0</AMOUNT><USE>Boil</USE><TIME>60</TIME></HOP></HOPS>",
    ),
    "hops.json": (
        b'{"beerjson": {"hop_varieties": [{"name": "Mill Garden", "type": "Aroma", '
        b'"alpha_acid": "5,5 %"}]}}',
        b'{"beerjson": {"version": 1,"hop_varieties": [{"name": "Mill Garden", "type": "aroma", '
        b'"alpha_acid": {"unit": "%", "value": 5.5}}]}}',
    ),
}


@pytest.mark.parametrize("name", LIBRARIES)
def test_documents_without_recipes_are_tidied_like_any_other(
    run: Run, here: Path, name: str
) -> None:
    before, after = LIBRARIES[name]
    (here / name).write_bytes(before)
    assert run("tidy", "--in-place", name).code == 0
    assert (here / name).read_bytes() == after
    assert run("tidy", "--check", name).code == 0
