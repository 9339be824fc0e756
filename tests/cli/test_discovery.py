"""Which files a run looks at, and under which names."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from recipe_tools.rules.examples import PLAIN_RECIPE, document
from tests.cli.conftest import Run, xml_recipe

RECIPE = document(PLAIN_RECIPE)
posix_only = pytest.mark.skipif(os.name != "posix", reason="needs links and pipes of POSIX")


def paths(run: Run, *arguments: str) -> list[tuple[str, str]]:
    files = run("check", "--format", "json", *arguments).json["files"]
    return [(file["path"], file["status"]) for file in files]


def test_folders_are_walked_in_the_order_of_names(run: Run, here: Path) -> None:
    for name in ("b/two.json", "a/one.json", "c.json", "a/zero.json"):
        (here / name).parent.mkdir(exist_ok=True)
        (here / name).write_bytes(RECIPE)
    names = [name for name, _ in paths(run, ".")]
    assert names == ["a/one.json", "a/zero.json", "b/two.json", "c.json"]


def test_a_recipe_is_known_by_its_content(run: Run, here: Path) -> None:
    (here / "harvest.txt").write_bytes(xml_recipe())
    (here / "swapped.xml").write_bytes(RECIPE)
    (here / "wide.json").write_bytes(
        xml_recipe().decode().replace("UTF-8", "UTF-16").encode("utf-16")
    )
    files = run("check", "--format", "json", ".").json["files"]
    assert [(file["path"], file["format"]) for file in files] == [
        ("harvest.txt", "beerxml"),
        ("swapped.xml", "beerjson"),
        ("wide.json", "beerxml"),
    ]


def test_what_is_no_recipe_is_skipped_only_if_it_is_well_formed(run: Run, here: Path) -> None:
    (here / "good.json").write_bytes(RECIPE)
    (here / "drawing.xml").write_text("<svg><g/></svg>")
    (here / "other.json").write_text('{"name": "not beer"}')
    (here / "README.md").write_text("# Recipes\nin BeerXML <RECIPE> form")
    (here / "photo.jpg").write_bytes(b"\xff\xd8\xff\xe0")
    report = run("check", "--format", "json", ".")
    assert report.code == 0
    assert [file["path"] for file in report.json["files"]] == ["good.json"]
    assert report.json["summary"]["skipped"] == 2
    assert paths(run, ".", "--verbose") == [
        ("drawing.xml", "skipped"),
        ("good.json", "checked"),
        ("other.json", "skipped"),
    ]
    (here / "torn.json").write_text('{"beerjson": ')
    report = run("check", "--format", "json", ".")
    assert report.code == 3
    assert ("torn.json", "not_checked") in paths(run, ".")


@posix_only
def test_pipes_are_not_opened(run: Run, here: Path, clean: Path) -> None:
    os.mkfifo(here / "pipe.json")
    assert paths(run, ".") == [("clean.json", "checked"), ("pipe.json", "not_checked")]
    assert run("check", "pipe.json").code == 3


@posix_only
def test_links_are_followed_within_the_folder_only(run: Run, here: Path, clean: Path) -> None:
    outside = here.parent / "outside"
    outside.mkdir()
    (outside / "secret.json").write_bytes(RECIPE)
    (here / "club").mkdir()
    (here / "club" / "own.json").write_bytes(RECIPE)
    (here / "club" / "again.json").symlink_to("own.json")
    (here / "club" / "leak.json").symlink_to(outside / "secret.json")
    (here / "club" / "folder").symlink_to(outside)
    assert paths(run, "club") == [
        ("club/again.json", "checked"),
        ("club/leak.json", "not_checked"),
        ("club/own.json", "checked"),
    ]
    (here / "named.json").symlink_to(outside / "secret.json")
    report = run("check", "named.json", "--format", "json")
    assert (report.code, report.rules) == (3, ["file/outside-root"])


@posix_only
def test_a_broken_link_is_said(run: Run, here: Path, clean: Path) -> None:
    (here / "gone.json").symlink_to("nowhere.json")
    assert ("gone.json", "not_checked") in paths(run, ".")


def test_paths_are_shown_relative_and_never_absolute(run: Run, here: Path, clean: Path) -> None:
    other = here.parent / "club"
    (other / "ales").mkdir(parents=True)
    (other / "ales" / "x.json").write_bytes(RECIPE)
    assert paths(run, str(clean)) == [("clean.json", "checked")]
    assert paths(run, "./clean.json") == [("clean.json", "checked")]
    assert paths(run, "../club") == [("club/ales/x.json", "checked")]
    assert paths(run, str(other / "ales")) == [("ales/x.json", "checked")]
    assert paths(run, "../club/ales/x.json") == [("ales/x.json", "checked")]


@posix_only
def test_a_name_that_is_not_utf_8_is_shown_with_escapes(run: Run, here: Path) -> None:
    (Path(os.fsdecode(os.fsencode(here) + b"/caf\xe9.json"))).write_bytes(RECIPE)
    assert paths(run, ".") == [("caf\\xe9.json", "checked")]
    assert "caf\\xe9.json" in run("check", ".").text


def test_a_file_named_twice_is_checked_once(run: Run, here: Path, clean: Path) -> None:
    assert paths(run, ".", "clean.json", "./clean.json") == [("clean.json", "checked")]


def test_hidden_folders_are_left_alone(run: Run, here: Path, clean: Path) -> None:
    (here / ".cache").mkdir()
    (here / ".cache" / "old.json").write_text("{")
    assert paths(run, ".") == [("clean.json", "checked")]
