"""``recipe-tools dose``: what to weigh so that water and mash suit the beer."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from recipe_tools.archive.discovery import shown
from recipe_tools.cli.manual import Manual
from recipe_tools.cli.output import (
    CLEAN,
    FOUND,
    INCOMPLETE,
    libraries_silenced,
    say,
    wants_colour,
    write_file,
    write_out,
)
from recipe_tools.cli.settings import Overrides, Settings, water_report
from recipe_tools.judgement.mash import WINDOW_PH
from recipe_tools.limits import DEFAULT_LIMITS
from recipe_tools.reports.ranking import plural
from recipe_tools.reports.terminal import Ink

if TYPE_CHECKING:
    from recipe_tools.config import Options
    from recipe_tools.dosing import Proposal, Request
    from recipe_tools.formats.result import ReadResult
    from recipe_tools.recipe import FormatName, Recipe

FORMATS = ("text", "json", "markdown", "html")
_SPLITS: Mapping[str, str] = {"by-volume": "by_volume", "mash": "mash"}


def _outputs(
    ctx: click.Context, param: click.Parameter, values: tuple[str, ...]
) -> tuple[tuple[str, Path], ...]:
    del ctx
    result = []
    for value in values:
        name, equals, file = value.partition("=")
        if not equals or not file:
            raise click.BadParameter("write it as NAME=FILE, such as json=plan.json", param=param)
        if name not in FORMATS:
            known = ", ".join(FORMATS)
            raise click.BadParameter(f"there is no format {name!r}; there are {known}", param=param)
        result.append((name, Path(file)))
    return tuple(result)


@dataclass(frozen=True, slots=True)
class Destination:
    """Where a plan is written to: a file of its own, or the recipe file itself."""

    path: Path | None
    in_place: bool


@click.command("dose", cls=Manual)
@click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
@click.option(
    "--recipe",
    "wanted",
    metavar="N|NAME",
    help="Only this recipe of the file, by its place from 1 or its name.",
)
@click.option(
    "--target-ph",
    type=click.FloatRange(*WINDOW_PH),
    metavar="P",
    help="Mash pH to aim at; else as the recipe states it, or 5.4.",
)
@click.option(
    "--replace",
    is_flag=True,
    help="Plan as if the recipe added no salts, acid or sulfite of its own.",
)
@click.option(
    "--split",
    type=click.Choice(tuple(_SPLITS)),
    help="Salts into mash and sparge by volume (BeerJSON), or all into the mash (BeerXML).",
)
@click.option("--no-dilution", is_flag=True, help="Leave pure water on the shelf.")
@click.option("--water", type=click.Path(dir_okay=False), help="Water report (TOML).")
@click.option("--config", type=click.Path(dir_okay=False), help="Use this configuration.")
@click.option("--no-config", is_flag=True, help="Use no recipe-tools.toml.")
@click.option(
    "--format",
    "format_name",
    type=click.Choice(FORMATS),
    default="text",
    show_default=True,
    help="Plan on standard output; markdown is a sheet to print.",
)
@click.option(
    "--output",
    "outputs",
    multiple=True,
    metavar="NAME=FILE",
    callback=_outputs,
    help="Write the plan to a file as well; may be repeated.",
)
@click.option(
    "--color",
    type=click.Choice(("auto", "always", "never")),
    default="auto",
    show_default=True,
    help="Colour in the text.",
)
@click.option("--apply", "applies", is_flag=True, help="Write the plan into the recipe file.")
@click.option(
    "--output-file",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="With --apply: the copy to write.",
)
@click.option("--in-place", is_flag=True, help="With --apply: write into the file itself.")
def command(
    file: Path,
    wanted: str | None,
    target_ph: float | None,
    replace: bool,
    split: str | None,
    no_dilution: bool,
    water: str | None,
    config: str | None,
    no_config: bool,
    format_name: str,
    outputs: tuple[tuple[str, Path], ...],
    color: str,
    applies: bool,
    output_file: Path | None,
    in_place: bool,
) -> int:
    """Propose salts, acid or base, sulfite and dilution for the recipes of a file.

    What is on the shelf stands in recipe-tools.toml. Exit code 1 where a recipe has no plan that
    meets everything.
    """
    destination = _destination(applies, output_file, in_place)
    options = _options(file, water, config, no_config)
    source = _Source.read(file, options)
    if source is None:
        return INCOMPLETE
    recipes = _chosen(source.result.recipes, wanted)
    request = _request(target_ph, replace, split, no_dilution, source.format)
    proposals = _proposals(recipes, options, request)
    _say_of_water(proposals, options)
    complete = source.result.status == "checked"
    complete &= _written(outputs, proposals, source.shown)
    if destination is not None:
        complete &= _applied(source, proposals, options, destination)
    text = _rendered(format_name, proposals, source.shown, Ink(wants_colour(color)))
    write_out(text, machine=format_name != "text")
    if not complete:
        return INCOMPLETE
    met = all(item.feasible and not item.missing for item in proposals)
    return CLEAN if met else FOUND


def _say_of_water(proposals: Sequence[Proposal], options: Options) -> None:
    """Say what is wrong with the water the plans start from, each thing once."""
    from recipe_tools.checking import check_water
    from recipe_tools.findings import Severity
    from recipe_tools.rules.water.stated import stated_waters

    found = (
        item
        for proposal in proposals
        for water in stated_waters(proposal.before)
        for item in check_water(water.report, options)
    )
    lines = (
        f"{item.severity.word}: {item.message} ({item.rule})."
        for item in found
        if item.severity is not None and item.severity >= Severity.WARNING
    )
    for line in dict.fromkeys(lines):
        say(line)


def _destination(applies: bool, output_file: Path | None, in_place: bool) -> Destination | None:
    if not applies:
        if output_file is not None or in_place:
            raise click.UsageError("--output-file and --in-place need --apply.")
        return None
    if (output_file is None) == (not in_place):
        raise click.UsageError("--apply needs either --output-file FILE or --in-place.")
    return Destination(output_file, in_place)


def _options(file: Path, water: str | None, config: str | None, no_config: bool) -> Options:
    if config is not None and no_config:
        raise click.UsageError("--config and --no-config exclude each other.")
    current = Path.cwd()
    overrides = Overrides(
        config=None if config is None else Path(config),
        no_config=no_config,
        water=water_report(water),
        only=(),
        without=(),
        limits=DEFAULT_LIMITS,
        today=date.today(),
    )
    settled = Settings(overrides, current)(current / file)
    return settled.options.for_path(settled.path)


@dataclass(frozen=True, slots=True)
class _Source:
    """A recipe file that was read."""

    path: Path
    shown: str
    data: bytes
    format: FormatName
    result: ReadResult

    @classmethod
    def read(cls, file: Path, options: Options) -> _Source | None:
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
        if result.format is None or not result.recipes:
            say(f"{name}: no recipe could be read; `recipe-tools check` says why.")
            return None
        return cls(file, name, data, result.format, result)


def _chosen(recipes: Sequence[Recipe], wanted: str | None) -> Sequence[Recipe]:
    if wanted is None:
        return recipes
    if wanted.isdigit() and 1 <= int(wanted) <= len(recipes):
        return [recipes[int(wanted) - 1]]
    named = [item for item in recipes if item.name.strip().casefold() == wanted.strip().casefold()]
    if not named:
        count = plural(len(recipes), "recipe")
        raise click.UsageError(f"The file has {count}; none has the number or name {wanted!r}.")
    return named


def _request(
    target_ph: float | None,
    replace: bool,
    split: str | None,
    no_dilution: bool,
    format_name: FormatName,
) -> Request:
    from recipe_tools.dosing import Request

    # BeerXML states the sparge by lines of the notes alone: salts go where a record holds them.
    chosen = split or ("mash" if format_name == "beerxml" else "by-volume")
    return Request(
        target_ph=target_ph,
        replace=replace,
        split="mash" if chosen == "mash" else "by_volume",
        dilution=not no_dilution,
    )


def _proposals(
    recipes: Sequence[Recipe], options: Options, request: Request
) -> tuple[Proposal, ...]:
    from recipe_tools.dosing import propose

    with libraries_silenced():
        return tuple(propose(recipe, options, request) for recipe in recipes)


def _rendered(name: str, proposals: Sequence[Proposal], shown: str, ink: Ink) -> str:
    if name == "json":
        from recipe_tools.reports import dose_json

        return dose_json.render(proposals, shown)
    if name == "markdown":
        from recipe_tools.reports import brew_sheet

        return brew_sheet.render(proposals, shown)
    if name == "html":
        from recipe_tools.reports import dose_html

        return dose_html.render(proposals, shown)
    from recipe_tools.reports import dose_text

    return dose_text.render(proposals, shown, ink)


def _written(
    outputs: Sequence[tuple[str, Path]], proposals: Sequence[Proposal], shown: str
) -> bool:
    """Write the plans to files; False where one could not be written, which has been said."""
    complete = True
    for name, path in outputs:
        try:
            plan = _rendered(name, proposals, shown, Ink(False))
            write_file(path, plan, machine=name != "text")
        except OSError as error:
            say(f"The {name} plan could not be written to {path}: {error.strerror}.")
            complete = False
    return complete


def _applied(
    source: _Source, proposals: Sequence[Proposal], options: Options, destination: Destination
) -> bool:
    """Write the plans into a copy; False where that was not done, which has been said."""
    from recipe_tools.applying import apply_plans
    from recipe_tools.editing import EditError
    from recipe_tools.editing.writing import NotWrittenError, create_file, replace_file

    if all(item.planned is None for item in proposals):
        say(f"{source.shown}: nothing was written, there is no plan.")
        return True
    try:
        applied = apply_plans(source.data, source.format, proposals, options)
        if destination.path is None:
            root = source.path.parent
            replace_file(source.path, applied.data, read=source.data, root=root)
            place = source.shown
        else:
            target = destination.path
            create_file(source.path, applied.data, target.parent, Path(target.name))
            place = target.as_posix()
    except (EditError, NotWrittenError) as error:
        say(f"{source.shown}: nothing was written: {error}.")
        return False
    say(f"{place}: written with {applied.recipes} of {len(proposals)} plans.")
    for item in proposals:
        if item.swap is not None:
            grams, malt = 1000.0 * item.swap.kilograms, item.swap.malt
            say(f"{place}: {grams:.0f} g of acidulated malt in place of as much {malt}")
    for line in applied.in_notes:
        say(f"{place}: in the notes, since the file has no place for it: {line}")
    return True
