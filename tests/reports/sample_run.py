"""Runs of the invented Aldermoor Brewing Circle for the report tests: a plain and a hostile one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from recipe_tools.brewday import (
    AfterAcid,
    Assumption,
    BrewDay,
    Dose,
    Liquor,
    SourceWater,
)
from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.chemistry.mash_ph import Driver, Prediction
from recipe_tools.findings import (
    Confidence,
    Example,
    Finding,
    Option,
    ProposedEdit,
    Related,
    Rule,
    Severity,
)
from recipe_tools.recipe import IONS, Addition, Recipe, Style
from recipe_tools.reference import FamilyMatch, agent, family_targets
from recipe_tools.results import CheckedFile, CheckedRecipe, OverLimit, Run

HOSTILE_TEXTS = (
    '<script>alert("x")</script>',
    "<img src=x onerror=alert(1)>",
    "\"'><svg/onload=alert(1)>",
    "=HYPERLINK(0)",
    "+1+1",
    "-2+3",
    "@SUM(A1)",
    " =cmd",
    "＝1+1",
    "\t=1",
    "\r=1",
    "::error file=a.xml::owned",
    "%0A::error::owned",
    "line\n::warning::owned\r\n::stop-commands::x",
    "a,b:c,line=9",
    "pipe | pipe || end |",
    "`code` ``more`` ```fence",
    "[click](https://example.invalid/) ![x](y) <https://example.invalid>",
    "https://example.invalid/ www.example.invalid",
    "@somebody and @some-team/people, #12, GH-12",
    "# heading",
    "- item",
    "+ item",
    "1. item",
    "> quote",
    "*bold* _under_ ~~gone~~ $x$",
    "</testcase><failure/>]]>",
    "<!-- comment --> <![CDATA[x]]> &amp; &lt; &#60;",
    "bidi \u202ereversed\u202c \u2066x\u2069 zero\u200bwidth \ufeff",
    "controls \x00 \x07 \x1b[31m \x7f \x85 \x9b",
    "not characters \ufffe \uffff \U0001ffff",
    "lone \ud800 and \udcff surrogates",
    "placeholder {0} {name} {{ jinja }} {% raw %}",
    "Größe ½ °C 日本 🍞",
)
"""Names as a stranger's file may hold them, for every boundary a report crosses."""

_EXAMPLE = Example("For the tests only.")


def rule(name: str, severity: Severity, **changes: Any) -> Rule:
    """Return a declaration with plain texts."""
    values: dict[str, Any] = {
        "summary": f"Summary of {name}.",
        "why": "Why it matters for the beer.",
        "source": "common practice, no source",
        "remedy": "Do the right thing.",
        "passes": _EXAMPLE,
        "fails": _EXAMPLE,
    }
    return Rule(id=name, severity=severity, **(values | changes))


CATALOGUE: Mapping[str, Rule] = {
    item.id: item
    for item in (
        rule("addition/hydrate-ambiguous", Severity.NOTE, aliases=("addition/hydrate",)),
        rule("file/unreadable", Severity.ERROR, not_checked=True),
        rule(
            "ions/sulfate-high",
            Severity.WARNING,
            options={"above_mg_l": Option(400, "mg/L", "a | b", "derived_default")},
        ),
        rule("mash-ph/above-range", Severity.ERROR),
        rule("safety/strong-acid-handling", Severity.NOTE),
        rule("standard/wrong-type", Severity.WARNING),
        rule("water/source-unknown", Severity.WARNING, summary="Water {unknown} | `odd`."),
    )
}


def liquor(stage: Any, litres: float, ions: tuple[float, ...]) -> Liquor:
    """Return a liquor whose ions are known to within a tenth. ions: in the order of IONS."""
    levels = {
        name: Estimate(0.95 * value, value, 1.05 * value)
        for name, value in zip(IONS, ions, strict=False)
    }
    return Liquor(
        stage=stage,
        volume_l=exactly(litres),
        ions_mg_l=levels,
        alkalinity_meq_l=Estimate(1.4, 1.5, 1.6),
        residual_alkalinity_meq_l=Estimate(-0.4, -0.2, 0.1),
        after_acid=AfterAcid(alkalinity_meq_l=0.4, ph=6.1) if stage == "mash" else None,
    )


