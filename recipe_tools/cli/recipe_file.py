"""One recipe file named on the command line: what holds for it, and its recipes."""

from __future__ import annotations

import functools
import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

import click

from recipe_tools.archive.discovery import shown
from recipe_tools.cli.output import say, wants_colour, write_file, write_out
from recipe_tools.cli.settings import Overrides, Settings, water_report
from recipe_tools.cli.shared import named_outputs
from recipe_tools.limits import DEFAULT_LIMITS
from recipe_tools.reports.ranking import plural
from recipe_tools.reports.terminal import Ink

if TYPE_CHECKING:
    from recipe_tools.archive.run_request import FileSettings
    from recipe_tools.config import Options
    from recipe_tools.formats.result import ReadResult
    from recipe_tools.recipe import FormatName, Recipe


Command = TypeVar("Command", bound=Callable[..., Any])

FORMATS = ("text", "json", "markdown", "html")


class Given(NamedTuple):
    """The options that commands on one recipe file share, as given on the command line."""

    water: str | None
    config: str | None
    no_config: bool
    no_readings: bool
    format_name: str
    outputs: tuple[tuple[str, Path], ...]
    color: str

    @property
    def ink(self) -> Ink:
        """Colour on standard output, where it is wanted."""
        return Ink(wants_colour(self.color))

    def settings_for(self, file: Path) -> FileSettings:
        """Return what holds for a file. Raises click.UsageError."""
        if self.config is not None and self.no_config:
            raise click.UsageError("--config and --no-config exclude each other.")
        current = Path.cwd()
        overrides = Overrides(
            config=None if self.config is None else Path(self.config),
            no_config=self.no_config,
            no_readings=self.no_readings,
            remembers=True,
            water=water_report(self.water),
            only=(),
            without=(),
            limits=DEFAULT_LIMITS,
            today=date.today(),
        )
        in_force = Settings(overrides, current)(current / file)
        return in_force._replace(options=in_force.options.for_path(in_force.path))

    def deliver(self, rendered: Callable[[str, Ink], str], what: str) -> bool:
        """Write an answer to files and standard output; False where a file could not be written.

        rendered: from the name of a format to its text. what: the answer in a word.
        """
        complete = True
        for name, path in self.outputs:
            try:
                write_file(path, rendered(name, Ink(False)), machine=name != "text")
            except OSError as error:
                say(f"The {name} {what} could not be written to {path}: {error.strerror}.")
                complete = False
        write_out(rendered(self.format_name, self.ink), machine=self.format_name != "text")
        return complete


def one_file_options(example: str, sheet: str) -> Callable[[Command], Command]:
    """Give a command the options of `Given`; it gets them as ``given``.

    example: of --output. sheet: what --format says of the answer.
    """
    options = (
        click.option("--water", type=click.Path(dir_okay=False), help="Water report (TOML)."),
        click.option("--config", type=click.Path(dir_okay=False), help="Use this configuration."),
        click.option("--no-config", is_flag=True, help="Use no recipe-tools.toml."),
        click.option("--no-readings", is_flag=True, help="Learn nothing from kept readings."),
        click.option(
            "--format",
            "format_name",
            type=click.Choice(FORMATS),
            default="text",
            show_default=True,
            help=sheet,
        ),
        click.option(
            "--output",
            "outputs",
            multiple=True,
            metavar="NAME=FILE",
            callback=named_outputs(FORMATS, example),
            help="Write it to a file as well; may be repeated.",
        ),
        click.option(
            "--color",
            type=click.Choice(("auto", "always", "never")),
            default="auto",
            show_default=True,
            help="Colour in the text.",
        ),
    )

    def give(command: Command) -> Command:
        @functools.wraps(command)
        def with_options(**values: Any) -> Any:
            given = Given(**{name: values.pop(name) for name in Given._fields})
            return command(given=given, **values)

        wrapped: Any = with_options
        for option in reversed(options):
            wrapped = option(wrapped)
        return wrapped  # type: ignore[no-any-return]

    return give


@dataclass(frozen=True, slots=True)
class RecipeFile:
    """A recipe file that was read."""

    path: Path
    shown: str
    data: bytes
    format: FormatName
    result: ReadResult

    @classmethod
    def read(cls, file: Path, options: Options) -> RecipeFile | None:
        """Read a file; None where no recipe can be had from it, which has been said."""
        from recipe_tools.checking.file_bytes import bytes_of
        from recipe_tools.findings import Finding
        from recipe_tools.formats import read
        from recipe_tools.recipe import SourceFile

        current = Path.cwd()
        name = shown(os.path.normpath(current / file), current, absolute=file.is_absolute())
        data = bytes_of(file, options.limits.max_bytes, file.parent)
        if isinstance(data, Finding):
            say(f"{name}: {data.message}")
            return None
        result = read(SourceFile(name, data), options.limits)
        if result.status != "checked":
            for item in result.findings:
                if item.rule.startswith("file/"):
                    say(f"{name}: {item.message}")
        if result.status == "checked" and not result.recipes:
            say(f"{name}: it holds no recipe, only other records.")
            return None
        if result.format is None or not result.recipes:
            say(f"{name}: no recipe could be read; `recipe-tools check` says why.")
            return None
        return cls(file, name, data, result.format, result)


def chosen(recipes: Sequence[Recipe], wanted: str | None) -> Sequence[Recipe]:
    """Return the recipes of a file that were asked for, by place from 1 or by name.

    Raises click.UsageError where none is meant.
    """
    if wanted is None:
        return recipes
    if wanted.isdigit() and 1 <= int(wanted) <= len(recipes):
        return [recipes[int(wanted) - 1]]
    named = [item for item in recipes if item.name.strip().casefold() == wanted.strip().casefold()]
    if not named:
        count = plural(len(recipes), "recipe")
        raise click.UsageError(f"The file has {count}; none has the number or name {wanted!r}.")
    return named
