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


def test_paths_are_shown_so_that_they_open(run: Run, here: Path, clean: Path) -> None:
    other = here.parent / "club"
    (other / "ales").mkdir(parents=True)
    (other / "ales" / "x.json").write_bytes(RECIPE)
    assert paths(run, str(clean)) == [("clean.json", "checked")]
    assert paths(run, "./clean.json") == [("clean.json", "checked")]
    assert paths(run, "../club") == [("../club/ales/x.json", "checked")]
    assert paths(run, str(other / "ales")) == [(f"{other}/ales/x.json", "checked")]
    assert paths(run, "../club/./ales/x.json") == [("../club/ales/x.json", "checked")]
    assert paths(run, "..") == [("../club/ales/x.json", "checked"), ("clean.json", "checked")]


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


@pytest.mark.parametrize("command", ["check", "audit", "dose", "annotate"])
@pytest.mark.parametrize(
    ("mistyped", "said"),
    [
        ("club/mill race.xml", "does not exist; the nearest name there is Mill-race.xml"),
        (
            "clab/Mill-race.xml",
            "does not exist: there is no folder clab; the nearest name there is",
        ),
        ("club/quite another.json", "does not exist"),
    ],
)
def test_a_mistyped_path_is_no_matter_of_the_file(
    command: str, mistyped: str, said: str, run: Run, here: Path
) -> None:
    (here / "club").mkdir()
    (here / "club" / "Mill-race.xml").write_bytes(RECIPE)
    result = run(command, mistyped)
    assert result.code == 3
    shown = " ".join((result.text + result.err).split())
    assert said in shown
    assert "Export" not in shown
    assert run(command, "club").text.count("nearest") == 0


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (("water", "tab.toml"), 3),
        (("check", ".", "--water", "tab.toml"), 2),
        (("dose", "clean.json", "--water", "tab.toml"), 2),
        (("check", ".", "--config", "tab.toml"), 2),
        (("check", ".", "--baseline", "tab.toml"), 2),
        (("audit", ".", "--against", "tab.toml"), 2),
    ],
)
def test_so_it_is_where_another_file_is_named(
    arguments: tuple[str, ...], code: int, run: Run, here: Path, clean: Path
) -> None:
    (here / "tap.toml").write_text("calcium = 50\n")
    result = run(*arguments)
    assert result.code == code
    assert "tab.toml" in result.err
    assert "does not exist; the nearest name there is tap.toml" in result.err


def test_a_path_in_a_report_opens_from_where_the_command_ran(run: Run, here: Path) -> None:
    other = here.parent / "club"
    other.mkdir()
    (other / "x.json").write_bytes(RECIPE)
    (other / "recipe-tools.toml").write_text("[water]\nrecords = 3\n")
    for given in ("../club", str(other), "../club/x.json", f"{other}/./x.json"):
        (other / "recipe-tools.toml").rename(other / "kept")
        for arguments in (
            ("check", given, "--format", "json"),
            ("audit", given, "--no-cache", "--format", "json"),
        ):
            (file,) = run(*arguments).json["files"]
            assert Path(file["path"]).read_bytes() == RECIPE
            assert Path(file["path"]).is_absolute() == Path(given).is_absolute()
        if given.endswith(".json"):
            assert Path(run("dose", given, "--format", "json").json["path"]).read_bytes() == RECIPE
        log = run("check", given, "--format", "sarif").json
        place = log["runs"][0]["artifacts"][0]["location"]
        # SARIF 2.1.0, 3.4.4: a URI with a base is a relative reference.
        absolute = place["uri"].startswith("file:///")
        assert ("uriBaseId" in place) is not absolute
        assert absolute == Path(given).is_absolute()
        (other / "kept").rename(other / "recipe-tools.toml")
        refused = run("check", given)
        assert refused.code == 2
        named = refused.err.partition("Error: ")[2].partition(": ")[0]
        assert Path(named).samefile(other / "recipe-tools.toml")
