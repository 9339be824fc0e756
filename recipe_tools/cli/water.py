"""``recipe-tools water``: read a water report, check it, and answer what to do with the water."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from recipe_tools.archive.discovery import shown
from recipe_tools.checking.checklist import catalogue
from recipe_tools.cli.manual import Manual
from recipe_tools.cli.output import (
    CLEAN,
    FOUND,
    INCOMPLETE,
    say,
    wants_colour,
    write_out,
)
from recipe_tools.cli.shared import FAIL_ON
from recipe_tools.config import ConfigError, Options, find_config, load_config
from recipe_tools.findings import Severity, severity_from_word
from recipe_tools.reports.terminal import Ink, visible

if TYPE_CHECKING:
    from recipe_tools.water_advice.sheet import WaterSheet
    from recipe_tools.water_report import WaterReport
    from recipe_tools.water_report.pasted import Pasted

LOWEST_PH, HIGHEST_PH = 4.5, 9.0

FORM = """\
# A water report for `recipe-tools water FILE` and `recipe-tools check --water FILE`.
# Copy each figure with its unit and basis as the paper prints it; what stays empty is not stated.
# A span is written as "80 - 110 mg/L", a figure below detection as "< 0.05 mg/L", one that is not
# exact as "about 60 mg/L"; calcium_min, calcium_mean and calcium_max stand for columns of a table.
# Names as the paper prints them are read in many languages; those with blanks, accents or points
# need quotes: "Säurekapazität" = "... mmol/L".

name = ""                # of the water, such as the zone of the works
source = ""              # who analysed it, and where that can be read
date = ""                # of the sample, or the year
kind = ""                # "average" for the figures of a year, "sample" for one bottle

calcium = ""             # mg/L
magnesium = ""           # mg/L
sodium = ""              # mg/L
potassium = ""           # mg/L
chloride = ""            # mg/L
sulfate = ""             # mg/L, or "... mg/L as SO4-S"
nitrate = ""             # mg/L, or "... mg/L as NO3-N"
alkalinity = ""          # "... mg/L as CaCO3", "... mmol/L" (acid capacity) or "... °dH"
bicarbonate = ""         # mg/L; where alkalinity is not stated
ph = ""

