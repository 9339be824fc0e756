"""Files written anew: found on the command line, changed one by one, put where they belong."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Generic, NamedTuple, Protocol, TypeVar

import click

from recipe_tools.annotate.differences import unified
from recipe_tools.archive.walk import Discovery, Found, discover, without_any
from recipe_tools.checking.file_bytes import bytes_of
from recipe_tools.checking.judging import FileRequest
from recipe_tools.cli import failure
from recipe_tools.cli.running import baseline_paths, overrides
from recipe_tools.cli.settings import Settings, baseline_file
from recipe_tools.cli.shared import RunOptions
from recipe_tools.config import Options
from recipe_tools.editing.writing import NotWrittenError, create_file, replace_file
from recipe_tools.findings import Finding
from recipe_tools.recipe import FormatName


class Rewritten(Protocol):
    """What became of the bytes of a file.

    status: ``unchanged``, ``skipped``, ``refused`` (problem then says why, line where) or a word of
    the command's own for changed. recipes: symbolic paths.
    """

    @property
    def status(self) -> str: ...
    @property
    def data(self) -> bytes: ...
    @property
    def format(self) -> FormatName | None: ...
    @property
    def recipes(self) -> tuple[str, ...]: ...
    @property
    def problem(self) -> str: ...
    @property
    def line(self) -> int | None: ...


Result = TypeVar("Result", bound=Rewritten)

Rewrite = Callable[[bytes, str, Options, FileRequest], Result]
"""Takes the bytes of a file, its path as it is shown, and how it is to be checked."""


class Destination(NamedTuple):
    """Where files are written to, and what is shown of them. diff: what changes in each."""

    in_place: bool
    output_dir: Path | None
    diff: bool

    @property
    def writes(self) -> bool:
        """True where files are written."""
        return self.in_place or self.output_dir is not None

    @classmethod
    def given(cls, in_place: bool, output_dir: Path | None, diff: bool, check: bool) -> Destination:
        """Return what the options of a command ask for. Raises click.UsageError."""
        if in_place and output_dir is not None:
            raise click.UsageError("--in-place and --output-dir exclude each other.")
        if check and (in_place or output_dir is not None):
            raise click.UsageError("--check writes nothing: leave --in-place and --output-dir out.")
        return cls(in_place, output_dir, diff or not (in_place or output_dir is not None or check))


class Delivered(NamedTuple, Generic[Result]):
    """What became of one file. result: None where its bytes could not be had.

    output: where it was written to, empty where it was not.
    """

    path: str
    status: str
    problem: str = ""
    line: int | None = None
    result: Result | None = None
    output: str = ""
    diff: str = ""


def rewritten_files(
    paths: Sequence[str], to: Destination, given: RunOptions, rewrite: Rewrite[Result], doing: str
) -> list[Delivered[Result]]:
    """Write files and folders anew, each by itself. doing: the word for it in a message.

    Raises click.UsageError for wrong use before anything is written.
    """
    current = Path.cwd()
    # All findings of a file are looked at, however many others of the file have the same rule.
    unlimited = given._replace(limits=replace(given.limits, max_findings_per_rule=10**9))
    settings = Settings(overrides(unlimited, current), current)
    discovery = _without_output(discover(paths, current), to)
    accepted = baseline_file(given.baseline)
    if given.baseline is not None:
        accepted = baseline_paths(given.baseline, discovery, accepted, given).for_run(accepted)
    outcomes: list[Delivered[Result]] = []
    for target in discovery.files:
        in_force = settings(Path(target.path))
        options = in_force.options
        if options.paths:
            options = options.for_path(in_force.path)
        request = FileRequest(
            confidence=given.confidence,
            accepted=accepted.accepted(target.shown),
            config_path=in_force.path,
            named=target.named,
        )
        data = target.refused or bytes_of(target.path, options.limits.max_bytes, target.root)
        if isinstance(data, Finding):
            problem = data.message[0].lower() + data.message[1:].removesuffix(".")
            outcomes.append(Delivered(target.shown, "refused", problem))
            continue
        try:
            result = rewrite(data, target.shown, options, request)
        except Exception as error:  # a fault of ours in one file must not end the run
            problem = f"it could not be {doing}: {failure(error)}; please report it"
            outcomes.append(Delivered(target.shown, "refused", problem))
            continue
        outcomes.append(_delivered(target, data, result, to, current))
    return [*outcomes, *_not_reached(discovery, outcomes)]


def _without_output(discovery: Discovery, to: Destination) -> Discovery:
    """Leave out what earlier runs wrote, where the output folder lies in a folder given."""
    if to.output_dir is None:
        return discovery
    output = to.output_dir.resolve()
    files = tuple(
        file
        for file in discovery.files
        if file.named
        or not Path(file.path).is_relative_to(output)
        or Path(file.root).is_relative_to(output)
    )
    return discovery._replace(files=files)


def _not_reached(
    discovery: Discovery, outcomes: Sequence[Delivered[Result]]
) -> Iterator[Delivered[Result]]:
    read = {
        file.given
        for file, item in zip(discovery.files, outcomes, strict=True)
        if item.status != "skipped" and file.refused is None
    }
    for folder in without_any(discovery.folders, read):
        yield Delivered(folder.shown, "refused", "no recipe was found in this folder")


def _delivered(
    target: Found, data: bytes, result: Result, to: Destination, current: Path
) -> Delivered[Result]:
    """Write the result where it belongs, and say what became of the file."""
    outcome = Delivered(target.shown, result.status, result.problem, result.line, result)
    if result.status in ("refused", "skipped"):
        return outcome
    if to.diff and result.format is not None:
        difference = unified(data, result.data, result.format, target.shown, result.recipes)
        outcome = outcome._replace(diff=difference)
    try:
        return outcome._replace(output=_written(target, data, result, to, current))
    except NotWrittenError as error:
        return outcome._replace(status="refused", problem=str(error))


def _written(target: Found, data: bytes, result: Rewritten, to: Destination, current: Path) -> str:
    if to.in_place and result.data != data:
        replace_file(Path(target.path), result.data, read=data, root=Path(target.root))
        return target.shown
    if to.output_dir is not None:
        place = _place(target, current)
        create_file(Path(target.path), result.data, to.output_dir, place)
        return (to.output_dir / place).as_posix()
    return ""


def _place(target: Found, current: Path) -> Path:
    """Return the path of a file in the output folder.

    As it lies below the current folder, else below the folder given, under that folder's name.
    """
    path, root = Path(target.path), Path(target.root)
    if path.is_relative_to(current):
        return path.relative_to(current)
    return Path(root.name) / path.relative_to(root)