PREDICTION = Prediction(
    ph=5.71,
    low=5.52,
    high=5.93,
    at_celsius=25.0,
    contributions_meq_kg={
        "malt": 2.4,
        "carbonate": -7.9,
        "calcium_magnesium": 3.1,
        "acid": 2.4,
        "base": 0.0,
    },
    contributions_ph={
        "malt": 5.78,
        "carbonate": 0.21,
        "calcium_magnesium": -0.16,
        "acid": -0.12,
        "base": 0.0,
    },
    drivers=(
        Driver("malt_di_ph", "pH of the malts in distilled water", 0.14),
        Driver("strength", "strength of the lactic acid", 0.06),
    ),
    warnings=("the mash is thicker than any that was measured",),
)


def brew_day(recipe: Recipe, **changes: Any) -> BrewDay:
    """Return a brew day with known water, three liquors, two additions and a prediction."""
    gypsum = Addition("Gypsum", "water agent", use="mash", mass_g=6.0)
    acid = Addition("Lactic acid", "water agent", use="mash", volume_ml=4.0)
    values: dict[str, Any] = {
        "recipe": recipe,
        "source": SourceWater(
            known=True,
            name="Aldermoor town water",
            origin="file",
            ions_mg_l={
                ion: exactly(mg_l)
                for ion, mg_l in (("calcium", 62.0), ("magnesium", 8.0), ("bicarbonate", 150.0))
            },
            alkalinity_meq_l=exactly(2.46),
            ph=exactly(7.6),
        ),
        "mash": liquor("mash", 14.0, (118.0, 9.0, 24.0, 3.0, 55.0, 232.0, 140.0)),
        "sparge": liquor("sparge", 16.0, (62.0, 8.0, 24.0, 3.0, 30.0, 62.0, 150.0)),
        "total": liquor("total", 30.0, (88.0, 8.5, 24.0, 3.0, 42.0, 141.0, 145.0)),
        "doses": (
            Dose(gypsum, agent("gypsum"), ("gypsum",), "mash", "solid", grams=exactly(6.0)),
            Dose(
                acid,
                agent("lactic_acid"),
                ("lactic_acid",),
                "mash",
                "solution",
                millilitres=exactly(4.0),
                strength_percent=Estimate(80.0, 80.0, 88.0),
            ),
        ),
        "grist": (),
        "grist_kg": 4.6,
        "water_to_grist_l_kg": 3.04,
        "mash_input": None,
        "prediction": PREDICTION,
        "not_predictable": (),
        "family": FamilyMatch("bitters_and_ipas", "11B", "Best Bitter", "code", frozenset()),
        "target": None,
        "targets": family_targets("bitters_and_ipas"),
        "assumptions": (Assumption("absorption", "Grain absorption is taken as 1.0 L/kg."),),
    }
    return BrewDay(**(values | changes))


def checked(index: int, name: str, **changes: Any) -> CheckedRecipe:
    """Return a checked recipe of that name."""
    recipe = Recipe(index=index, name=name, brewer="Odalric Fenn", style=Style("Best Bitter"))
    return CheckedRecipe(recipe, brew_day(recipe, **changes))


def finding(
    name: str, message: str, path: str | None = "ales/harvest.xml", **changes: Any
) -> Finding:
    """Return a located finding with the severity of its declaration."""
    values: dict[str, Any] = {
        "pointer": "/RECIPES/RECIPE[1]/MISCS/MISC[2]/AMOUNT",
        "severity": CATALOGUE[name].severity,
        "confidence": Confidence.LIKELY,
        "recipe": 0,
        "line": 12,
        "column": 7,
        "end_line": 12,
        "end_column": 15,
        "fingerprint": "0123456789abcdef",
    }
    if path is None:
        for key in ("recipe", "line", "column", "end_line", "end_column"):
            values[key] = None
        values["pointer"] = ""
    return Finding(rule=name, message=message, path=path, **(values | changes))


