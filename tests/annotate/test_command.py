"""`recipe-tools annotate`: what it shows, writes, refuses and exits with."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from recipe_tools.annotate import annotating
from recipe_tools.own_block import FIRST_LINE
from recipe_tools.rules.examples import PLAIN_RECIPE, document, merge_patch, xml_file
from tests.cli.conftest import Run

TAP = """
name = "Aldermoor tap"
date = "2026-01-15"
calcium = "104 mg/L"
magnesium = "9 mg/L"
sodium = "18 mg/L"
chloride = "32 mg/L"
sulfate = "58 mg/L"
bicarbonate = "290 mg/L"
"""


@pytest.fixture
def club(here: Path) -> Path:
    """A folder with two recipes in two folders."""
    for name, data in (
        ("ales/bitter.xml", xml_file()),
        ("pils/light.json", document(PLAIN_RECIPE)),
    ):
        path = here / "club" / name
        path.parent.mkdir(parents=True)
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
    result = run("annotate", "club")
    assert result.code == 0
    assert "+++ b/club/ales/bitter.xml" in result.text
    assert "+++ b/club/pils/light.json" in result.text
    assert state(club) == before


def test_in_place_annotates_once_and_remove_restores(run: Run, club: Path) -> None:
    before = state(club)
    assert run("annotate", "--in-place", "club").code == 0
    annotated = state(club)
    assert all(FIRST_LINE.encode() in data for data in annotated.values())
    times = [path.stat().st_mtime_ns for path in sorted(club.rglob("*.*"))]
    again = run("annotate", "--in-place", "club")
    assert again.code == 0
    assert again.text.count("unchanged") == 2
    assert [path.stat().st_mtime_ns for path in sorted(club.rglob("*.*"))] == times
    assert run("annotate", "--in-place", "--remove", "club").code == 0
    assert state(club) == before


def test_check_tells_by_its_exit_code_whether_blocks_are_up_to_date(run: Run, club: Path) -> None:
    # Recipes nobody has annotated are no fault, unless each is to have its block.
    bare = run("annotate", "--check", "club")
    assert (bare.code, bare.text.count("without a block")) == (0, 2)
    assert run("annotate", "--check", "--all", "club").code == 1
    run("annotate", "--in-place", "club")
    assert run("annotate", "--check", "--all", "club").code == 0
    path = club / "ales" / "bitter.xml"
    path.write_bytes(
        path.read_bytes().replace(b"<AMOUNT>0.002</AMOUNT>", b"<AMOUNT>0.003</AMOUNT>")
    )
    before = state(club)
    stale = run("annotate", "--check", "club")
    assert stale.code == 1
    assert "bitter.xml: out of date" in stale.text
    assert "light.json: up to date" in stale.text
    assert state(club) == before


def test_an_output_folder_keeps_the_paths(run: Run, club: Path, here: Path) -> None:
    before = state(club)
    result = run("annotate", "--output-dir", "out", "club")
    assert result.code == 0
    assert set(state(here / "out")) == {"club/ales/bitter.xml", "club/pils/light.json"}
    assert state(club) == before


def test_an_output_folder_within_the_recipes_is_not_read_again(run: Run, club: Path) -> None:
    for _ in range(2):
        assert run("annotate", "--output-dir", "club/out", "club").code == 0
    assert set(state(club / "out")) == {"club/ales/bitter.xml", "club/pils/light.json"}


def test_an_output_over_the_source_takes_in_place(run: Run, club: Path) -> None:
    before = state(club)
    result = run("annotate", "--output-dir", ".", "club")
    assert result.code == 3
    assert result.err.count("takes --in-place") == 2
    assert state(club) == before


def test_nothing_goes_through_a_link_in_the_output_folder(run: Run, club: Path, here: Path) -> None:
    before = state(club)
    (here / "out").mkdir()
    (here / "out" / "club").symlink_to(club)
    result = run("annotate", "--output-dir", "out", "club")
    assert result.code == 3
    assert "is a link" in result.err
    assert state(club) == before


def test_links_are_followed_within_the_folder_only(run: Run, club: Path, here: Path) -> None:
    outside = here / "outside.xml"
    outside.write_bytes(xml_file())
    (club / "inside.xml").symlink_to("ales/bitter.xml")
    (club / "outside.xml").symlink_to(outside)
    result = run("annotate", "--in-place", "club")
    assert result.code == 3
    assert "outside.xml: not written" in result.err
    assert outside.read_bytes() == xml_file()
    assert (club / "inside.xml").is_symlink()
    assert FIRST_LINE.encode() in (club / "ales" / "bitter.xml").read_bytes()


def test_a_file_that_takes_repairs_is_written_only_when_they_are_accepted(
    run: Run, here: Path
) -> None:
    path = here / "b.xml"
    data = xml_file().replace(b"Millrace Blonde", b"Malt & Hops")
    path.write_bytes(data)
    refused = run("annotate", "--in-place", "b.xml")
    assert refused.code == 3
    assert "bare-ampersands" in refused.err
    assert path.read_bytes() == data
    accepted = run("annotate", "--in-place", "--accept-repairs", "b.xml")
    assert accepted.code == 0
    assert "the repaired text is what is written" in accepted.err
    assert "an ampersand that should be &amp;" in accepted.err
    assert b"Malt &amp; Hops" in path.read_bytes()


def test_a_damaged_block_is_named_by_file_and_line(run: Run, here: Path) -> None:
    path = here / "b.xml"
    path.write_bytes(xml_file())
    run("annotate", "--in-place", "b.xml")
    damaged = path.read_bytes().replace(b"Before this", b"My own words\nBefore this")
    path.write_bytes(damaged)
    result = run("annotate", "--in-place", "b.xml")
    assert result.code == 3
    line = damaged.decode().split(FIRST_LINE)[0].count("\n") + 1
    assert f"b.xml:{line}: not written" in result.err
    assert path.read_bytes() == damaged


def test_a_file_changed_meanwhile_is_left_alone(
    run: Run, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = here / "b.xml"
    path.write_bytes(xml_file())
    honest = annotating.annotate_bytes

    def slow(*args: object, **named: object) -> annotating.Annotated:
        result = honest(*args, **named)  # type: ignore[arg-type]
        path.write_bytes(b"saved by the editor")
        return result

    monkeypatch.setattr("recipe_tools.cli.annotate.annotate_bytes", slow)
    result = run("annotate", "--in-place", "b.xml")
    assert result.code == 3
    assert "changed by somebody else" in result.err
    assert path.read_bytes() == b"saved by the editor"


def test_a_fault_in_one_file_does_not_end_the_run(
    run: Run, club: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    honest = annotating.annotate_bytes

    def faulty(data: bytes, path: str, *more: object) -> annotating.Annotated:
        if path.endswith(".xml"):
            raise RuntimeError("a fault of ours")
        return honest(data, path, *more)  # type: ignore[arg-type]

    monkeypatch.setattr("recipe_tools.cli.annotate.annotate_bytes", faulty)
    result = run("annotate", "--in-place", "club")
    assert result.code == 3
    assert "bitter.xml: not written, it could not be annotated: RuntimeError in" in result.err
    assert FIRST_LINE.encode() in (club / "pils" / "light.json").read_bytes()


def test_a_full_disk_is_told_and_the_other_files_are_written(
    run: Run, club: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = state(club)
    synced = os.fsync
    calls = []

    def fsync(handle: int) -> None:
        calls.append(handle)
        if len(calls) == 1:
            raise OSError(28, "No space left on device")
        synced(handle)

    monkeypatch.setattr("os.fsync", fsync)
    result = run("annotate", "--in-place", "club")
    assert result.code == 3
    assert "bitter.xml: not written, no space left on device" in result.err
    after = state(club)
    assert after["ales/bitter.xml"] == before["ales/bitter.xml"]
    assert FIRST_LINE.encode() in after["pils/light.json"]
    assert set(after) == set(before)


@pytest.mark.parametrize(
    "arguments",
    [
        ("--in-place", "--output-dir", "out"),
        ("--check", "--in-place"),
        ("--check", "--output-dir", "out"),
        ("--config", "a.toml", "--no-config"),
        ("--without", "no/such-rule"),
    ],
)
def test_wrong_use_writes_nothing(run: Run, club: Path, arguments: tuple[str, ...]) -> None:
    before = state(club)
    result = run("annotate", *arguments, "club")
    assert (result.code, result.out) == (2, b"")
    assert state(club) == before


@pytest.mark.parametrize(
    ("name", "data"),
    [("missing.xml", None), ("text.xml", b"no recipe"), ("broken.json", b'{"beerjson": ')],
)
def test_what_cannot_be_read_is_not_written(
    run: Run, here: Path, name: str, data: bytes | None
) -> None:
    if data is not None:
        (here / name).write_bytes(data)
    result = run("annotate", "--in-place", name)
    assert result.code == 3
    assert f"{name}" in result.err
    assert "not written" in result.err


def test_a_folder_without_recipes_is_told(run: Run, here: Path) -> None:
    (here / "empty").mkdir()
    result = run("annotate", "empty")
    assert result.code == 3
    assert "no recipe" in result.err


def test_foreign_files_met_in_a_folder_are_passed_over(run: Run, club: Path) -> None:
    (club / "feed.xml").write_bytes(b"<rss></rss>\n")
    assert run("annotate", "--in-place", "club").code == 0
    assert (club / "feed.xml").read_bytes() == b"<rss></rss>\n"


def test_the_json_summary_is_one_document(run: Run, club: Path) -> None:
    (club / "broken.json").write_bytes(b"{")
    result = run("annotate", "--in-place", "--format", "json", "club")
    assert result.code == 3
    summary = result.json["summary"]
    assert (summary["files"], summary["annotated"], summary["refused"]) == (3, 2, 1)
    files = {item["path"]: item for item in result.json["files"]}
    assert files["club/ales/bitter.xml"]["output"] == "club/ales/bitter.xml"
    assert files["club/broken.json"]["problem"]
    assert "diff" not in files["club/ales/bitter.xml"]


def test_the_json_summary_holds_the_diffs_where_they_are_shown(run: Run, club: Path) -> None:
    result = run("annotate", "--format", "json", "club")
    assert all(FIRST_LINE in item["diff"] for item in result.json["files"])
    assert not result.json["written"]


def test_water_report_and_configuration_count(run: Run, here: Path) -> None:
    (here / "tap.toml").write_text(TAP, "utf-8")
    patch = {"ingredients": {"water_additions": None}}
    (here / "b.json").write_bytes(document(merge_patch(PLAIN_RECIPE, patch)))
    assert "nothing says what is in it" in run("annotate", "b.json").text
    assert "calcium 104" in run("annotate", "--water", "tap.toml", "b.json").text
    (here / "recipe-tools.toml").write_text('[water]\nreport = "tap.toml"\n', "utf-8")
    assert "calcium 104" in run("annotate", "b.json").text
    assert "calcium 104" not in run("annotate", "--no-config", "b.json").text


def test_suppressed_findings_are_not_written(run: Run, faulty: Path, here: Path) -> None:
    assert "addition/unit-slip" in run("annotate", "faulty.json").text
    (here / "recipe-tools.toml").write_text(
        '[[suppress]]\nrule = "addition/unit-slip"\nreason = "a stone tun"\n', "utf-8"
    )
    assert "addition/unit-slip" not in run("annotate", "faulty.json").text
