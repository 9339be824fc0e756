"""``recipe-tools dose``: what to weigh so that water and mash suit the beer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from recipe_tools.cli.manual import Manual
from recipe_tools.cli.output import (
    CLEAN,
    FOUND,
    INCOMPLETE,
    libraries_silenced,
    say,
)
from recipe_tools.cli.recipe_file import Given, RecipeFile, chosen, one_file_options
from recipe_tools.judgement.mash import WINDOW_PH
from recipe_tools.reports.terminal import Ink

if TYPE_CHECKING:
    from recipe_tools.config import Options
    from recipe_tools.dosing import Proposal, Request
    from recipe_tools.recipe import FormatName, Recipe

_SPLITS: Mapping[str, str] = {"by-volume": "by_volume", "mash": "mash"}


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
@one_file_options("json=plan.json", "Plan on standard output; markdown is a sheet to print.")
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
    applies: bool,
    output_file: Path | None,
    in_place: bool,
    given: Given,
) -> int:
    """Propose salts, acid or base, sulfite and dilution for the recipes of a file.

    What is on the shelf stands in recipe-tools.toml. Exit code 1 where a recipe has no plan that
    meets everything.
    """
    destination = _destination(applies, output_file, in_place)
    options = given.settings_for(file).options
    source = RecipeFile.read(file, options)
    if source is None:
        return INCOMPLETE
    recipes = chosen(source.result.recipes, wanted)
    request = _request(target_ph, replace, split, no_dilution, source.format)
    proposals = _proposals(recipes, options, request)
    _say_of_water(proposals, options)
    complete = source.result.status == "checked"
    if destination is not None:
        complete &= _applied(source, proposals, options, destination)
    complete &= given.deliver(
        lambda name, ink: _rendered(name, proposals, source.shown, ink), "plan"
    )
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


def _applied(
    source: RecipeFile, proposals: Sequence[Proposal], options: Options, destination: Destination
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