def plain_run() -> Run:
    """Return a run with two recipes, a file that could not be read and findings of every kind."""
    harvest = CheckedFile(
        path="ales/harvest.xml",
        format="beerxml",
        status="checked",
        recipes=(checked(0, "Harvest bitter"), checked(1, "Mill stout", prediction=None)),
        findings=(
            finding(
                "addition/hydrate-ambiguous",
                "The hydrate is not named.",
                line=11,
                end_line=11,
                confidence=Confidence.POSSIBLE,
            ),
            finding(
                "mash-ph/above-range",
                "The mash lands at pH 5.71 (5.52 to 5.93).",
                values={"value": 5.71, "low": 5.52, "high": 5.93},
                related=(Related("/RECIPES/RECIPE[1]/WATERS/WATER[1]", "the source", 4, 3),),
            ),
            finding(
                "standard/wrong-type",
                "The amount is written with a decimal comma.",
                line=40,
                end_line=40,
                recipe=None,
                edits=(
                    ProposedEdit(
                        "Write a decimal point",
                        "/RECIPES/RECIPE[1]/MISCS/MISC[2]/AMOUNT",
                        "0.0028",
                        True,
                        current="0,0028",
                        line=40,
                        column=15,
                        end_line=40,
                        end_column=21,
                    ),
                    ProposedEdit("Elsewhere", "/RECIPES", "x"),
                ),
            ),
            finding(
                "ions/sulfate-high",
                "Sulfate is 432 mg/L.",
                recipe=1,
                line=70,
                end_line=71,
                suppressed="brewed so for years",
            ),
        ),
        over_limit=(OverLimit("standard/wrong-type", Severity.WARNING, 23),),
        hidden={"possible": 2},
        data_digest="ab" * 32,
    )
    torn = CheckedFile(
        path="lagers/torn page 50%.json",
        format=None,
        status="not_checked",
        findings=(
            finding(
                "file/unreadable",
                "The file ends in the middle of a value.",
                "lagers/torn page 50%.json",
                recipe=None,
                line=None,
                column=None,
                end_line=None,
                end_column=None,
                pointer="",
            ),
        ),
    )
    return Run(
        files=(harvest, torn),
        findings=(finding("safety/strong-acid-handling", "Acid into water.", None),),
        skipped=3,
    )


def hostile_run() -> Run:
    """Return a run in which every name, path, message and reason is hostile."""
    files = []
    for place, text in enumerate(HOSTILE_TEXTS):
        path = f"{place:02d} {text}.xml" if place % 2 else f"{text}.xml"
        recipe = Recipe(index=0, name=text, brewer=text, style=Style(text), notes=text)
        day = brew_day(
            recipe,
            doses=(
                Dose(Addition(text), None, (), "unknown", "unknown", doubts=("amount-missing",)),
            ),
            assumptions=(Assumption("a", text),),
        )
        files.append(
            CheckedFile(
                path=path,
                format="beerxml",
                status="checked",
                recipes=(CheckedRecipe(recipe, day),),
                findings=(
                    finding(
                        "water/source-unknown",
                        f"{text} is unknown.",
                        path,
                        values={"value": text, text: [text, {"x": float("nan")}]},
                        pointer=f"/RECIPES/{text}",
                        related=(Related(text, text, 3),),
                        edits=(
                            ProposedEdit(
                                text,
                                f"/RECIPES/{text}",
                                text,
                                current=f"{text}{text}",
                                line=3,
                                column=1,
                                end_line=3,
                                end_column=9,
                            ),
                        ),
                    ),
                    finding("ions/sulfate-high", text, path, line=13, suppressed=text),
                ),
            )
        )
    return Run(files=tuple(files))


def many_recipes(count: int) -> Run:
    """Return a run of as many files with one recipe and five findings each."""
    names = list(CATALOGUE)[:5]
    return Run(
        tuple(
            CheckedFile(
                path=f"archive/{place:05d}.xml",
                format="beerxml",
                status="checked",
                recipes=(checked(0, f"Recipe {place}"),),
                findings=tuple(
                    finding(
                        name,
                        f"Something is so and so with recipe {place}, and should be otherwise.",
                        f"archive/{place:05d}.xml",
                        values={"value": place},
                    )
                    for name in names
                ),
            )
            for place in range(count)
        )
    )
