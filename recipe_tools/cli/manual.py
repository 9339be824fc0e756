"""How help is laid out: options by what they are for, examples, and exit codes at the end."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import click

Example = tuple[str, str]

SECTIONS: Mapping[str, Sequence[str]] = {
    "What counts": (
        "fail_on",
        "confidence",
        "only",
        "without",
        "baseline",
        "changed_since",
        "exclude",
        "against",
        "today",
    ),
    "Water and brewery": ("water", "config", "no_config", "no_readings"),
    "Report": ("format_name", "summary_format", "outputs", "color", "verbose"),
    "Run": ("jobs", "no_cache"),
    "Limits": (
        "max_bytes",
        "max_depth",
        "max_recipes",
        "max_additions",
        "zip_members",
        "zip_bytes",
        "zip_ratio",
    ),
}
"""Heading -> parameters shown below it; those of a command alone stand in front of all."""

EXAMPLES: Mapping[str, Sequence[Example]] = {
    "": (
        ("check my-recipe.xml", "Check one recipe."),
        ("water report.txt --write tap.toml", "Read what the water works prints; keep it."),
        ("check my-recipe.xml --water tap.toml", "Check it with the water from the tap."),
        ("explain mash-ph/above-range", "Ask why a finding matters."),
    ),
    "check": (
        ("check my-recipe.xml", "Check one recipe."),
        ("check recipes/ --water tap.toml", "Check a folder with the water of a report."),
        ("check recipes/ --only ions,mash-ph", "Look at ions and mash pH only."),
        (
            "check hops.json --only standard,file",
            "Hold a file to its standard, and to nothing else.",
        ),
        ("check recipe.json --verbose", "See all that was supposed and can be changed."),
        ("check recipes/ --output html=report.html", "Write a page to look at as well."),
        (
            "check recipes/ --changed-since origin/main --format github",
            "Annotate the recipes a pull request changes.",
        ),
        ("check - --stdin-name ales/mild.xml < mild.xml", "Check what an editor holds."),
    ),
    "audit": (
        ("audit archive/", "Sum up a whole archive."),
        ("audit recipes.zip --output html=archive.html", "Go through a zip archive; write a page."),
        ("audit archive/ --format json --fail-on never > before.json", "Keep the results."),
        (
            "audit archive/ --water new-tap.toml --against before.json --doses",
            "Find the recipes that a new city water breaks, and what would repair them.",
        ),
    ),
    "compare": (
        ("compare stout.xml stout-2.xml", "See what another version does to water and mash."),
        (
            "compare ale.xml ale.xml --water-old tap.toml --water-new new.toml",
            "See what another water does to a recipe.",
        ),
    ),
    "dose": (
        ("dose my-recipe.xml", "Propose what to weigh."),
        ("dose my-recipe.xml --water tap.toml --target-ph 5.35", "Aim at another mash pH."),
        ("dose my-recipe.xml --format markdown > brew-day.md", "Write a sheet for the brew day."),
        (
            "dose my-recipe.xml --replace --apply --output-file dosed.xml",
            "Write the doses into a copy in place of the salts it has.",
        ),
    ),
    "annotate": (
        ("annotate my-recipe.xml", "See what would be written, and write nothing."),
        ("annotate recipes/ --in-place", "Write the results into the notes of all recipes."),
        ("annotate recipes/ --check", "Fail where a note is out of date."),
        ("annotate recipes/ --check --all", "Fail also where a recipe has no such note."),
        ("annotate recipes/ --remove --in-place", "Take the notes out again."),
    ),
    "convert": (
        (
            "convert ale.xml --to beerjson --output-file ale.json",
            "Write it as BeerJSON; the list says what has no place there.",
        ),
        ("convert ale.json --to beerxml > ale.xml", "The same the other way round."),
        ("convert ale.xml --to beerjson --format json", "See the list alone."),
        (
            'convert ale.xml --to beerjson --set "step_time=20 min" > ale.json',
            "State what the file does not say.",
        ),
    ),
    "tidy": (
        ("tidy my-recipe.xml", "See what would be written, and write nothing."),
        ("tidy recipes/ --in-place", "Write all recipes as their standard asks."),
        ("tidy recipes/ --check", "Fail where a file departs from its standard."),
        ("tidy my-recipe.xml --meant", "Also change 4 kg of gypsum to the 4 g that are meant."),
        ("tidy recipes/ --only standard/decimal-comma --in-place", "Mend decimal commas alone."),
    ),
    "start": (
        ("start", "Answer the questions, in a terminal."),
        ("start --answers answers.txt", "Take the answers from a file."),
    ),
    "water": (
        ("water report.txt --write tap.toml", "Read a table as it was copied; keep it."),
        ("water --example > tap.toml", "Get an empty form to fill in."),
        ("water tap.toml", "Convert its units, check its ions and limits."),
        (
            'water tap.toml --volume "30 L" --to-ph 5.5',
            "Ask for the sulfite and the acid for a kettle of water.",
        ),
        (
            'water tap.toml --to-alkalinity "25 mg/L as CaCO3"',
            "Ask how much pure water to blend in.",
        ),
    ),
    "explain": (
        ("explain mash-ph/above-range", "Why a rule exists, its sources and options."),
        ("explain ions", "All rules of a topic."),
        ("explain model", "What the prediction of the mash pH is worth."),
        ("explain exit-codes", "What a script can rely on."),
    ),
    "reading": (
        ("reading my-recipe.xml --ph 5.68 --minutes 10", "Ask what to add now."),
        (
            'reading my-recipe.xml --ph 5.55 --added "3 mL lactic acid 80 %"',
            "Read again after what was added.",
        ),
        ("reading my-recipe.xml --ph 5.52 --keep", "Remember it: later predictions learn from it."),
        ("reading --list", "See what was learnt, and how well the last ones were predicted."),
    ),
    "rules": (
        ("rules", "List all rules."),
        ("rules --format json", "Everything about each, for a program."),
    ),
    "baseline": (
        ("baseline write recipes/", "Accept what there is."),
        (
            "check recipes/ --baseline recipe-tools-baseline.json",
            "Report only what is new since.",
        ),
        ("baseline prune recipes/", "Forget what has been repaired."),
    ),
    "baseline write": (
        ("baseline write recipes/", "Accept what there is, but no new errors later on."),
        ("baseline write recipes/ --accept", "Accept new errors, too."),
    ),
    "baseline prune": (("baseline prune recipes/", "Forget what has been repaired."),),
    "cache": (("cache clear", "Start the next audit from nothing."),),
    "cache clear": (("cache clear", "Start the next audit from nothing."),),
}
"""Command -> command lines behind the program's name, and what each does."""

