"""Which files of an archive are met, in which order, and what becomes of the others."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from recipe_tools.archive.ignore_rules import MAX_BYTES, of_patterns
from recipe_tools.archive.walk import Found, Walk
from tests.archive.conftest import PLAIN, XML, write
from tests.cli.conftest import Run

posix_only = pytest.mark.skipif(os.name != "posix", reason="needs links and pipes of POSIX")


def walk(folder: Path, *patterns: str, paths: tuple[str, ...] = (".",)) -> Walk:
    return Walk(paths, folder, exclude=of_patterns(patterns), max_bytes=1 << 20)


def shown(found: Walk) -> list[str]:
    return [item.shown for item in found.found()]


def by_name(found: Walk) -> dict[str, Found]:
    return {item.shown: item for item in found.found()}


def test_the_order_is_that_of_the_whole_paths(tmp_path: Path) -> None:
    names = [
        "a.xml",
        "a/b.xml",
        "a-b/c.json",
        "a/b/c.xml",
        "a b.json",
        "a/b-c.xml",
        "é/z.xml",
        "z.xml",
    ]
    write(tmp_path, dict.fromkeys(names, XML))
    assert shown(walk(tmp_path)) == sorted(names)


def test_every_file_is_listed_or_counted(tmp_path: Path) -> None:
    write(
        tmp_path,
        {
            "mild.xml": XML,
            "harvest.txt": PLAIN,
            "photo.jpg": b"\xff\xd8",
            "notes.txt": b"mash in",
            "trash/old.xml": XML,
            "trash/older.xml": XML,
            ".git/config.json": b"{}",
        },
    )
    found = walk(tmp_path, "trash/")
    assert shown(found) == ["harvest.txt", "mild.xml"]
    assert (found.other, found.ignored) == (2, 1)


def test_ignore_files_hold_below_their_folder(tmp_path: Path) -> None:
    write(
        tmp_path,
        {
            ".recipe-tools-ignore": b"drafts/\n*.tmp.xml\n",
            "drafts/a.xml": XML,
            "b.tmp.xml": XML,
            "ales/.recipe-tools-ignore": b"/mild.xml\n!c.tmp.xml\n",
            "ales/mild.xml": XML,
            "ales/c.tmp.xml": XML,
            "ales/old/mild.xml": XML,
        },
    )
    assert shown(walk(tmp_path)) == ["ales/c.tmp.xml", "ales/old/mild.xml"]
    assert shown(walk(tmp_path, "*.xml")) == []


def test_an_ignore_file_that_is_too_large_is_said_and_not_applied(tmp_path: Path) -> None:
    write(tmp_path, {"mild.xml": XML, ".recipe-tools-ignore": b"*.xml\n" * MAX_BYTES})
    found = by_name(walk(tmp_path))
    refused = found[".recipe-tools-ignore"].refused
    assert refused is not None
    assert refused.rule == "file/too-large"
    assert "mild.xml" in found


def test_a_path_within_another_one_is_walked_once(tmp_path: Path) -> None:
    write(tmp_path, {"ales/mild.xml": XML, "b.xml": XML})
    found = walk(tmp_path, paths=(".", "ales", "ales/mild.xml", "./ales"))
    assert shown(found) == ["ales/mild.xml", "b.xml"]


@posix_only
def test_links_and_pipes(tmp_path: Path) -> None:
    outside, inside = tmp_path / "outside", tmp_path / "inside"
    write(outside, {"secret.xml": XML})
    write(inside, {"own.xml": XML})
    (inside / "leak.xml").symlink_to(outside / "secret.xml")
    (inside / "folder").symlink_to(outside)
    (inside / "gone.xml").symlink_to("nowhere")
    os.mkfifo(inside / "pipe")
    found = walk(inside)
    assert shown(found) == ["gone.xml", "leak.xml", "own.xml", "pipe"]
    assert found.other == 1


@posix_only
def test_what_links_lead_to_outside_is_not_read(run: Run, here: Path) -> None:
    write(here.parent / "outside", {"secret.xml": XML})
    write(here / "club", {"own.xml": XML})
    (here / "club" / "leak.xml").symlink_to(here.parent / "outside" / "secret.xml")
    done = run("audit", "club", "--format", "json")
    assert done.code == 3
    assert [item["rule"] for item in done.json["not_checked"]] == ["file/outside-root"]


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="the superuser may list all")
def test_a_folder_that_cannot_be_listed_is_said(tmp_path: Path) -> None:
    write(tmp_path, {"closed/mild.xml": XML, "open.xml": XML})
    (tmp_path / "closed").chmod(0)
    try:
        found = by_name(walk(tmp_path))
    finally:
        (tmp_path / "closed").chmod(0o755)
    assert found["closed"].refused is not None


def test_a_folder_without_recipes_is_an_incomplete_run(run: Run, here: Path) -> None:
    write(here / "empty", {"photo.jpg": b"\xff\xd8"})
    done = run("audit", "empty", "--format", "json")
    assert done.code == 3
    (failure,) = done.json["not_checked"]
    assert failure["rule"] == "file/no-recipes"
    assert "1 files of another kind" in failure["message"]


def test_each_folder_says_what_was_met_in_it(run: Run, here: Path) -> None:
    write(here / "photos", {"a.jpg": b"\xff\xd8", "b.jpg": b"\xff\xd8", "drawing.xml": b"<svg/>"})
    write(here / "club", {"mild.json": PLAIN, "photos/c.jpg": b"\xff\xd8"})
    (here / "empty").mkdir()
    for command in ("check", "audit"):
        done = run(command, "club", "club/photos", "empty", "photos", "--format", "json")
        assert done.code == 3
        whole = done.json["findings"] if command == "check" else done.json["not_checked"]
        assert [
            (item["path"], item["message"].partition("; ")[2])
            for item in whole
            if item["rule"] == "file/no-recipes"
        ] == [
            ("club/photos", "1 files of another kind were met."),
            ("empty", ""),
            ("photos", "3 files of another kind were met."),
        ]


@pytest.mark.parametrize("command", ["check", "audit"])
def test_a_file_that_is_named_is_read_wherever_it_lies(command: str, run: Run, here: Path) -> None:
    write(
        here / "club",
        {
            ".recipe-tools-ignore": b"drafts/\n",
            "drafts/mild.json": PLAIN,
            ".kept/mild.json": PLAIN,
            "notes.txt": b"mash in",
        },
    )
    named = ("club/drafts/mild.json", "club/.kept/mild.json", "club/notes.txt")
    for order in (("club", *named), (*named, "club")):
        files = run(command, *order, "--format", "json").json["files"]
        assert {(file["path"], file["status"]) for file in files} == {
            ("club/drafts/mild.json", "checked"),
            ("club/.kept/mild.json", "checked"),
            ("club/notes.txt", "not_checked"),
        }
        assert len(files) == 3


@posix_only
@pytest.mark.parametrize("command", ["check", "audit"])
def test_the_order_of_the_given_paths_changes_nothing(command: str, run: Run, here: Path) -> None:
    write(here / "club", {"mild.json": PLAIN, "ales/mild.json": PLAIN})
    (here / "club" / "ales" / "again.json").symlink_to("../mild.json")
    reports = {
        run(command, *order, "--format", "json").out
        for order in (("club", "club/ales"), ("club/ales", "club"), ("club/ales", "club", "club"))
    }
    assert len(reports) == 1
    names = [file["path"] for file in json.loads(reports.pop())["files"]]
    assert names == ["club/ales/again.json", "club/ales/mild.json", "club/mild.json"]


@pytest.mark.parametrize("command", ["check", "audit"])
def test_what_lies_below_the_current_folder_is_named_from_there(
    command: str, run: Run, here: Path
) -> None:
    write(here, {"mild.json": PLAIN})
    write(here.parent / "other", {"mild.json": PLAIN})
    files = run(command, "..", "--format", "json").json["files"]
    assert sorted(file["path"] for file in files) == ["../other/mild.json", "mild.json"]


def test_a_missing_path_is_said(run: Run, here: Path) -> None:
    done = run("audit", "nowhere", "--format", "json")
    assert done.code == 3
    assert [(item["path"], item["rule"]) for item in done.json["not_checked"]] == [
        ("nowhere", "file/not-opened")
    ]
