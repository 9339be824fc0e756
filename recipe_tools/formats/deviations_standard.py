"""Declarations: how values and tags depart from their standard, and what they are read as."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from recipe_tools.findings import Rule, Severity
from recipe_tools.formats.deviation_examples import PLAIN, changed

_PRACTICE = "common practice, no source"
_FORMATS = "BeerXML 1.0, data formats; BeerJSON 1.0 schemas"
_MISC_AMOUNT = "<AMOUNT>0.004</AMOUNT>"
_INFUSION = "<INFUSE_AMOUNT>10.8</INFUSE_AMOUNT>"

REQUIRED_MISSING = Rule(
    id="standard/required-missing",
    severity=Severity.NOTE,
    summary="A record lacks a value the standard requires.",
    message="{record} has no {fields}, which {standard} requires.{outcome}",
    why="Where the water or the mash depends on the value (an amount, an ion, a malt colour), the "
    "prediction goes without it, and it is a warning. Missing lists of waters, salts, hops or "
    "yeasts are usual; BeerXML wants them, if need be empty.",
    source="BeerXML 1.0, field tables; BeerJSON 1.0 schemas",
    remedy="Fill in the value in the program the recipe comes from and export again.",
    passes=PLAIN,
    fails=changed("A salt without amount.", (_MISC_AMOUNT, "")),
)

WRONG_TYPE = Rule(
    id="standard/wrong-type",
    severity=Severity.ERROR,
    summary="A value is not of the kind the standard asks for and cannot be understood.",
    message="{field} is {written} where {expected} is expected; {outcome}.",
    why="It is left out, so the recipe is checked without it. Grouped digits (1,234.5) are refused "
    "as they cannot be told from a decimal comma.",
    source=_FORMATS,
    remedy="Write a plain number with a decimal point, in the unit of the field.",
    passes=PLAIN,
    fails=changed("A word for an amount.", (_MISC_AMOUNT, "<AMOUNT>a pinch</AMOUNT>")),
)

VALUE_NOT_LISTED = Rule(
    id="standard/value-not-listed",
    severity=Severity.NOTE,
    summary="A word is not one of those the standard lists.",
    message='{field} is "{written}"; the standard lists {listed}. {outcome}.',
    why="The word is kept and used where its sense is clear: a salt for the sparge has no listed "
    "word in BeerXML. Other programs may drop it.",
    source="BeerXML 1.0, field tables (lists are case sensitive); BeerJSON 1.0 schemas",
    remedy="Take a listed word, or leave it if only this tool reads the file.",
    passes=PLAIN,
    fails=changed("A salt for the sparge.", ("<USE>Mash</USE>", "<USE>Sparge</USE>")),
)

NUMBER_WITH_UNIT = Rule(
    id="standard/number-with-unit",
    severity=Severity.WARNING,
    summary="A unit stands behind a number that has to be bare, or is not a listed unit.",
    message='{field} is "{written}" {fault}; {outcome}.',
    why="It is converted here; other programs read the number alone: 5.5 gal as 5.5 L. US units "
    "are taken where the file does not say imperial. A note where the unit is the one expected.",
    source="BeerXML 1.0, units (core fields carry bare numbers); BeerJSON 1.0 unit lists",
    remedy="Write the bare number in the unit of the field.",
    passes=PLAIN,
    fails=changed("Gallons for litres.", (_INFUSION, "<INFUSE_AMOUNT>2.9 gal</INFUSE_AMOUNT>")),
)

DECIMAL_COMMA = Rule(
    id="standard/decimal-comma",
    severity=Severity.WARNING,
    summary="A number is written with a decimal comma.",
    message='{field} is "{written}"; the comma is read as a decimal point: {read}.',
    why="It is read as meant; other programs stop at the comma and read 4 for 4,5.",
    source="BeerXML 1.0, floating point numbers",
    remedy="Write a decimal point.",
    passes=PLAIN,
    fails=changed("Half a litre behind a comma.", (_INFUSION, _INFUSION.replace(".", ","))),
)

NOT_FINITE = Rule(
    id="standard/not-finite",
    severity=Severity.ERROR,
    summary="A number is infinite or not a number.",
    message="{field} is {written}, which is not a number a quantity can have; it is left out.",
    why="The program that wrote it divided by zero; the value is left out.",
    source=_FORMATS,
    remedy="Correct what the value depends on (often a volume of 0) and export again.",
    passes=PLAIN,
    fails=changed("NaN as an amount.", (_MISC_AMOUNT, "<AMOUNT>NaN</AMOUNT>")),
)

IMPOSSIBLE_VALUE = Rule(
    id="standard/impossible-value",
    severity=Severity.ERROR,
    summary="A number cannot be true: a negative amount, pH 15, water at 180 °C.",
    message="{field} is {written}; {reason}. {outcome}.",
    why="It is left out: a prediction made with it would look like one and be worthless.",
    source=f"{_PRACTICE}; the standards state no bounds",
    remedy="Correct the number; look whether it is in another unit than the standard asks for.",
    passes=PLAIN,
    fails=changed("A negative amount.", (_MISC_AMOUNT, "<AMOUNT>-0.004</AMOUNT>")),
)

EMPTY_NUMBER = Rule(
    id="standard/empty-number",
    severity=Severity.NOTE,
    summary="A number, list word or Boolean is empty.",
    message="{field} is empty; it counts as not stated.",
    why="It counts as not stated, never as zero.",
    source=f"the standards say nothing of empty values; {_PRACTICE}",
    remedy="Fill it in, or leave the field out.",
    passes=PLAIN,
    fails=changed("An empty strike volume.", (_INFUSION, "<INFUSE_AMOUNT></INFUSE_AMOUNT>")),
)

MISPLACED_TAG = Rule(
    id="standard/misplaced-tag",
    severity=Severity.NOTE,
    summary="A tag of the standard stands in a record it does not belong to.",
    message="{value} does not belong into {record}; {outcome}.",
    why="There it may mean anything and is not read. A whole record outside its set is read where "
    "its sense is clear, as the finding says.",
    source="BeerXML 1.0, field tables; unknown tags are ignored by the standard",
    remedy="Move the value to its record, or leave it: it does no harm.",
    passes=PLAIN,
    fails=changed(
        "A batch size in a salt.",
        (_MISC_AMOUNT, f"{_MISC_AMOUNT}\n    <BATCH_SIZE>20 l</BATCH_SIZE>"),
    ),
    standards=("beerxml",),
)

MISSPELT_TAG = Rule(
    id="standard/misspelt-tag",
    severity=Severity.WARNING,
    summary="A tag or member is nearly one of the standard, or one in the wrong case.",
    message="{standard} has no {kind} {value}; {outcome}.",
    why="Tags of BeerXML are upper case only; one in another case is read. A tag with other "
    "letters or a member of BeerJSON is not, as it may be a program's own: its value is missing "
    "in the check.",
    source="BeerXML 1.0, document rules (case of tags) and field tables; BeerJSON 1.0 schemas",
    remedy="Write the tag or member as the finding names it.",
    passes=PLAIN,
    fails=changed(
        "Sulphate for sulfate.", ("<SULFATE>42.0</SULFATE>", "<SULPHATE>42.0</SULPHATE>")
    ),
)

BOOLEAN_SPELLING = Rule(
    id="standard/boolean-spelling",
    severity=Severity.NOTE,
    summary="A Boolean is not written in capitals.",
    message='{field} is "{written}" where the standard writes {listed}; it is read as meant.',
    why="It is read as meant. A program that compares letter by letter takes true for FALSE, and "
    "4 g of a salt for 4 mL.",
    source="BeerXML 1.0, data formats",
    remedy="Write TRUE or FALSE.",
    passes=PLAIN,
    fails=changed("true for TRUE.", (">TRUE<", ">true<")),
)

FRACTION_FOR_PERCENT = Rule(
    id="standard/fraction-for-percent",
    severity=Severity.WARNING,
    summary="A percentage seems to be written as a fraction of one.",
    message="{field} is {written}, which cannot be meant as percent; it is read as {read} %.",
    why="An efficiency of 0.72 % cannot be meant. It is read as 72 %.",
    source=f"BeerXML 1.0, percentages; what is taken for a fraction: {_PRACTICE}",
    remedy="Write percent: 72 for 72 %.",
    passes=PLAIN,
    fails=changed("0.72 for 72 %.", (">72.0<", ">0.72<")),
)

GRAVITY_NOT_SG = Rule(
    id="standard/gravity-not-sg",
    severity=Severity.WARNING,
    summary="A gravity is not a specific gravity but degrees Plato or thousandths.",
    message="{field} is {written}, {reason}; it is read as {scale}: {read}.",
    why="The standards want specific gravity (1.048). The number is converted where only one "
    "reading makes sense; other programs take it at its face value.",
    source="BeerXML 1.0, units; BeerJSON 1.0, gravity; what is plausible: " + _PRACTICE,
    remedy="Write specific gravity.",
    passes=PLAIN,
    fails=changed("11.6 °P.", ("<HOPS>", "<OG>11.6</OG>\n  <HOPS>")),
)

DISPLAY_DIFFERS = Rule(
    id="standard/display-differs",
    severity=Severity.WARNING,
    summary="A number and the text that shows it with its unit cannot both be true.",
    message='{field} is {value} but is shown as "{shown}": {reading}.',
    why="It gives away a value in another unit: malt colour in SRM or EBC for Lovibond shifts the "
    "pH predicted from colour. The bare number is used, in the unit that fits if one does.",
    source=f"BeerXML 1.0, Appendix A; tolerance 6 %: {_PRACTICE}",
    remedy="Compare with the maltster's sheet and correct the number (Lovibond for grain).",
    passes=PLAIN,
    fails=changed(
        "A colour in EBC for Lovibond.",
        (
            "<COLOR>3.0</COLOR>",
            "<COLOR>6.5</COLOR>\n    <DISPLAY_COLOR>6.5 EBC</DISPLAY_COLOR>",
        ),
    ),
    standards=("beerxml",),
)

EQUIPMENT_DIFFERS = Rule(
    id="standard/equipment-differs",
    severity=Severity.NOTE,
    summary="Batch or boil size of the equipment are not those of the recipe.",
    message="{field} is {value} L in the equipment and {recipe_l} L in the recipe.",
    why="The standard wants them equal. The sizes of the recipe are used; losses of the equipment "
    "may belong to another batch size.",
    source="BeerXML 1.0, RECIPE: EQUIPMENT",
    remedy="Choose the equipment for this batch size and export again.",
    passes=PLAIN,
    fails=changed(
        "Equipment for another batch.",
        (
            "<HOPS>",
            "<EQUIPMENT><NAME>Barn kettle</NAME><VERSION>1</VERSION><BOIL_SIZE>50</BOIL_SIZE>"
            "<BATCH_SIZE>40</BATCH_SIZE></EQUIPMENT>\n  <HOPS>",
        ),
    ),
    standards=("beerxml",),
)

ATTRIBUTE_DATA = Rule(
    id="standard/attribute-data",
    severity=Severity.NOTE,
    summary="An XML attribute stands where BeerXML has none.",
    message="{tag} has the XML attribute {value}; BeerXML holds no data in attributes. "
    "It is not read.",
    why="BeerXML holds data in elements only; the attribute, perhaps a unit, is not read.",
    source="BeerXML 1.0, document rules",
    remedy="See that the number in the element is in the unit of the standard.",
    passes=PLAIN,
    fails=changed("A unit in an attribute.", ("<BOIL_SIZE>25.0", '<BOIL_SIZE unit="L">25.0')),
    standards=("beerxml",),
)

STANDARD_DEVIATIONS: Final[Mapping[str, Rule]] = {
    item.id: item
    for item in (
        REQUIRED_MISSING,
        WRONG_TYPE,
        VALUE_NOT_LISTED,
        NUMBER_WITH_UNIT,
        DECIMAL_COMMA,
        NOT_FINITE,
        IMPOSSIBLE_VALUE,
        EMPTY_NUMBER,
        MISPLACED_TAG,
        MISSPELT_TAG,
        BOOLEAN_SPELLING,
        FRACTION_FOR_PERCENT,
        GRAVITY_NOT_SG,
        DISPLAY_DIFFERS,
        EQUIPMENT_DIFFERS,
        ATTRIBUTE_DATA,
    )
}