chlorine = ""            # mg/L as Cl2
# chloramine = true      # where the works adds ammonia
total_hardness = ""      # "... °dH" or "... mg/L as CaCO3"
conductivity = ""        # "... µS/cm" at 25 °C, or say conductivity_temperature = "20 °C"
total_dissolved_solids = ""  # mg/L
iron = ""                # "< ... mg/L"
# end_point_ph = 4.3     # of the titration of alkalinity; often 4.5
"""


def _volume(ctx: click.Context, param: click.Parameter, value: str | None) -> float | None:
    from recipe_tools.quantities import VOLUME, QuantityError, amount

    del ctx
    if value is None:
        return None
    try:
        litres = amount(value, VOLUME)
    except QuantityError as error:
        raise click.BadParameter(f"it {error}", param=param) from None
    if not 0.0 < litres <= 100_000.0:
        raise click.BadParameter("it is not between 0 and 100,000 L", param=param)
    return litres


def _to_ph(ctx: click.Context, param: click.Parameter, value: str | None) -> float | None:
    from recipe_tools.quantities import QuantityError, number

    del ctx
    if value is None:
        return None
    try:
        ph = number(value)
    except QuantityError as error:
        raise click.BadParameter(f"it {error}", param=param) from None
    if not LOWEST_PH <= ph <= HIGHEST_PH:
        raise click.BadParameter(f"it is not between {LOWEST_PH} and {HIGHEST_PH}", param=param)
    return ph


def _alkalinity(ctx: click.Context, param: click.Parameter, value: str | None) -> float | None:
    from recipe_tools.quantities import QuantityError
    from recipe_tools.water_report.units import alkalinity

    del ctx
    if value is None:
        return None
    try:
        return alkalinity(value).value.best
    except QuantityError as error:
        raise click.BadParameter(f"it {error}", param=param) from None


def _example(ctx: click.Context, param: click.Parameter, value: bool) -> None:
    del param
    if value and not ctx.resilient_parsing:
        write_out(FORM, machine=True)
        ctx.exit(CLEAN)


@click.command("water", cls=Manual)
@click.argument("file", metavar="FILE", type=click.Path())
@click.option(
    "--example",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_example,
    help="Print an empty form to fill in.",
)
@click.option("--volume", callback=_volume, metavar="V", help='Water to treat, such as "30 L".')
@click.option("--to-ph", callback=_to_ph, metavar="P", help="Acid that brings the water to a pH.")
@click.option(
    "--to-alkalinity",
    callback=_alkalinity,
    metavar="A",
    help='Pure water for an alkalinity, such as "25 mg/L as CaCO3".',
)
@click.option("--boiled", is_flag=True, help="What boiling beforehand leaves of it.")
@click.option("--lime", is_flag=True, help="What slaked lime leaves of it, and how much it takes.")
@click.option("--write", metavar="OUT", type=click.Path(), help="Keep a copied table as TOML.")
@click.option("--config", type=click.Path(dir_okay=False), help="Use this configuration.")
@click.option("--no-config", is_flag=True, help="Use no recipe-tools.toml.")
@click.option(
    "--format",
    "format_name",
    type=click.Choice(("text", "json")),
    default="text",
    show_default=True,
    help="Form of the answer.",
)
@click.option(
    "--fail-on",
    type=click.Choice(FAIL_ON),
    default="warning",
    show_default=True,
    help="Least severity that gives exit code 1.",
)
@click.option(
    "--color",
    type=click.Choice(("auto", "always", "never")),
    default="auto",
    show_default=True,
    help="Colour in the text.",
)
def command(
    file: str,
    volume: float | None,
    to_ph: float | None,
    to_alkalinity: float | None,
    boiled: bool,
    lime: bool,
    write: str | None,
    config: str | None,
    no_config: bool,
    format_name: str,
    fail_on: str,
    color: str,
) -> int:
    """Read a water report, convert its units and check it.

    FILE is a form that was filled in (`--example` prints one), or a text or CSV file with the table
    as copied from a PDF or web page: a name, figures and a unit in each line. What was made of each
    line is said, and `--write tap.toml` keeps it for `--water`; nothing is ever written over.

    Says whether its ions balance, which limits of drinking water it passes, and how much sulfite
    takes out its chlorine; on request, acid to a pH, pure water for an alkalinity, and what boiling
    or slaked lime leaves.
    """
    from recipe_tools.water_advice.sheet import water_sheet

    if boiled and lime:
        raise click.UsageError("--boiled and --lime are two treatments: choose one.")
    read = _read(file)
    if read is None:
        return INCOMPLETE
    report, pasted = read
    if write is not None:
        _keep(pasted, file, write)
    sheet = water_sheet(
        report,
        volume_l=volume,
        to_ph=to_ph,
        to_alkalinity_meq_l=to_alkalinity,
        treatment="boiled" if boiled else "lime" if lime else None,
        options=Options() if no_config else _options(file, config),
    )
    text = _rendered(sheet, pasted, format_name, color)
    write_out(text, machine=format_name == "json")
    return _code(sheet, fail_on)


def _read(file: str) -> tuple[WaterReport, Pasted | None] | None:
    """Read the report, and what became of each line where it is no TOML.

    None where the file cannot be read, which has been said. Raises click.UsageError for a file with
    wrong contents.
    """
    from recipe_tools.toml_in import TomlError, parse_toml, read_regular_file
    from recipe_tools.water_report import ReportError, report_from_bytes
    from recipe_tools.water_report.pasted import read_pasted

    try:
        data = read_regular_file(Path(file))
    except TomlError as error:
        say(f"{file}: {error}")
        return None
    try:
        if Path(file).suffix.casefold() != ".toml":
            try:
                parse_toml(data)
            except TomlError:
                pasted = read_pasted(data)
                return pasted.report, pasted
        return report_from_bytes(data), None
    except ReportError as error:
        raise click.UsageError(visible(f"{file}: {error}")) from None


def _keep(pasted: Pasted | None, file: str, out: str) -> None:
    """Write a copied table as TOML. Raises click.UsageError where there is nothing to write."""
    from recipe_tools.editing.writing import NotWrittenError, new_file
    from recipe_tools.water_report.writing import as_toml

    if pasted is None:
        raise click.UsageError(visible(f"{file} is a report in TOML already; --water reads it"))
    path = Path(out)
    if path.suffix.casefold() != ".toml":
        raise click.UsageError(visible(f"--write {out}: --water reads names in .toml only"))
    heading = f"Read by recipe-tools from {visible(Path(file).name)}; see that nothing is missing."
    try:
        new_file(path, as_toml(pasted.table, heading), root=path.parent)
    except NotWrittenError as error:
        raise click.UsageError(visible(f"{out} was not written: {error}")) from None
    say(f"{out} written; brew with it: recipe-tools check my-recipe.xml --water {out}")


def _options(file: str, config: str | None) -> Options:
    """Return the options of the configuration. Raises click.UsageError for one that is wrong."""
    path = find_config(Path(file)) if config is None else Path(config)
    if path is None:
        return Options()
    name = config or shown(str(path), Path.cwd(), absolute=False)
    try:
        return load_config(path, known_rules=catalogue(), shown_as=name)
    except ConfigError as error:
        raise click.UsageError(visible(str(error))) from None


def _rendered(sheet: WaterSheet, pasted: Pasted | None, format_name: str, color: str) -> str:
    if format_name == "json":
        from recipe_tools.reports import water_json

        return water_json.render(sheet, pasted)
    from recipe_tools.reports import water_text

    return water_text.render(sheet, Ink(wants_colour(color)), pasted)


def _code(sheet: WaterSheet, fail_on: str) -> int:
    if fail_on == "never":
        return CLEAN
    least = severity_from_word(fail_on)
    found = any((item.severity or Severity.ERROR) >= least for item in sheet.findings)
    return FOUND if found else CLEAN