SEE_ALSO = "Exit codes: `recipe-tools explain exit-codes`."


class _Layout(click.Command):
    """Lays out the help of a command."""

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the options below headings, those of this command alone first."""
        heading_of = {name: head for head, names in SECTIONS.items() for name in names}
        headings = ("Options", *SECTIONS)
        rows: dict[str, list[tuple[str, str]]] = {heading: [] for heading in headings}
        for param in self.get_params(ctx):
            record = param.get_help_record(ctx) if isinstance(param, click.Option) else None
            if record is not None:
                rows[heading_of.get(param.name or "", "Options")].append(record)
        for heading, listed in rows.items():
            if listed:
                with formatter.section(heading):
                    formatter.write_dl(listed)

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write examples, each with what it does, and where the exit codes are explained."""
        program, _, name = ctx.command_path.partition(" ")
        examples = EXAMPLES.get(name, ())
        if examples:
            with formatter.section("Examples"):
                for line, meaning in examples:
                    formatter.write(f"{'':>{formatter.current_indent}}{program} {line}\n")
                    formatter.indent()
                    formatter.write_text(meaning)
                    formatter.dedent()
        formatter.write_paragraph()
        formatter.write_text(SEE_ALSO)


class Manual(_Layout):
    """A command whose help reads like a page of a manual."""


class ManualGroup(_Layout, click.Group):
    """A group of commands whose help reads like a page of a manual, as theirs does."""

    command_class = Manual

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Return name, command and its arguments; of what is no command, say what was meant."""
        if not ctx.resilient_parsing and self.get_command(ctx, args[0]) is None:
            from recipe_tools.cli.meant import meant

            line = meant(ctx.command_path, args, self.list_commands(ctx))
            hint = f" Did you mean `{line}`?" if line else ""
            ctx.fail(f"No such command {args[0]!r}.{hint}")
        return super().resolve_command(ctx, args)

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the options, then the commands."""
        super().format_options(ctx, formatter)
        self.format_commands(ctx, formatter)
