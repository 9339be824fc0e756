"""The questions, in their order, in the words that water reports use."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Literal, NamedTuple

from recipe_tools.reference.tables import table
from recipe_tools.reference.wording import key

Group = Literal["water", "figures", "brewery", "shelf"]

LANGUAGES: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "en": ("English", "English"),
        "de": ("German", "Deutsch"),
        "fr": ("French", "français"),
        "nl": ("Dutch", "Nederlands"),
        "es": ("Spanish", "español"),
        "it": ("Italian", "italiano"),
        "cs": ("Czech", "čeština"),
        "pl": ("Polish", "polski"),
    }
)
"""Code of a language -> its name in English and in itself."""


class Question(NamedTuple):
    """One question. id: as in a file of answers; text: what is asked; help: more of it."""

    id: str
    group: Group
    text: str
    help: str = ""


_UNITS = "Type figure and unit as the report prints them; a span such as 55 - 70 mg/l is fine."
QUESTIONS: tuple[Question, ...] = (
    Question(
        "language",
        "water",
        f"In which language is your water report? ({', '.join(LANGUAGES)})",
        "It decides which names are shown; answers are understood in all of them.",
    ),
    Question("name", "water", "What shall the water be called?", "A text, such as the zone."),
    Question("date", "water", "Of which day or year is the report?", "A text, such as 2025."),
    Question(
        "kind",
        "water",
        "Is it one sample, or the average of a year? (sample, average)",
        "The figures of one sample have to add up better than those of a year.",
    ),
    *(
        Question(ion, "figures", ion.capitalize(), _UNITS)
        for ion in ("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate", "nitrate")
    ),
    Question(
        "alkalinity",
        "figures",
        "Alkalinity",
        "It decides the mash pH. Reports have it as alkalinity, acid capacity, bicarbonate or "
        "carbonate hardness: type the name too where it is another than alkalinity, such as "
        "`bicarbonate 165 mg/l`; mg/l need `as CaCO3` or `as HCO3` behind them.",
    ),
    Question("ph", "figures", "pH", "A plain number, such as 7.6."),
    Question(
        "chlorine",
        "figures",
        "Chlorine",
        "What is left of it at the tap, in mg/l; 0 for a well. The larger of free and total.",
    ),
    Question(
        "chloramine",
        "water",
        "Does the works use chloramine, that is, add ammonia to the chlorine? (yes, no)",
        "It takes another treatment than chlorine. Leave it empty if you do not know.",
    ),
    Question(
        "sparge",
        "brewery",
        "Do you sparge? (yes, no)",
        "No: all water goes into the mash. Empty: as each recipe says.",
    ),
    Question(
        "grain absorption",
        "brewery",
        "How much water does the grain keep, in litres per kg?",
        "Weigh it once: water in, minus wort out, divided by the grain. 1.0 where left empty.",
    ),
    Question(
        "dead space",
        "brewery",
        "How much stays behind in the mash tun? (0.5 L, 1 qt)",
        "What does not run off, below a false bottom. 0.5 L where left empty.",
    ),
    Question(
        "crush",
        "brewery",
        "How fine is the malt crushed? (fine, normal, coarse)",
        "A mill gap of about 0.5, 0.8 or 1.2 mm. Normal where left empty.",
    ),
    Question("units", "brewery", "Units on the brew day? (metric, us)", "Metric where left empty."),
    Question(
        "scale",
        "shelf",
        "What is the smallest step of your scale, in g?",
        "Doses are rounded to it. 0.1 g where left empty.",
    ),
    Question(
        "shelf",
        "shelf",
        "Which salts and acids do you have? One in each line; an empty line ends the list.",
        "With the strength of an acid: lactic acid 80 %. `dose` chooses from them.",
    ),
)


@cache
def names_of(row: str, language: str) -> tuple[str, ...]:
    """Return what reports of a language call a row, and its formula: ``Kalzium``, ``Ca``.

    Of the alkalinity also what they print in its place.
    """
    if row == "alkalinity":
        beside = (_names("bicarbonate", language)[:1], _names("carbonate_hardness", language)[:1])
        return (*_names(row, language)[:3], *beside[0], *beside[1])
    return (*_names(row, language)[:2], *_names(row, "formula")[:1])


def _names(row: str, language: str) -> list[str]:
    """Return names of a row in one language, without those that only say more."""
    found: dict[str, str] = {}
    for item in table("water_report_names"):
        if item["key"] == row and item["language"] == language and not item["basis"]:
            plain = key(item["name"])
            if plain != key(row) and not plain.startswith(tuple(found)):
                found[plain] = item["name"]
    return list(found.values())


def language_called(text: str) -> str:
    """Return the code of a language by code or name, empty for one that is not understood."""
    wanted = key(text)
    for code, names in LANGUAGES.items():
        if wanted in (code, *map(key, names)):
            return code
    return ""
