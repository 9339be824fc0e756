"""What BeerXML 1.0 lays down, field by field: the one description that reading and checking use.

Source: the BeerXML 1.0 standard, revision 1.0J of October 2004, with its Appendix A (extensions).
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from recipe_tools.formats.beerxml_kinds import (
    LARGEST,
    Field,
    Record,
    extensions,
    flag,
    integer,
    number,
    percent,
    record,
    record_set,
    text,
    word_list,
)

_NAME = text("NAME", "yes")
_NAME_NEEDED = text("NAME", "yes", needed=True)
_NOTES = text("NOTES")
_VERSION = Field(
    "VERSION",
    "integer",
    required="yes",
    condition="1 in this edition; later editions count up and stay readable",
    words=("1",),
    low=0.0,
)
_GRAIN_ONLY = "counts for Grain and Adjunct only"
_BY_WEIGHT = "kg where AMOUNT_IS_WEIGHT is TRUE, L otherwise"
_MASHED = "needed for Partial Mash and All Grain"

HOP = Record(
    "HOP",
    (
        _NAME,
        _VERSION,
        percent("ALPHA", "yes", fraction_below=0.25),
        number("AMOUNT", "kg", "yes"),
        word_list("USE", "Boil|Dry Hop|Mash|First Wort|Aroma", "yes"),
        number("TIME", "min", "yes", condition="what is timed depends on USE"),
        _NOTES,
        word_list("TYPE", "Bittering|Aroma|Both"),
        word_list("FORM", "Pellet|Plug|Leaf"),
        percent("BETA"),
        percent("HSI"),
        text("ORIGIN"),
        text("SUBSTITUTES"),
        percent("HUMULENE"),
        percent("CARYOPHYLLENE"),
        percent("COHUMULONE"),
        percent("MYRCENE"),
        *extensions("DISPLAY_AMOUNT", "INVENTORY", "DISPLAY_TIME"),
    ),
)

FERMENTABLE = Record(
    "FERMENTABLE",
    (
        _NAME_NEEDED,
        _VERSION,
        word_list("TYPE", "Grain|Sugar|Extract|Dry Extract|Adjunct", "yes", needed=True),
        number("AMOUNT", "kg", "yes", needed=True),
        percent("YIELD", "yes", fraction_below=1.0),
        number(
            "COLOR",
            "Lovibond|SRM",
            "yes",
            condition="SRM for Extract, Lovibond otherwise",
            needed=True,
        ),
        flag("ADD_AFTER_BOIL", needed=True),
        text("ORIGIN"),
        text("SUPPLIER"),
        _NOTES,
        percent("COARSE_FINE_DIFF", condition=_GRAIN_ONLY, low=-100.0),
        percent("MOISTURE", condition=_GRAIN_ONLY),
        number("DIASTATIC_POWER", "Lintner", condition=_GRAIN_ONLY),
        percent("PROTEIN", condition=_GRAIN_ONLY),
        percent("MAX_IN_BATCH"),
        flag("RECOMMEND_MASH", "FALSE where absent; TRUE only for Grain and Adjunct"),
        number("IBU_GAL_PER_LB", "IBU*gal/lb", condition="counts for Extract only"),
        *extensions("DISPLAY_AMOUNT"),
        number("POTENTIAL", "SG", extension=True),
        *extensions("INVENTORY", "DISPLAY_COLOR"),
    ),
)

YEAST = Record(
    "YEAST",
    (
        _NAME,
        _VERSION,
        word_list("TYPE", "Ale|Lager|Wheat|Wine|Champagne", "yes"),
        word_list("FORM", "Liquid|Dry|Slant|Culture", "yes"),
        number("AMOUNT", "L|kg", "yes", condition=_BY_WEIGHT),
        flag("AMOUNT_IS_WEIGHT"),
        text("LABORATORY"),
        text("PRODUCT_ID"),
        number("MIN_TEMPERATURE", "C"),
        number("MAX_TEMPERATURE", "C"),
        word_list("FLOCCULATION", "Low|Medium|High|Very High"),
        percent("ATTENUATION", fraction_below=1.0, high=120.0),
        _NOTES,
        text("BEST_FOR"),
        integer("TIMES_CULTURED"),
        integer("MAX_REUSE"),
        flag("ADD_TO_SECONDARY"),
        *extensions(
            "DISPLAY_AMOUNT", "DISP_MIN_TEMP", "DISP_MAX_TEMP", "INVENTORY", "CULTURE_DATE"
        ),
    ),
)

MISC = Record(
    "MISC",
    (
        _NAME_NEEDED,
        _VERSION,
        word_list("TYPE", "Spice|Fining|Water Agent|Herb|Flavor|Other", "yes"),
        word_list("USE", "Boil|Mash|Primary|Secondary|Bottling", "yes", needed=True),
        number("TIME", "min", "yes"),
        number("AMOUNT", "L|kg", "yes", condition=_BY_WEIGHT, needed=True),
        flag("AMOUNT_IS_WEIGHT", needed=True),
        text("USE_FOR"),
        _NOTES,
        *extensions("DISPLAY_AMOUNT", "INVENTORY", "DISPLAY_TIME"),
    ),
)

ION_TAGS: Final = ("CALCIUM", "BICARBONATE", "SULFATE", "CHLORIDE", "SODIUM", "MAGNESIUM")

WATER = Record(
    "WATER",
    (
        _NAME_NEEDED,
        _VERSION,
        number("AMOUNT", "L", "yes"),
        *(number(tag, "ppm", "yes", needed=True) for tag in ION_TAGS),
        number("PH", "pH", needed=True),
        _NOTES,
        *extensions("DISPLAY_AMOUNT"),
    ),
)

EQUIPMENT = Record(
    "EQUIPMENT",
    (
        _NAME,
        _VERSION,
        number("BOIL_SIZE", "L", "yes", condition="equal to that of the recipe"),
        number("BATCH_SIZE", "L", "yes", condition="equal to that of the recipe"),
        number("TUN_VOLUME", "L"),
        number("TUN_WEIGHT", "kg"),
        number("TUN_SPECIFIC_HEAT", "cal/(g*C)"),
        number("TOP_UP_WATER", "L", needed=True),
        number("TRUB_CHILLER_LOSS", "L", needed=True),
        percent("EVAP_RATE", unit="%/h", needed=True),
        number("BOIL_TIME", "min"),
        flag("CALC_BOIL_VOLUME", "the standard states no default"),
        number("LAUTER_DEADSPACE", "L", needed=True),
        number("TOP_UP_KETTLE", "L", needed=True),
        percent("HOP_UTILIZATION", high=LARGEST),
        _NOTES,
        *extensions(
            "DISPLAY_BOIL_SIZE",
            "DISPLAY_BATCH_SIZE",
            "DISPLAY_TUN_VOLUME",
            "DISPLAY_TUN_WEIGHT",
            "DISPLAY_TOP_UP_WATER",
            "DISPLAY_TRUB_CHILLER_LOSS",
            "DISPLAY_LAUTER_DEADSPACE",
            "DISPLAY_TOP_UP_KETTLE",
        ),
    ),
)

STYLE = Record(
    "STYLE",
    (
        _NAME,
        text("CATEGORY", "yes"),
        _VERSION,
        text("CATEGORY_NUMBER", "yes"),
        text("STYLE_LETTER", "yes", condition="upper case"),
        text("STYLE_GUIDE", "yes"),
        word_list("TYPE", "Lager|Ale|Mead|Wheat|Mixed|Cider", "yes"),
        *(number(tag, "SG", "yes") for tag in ("OG_MIN", "OG_MAX", "FG_MIN", "FG_MAX")),
        *(number(tag, "IBU", "yes") for tag in ("IBU_MIN", "IBU_MAX")),
        *(number(tag, "SRM", "yes") for tag in ("COLOR_MIN", "COLOR_MAX")),
        *(number(tag, "vol CO2") for tag in ("CARB_MIN", "CARB_MAX")),
        *(percent(tag) for tag in ("ABV_MIN", "ABV_MAX")),
        *(text(tag) for tag in ("NOTES", "PROFILE", "INGREDIENTS", "EXAMPLES")),
        *extensions(
            "DISPLAY_OG_MIN",
            "DISPLAY_OG_MAX",
            "DISPLAY_FG_MIN",
            "DISPLAY_FG_MAX",
            "DISPLAY_COLOR_MIN",
            "DISPLAY_COLOR_MAX",
            "OG_RANGE",
            "FG_RANGE",
            "IBU_RANGE",
            "CARB_RANGE",
            "COLOR_RANGE",
            "ABV_RANGE",
        ),
    ),
)

MASH_STEP = Record(
    "MASH_STEP",
    (
        _NAME,
        _VERSION,
        word_list("TYPE", "Infusion|Temperature|Decoction", "yes", needed=True),
        number(
            "INFUSE_AMOUNT",
            "L",
            "conditional",
            condition="needed for Infusion, allowed for Temperature, out of place for Decoction",
            needed=True,
        ),
        number("STEP_TEMP", "C", "yes"),
        number("STEP_TIME", "min", "yes"),
        number("RAMP_TIME", "min"),
        number("END_TEMP", "C"),
        *extensions(
            "DESCRIPTION",
            "WATER_GRAIN_RATIO",
            "DECOCTION_AMT",
            "INFUSE_TEMP",
            "DISPLAY_STEP_TEMP",
            "DISPLAY_INFUSE_AMT",
        ),
    ),
)

MASH = Record(
    "MASH",
    (
        _NAME,
        _VERSION,
        number("GRAIN_TEMP", "C", "yes"),
        record_set("MASH_STEPS", "MASH_STEP", "one or more", needed=True),
        _NOTES,
        number("TUN_TEMP", "C"),
        number("SPARGE_TEMP", "C", needed=True),
        number("PH", "pH", needed=True),
        number("TUN_WEIGHT", "kg"),
        number("TUN_SPECIFIC_HEAT", "cal/(g*C)"),
        flag("EQUIP_ADJUST"),
        *extensions(
            "DISPLAY_GRAIN_TEMP", "DISPLAY_TUN_TEMP", "DISPLAY_SPARGE_TEMP", "DISPLAY_TUN_WEIGHT"
        ),
    ),
)

RECIPE = Record(
    "RECIPE",
    (
        _NAME,
        _VERSION,
        word_list("TYPE", "Extract|Partial Mash|All Grain", "yes", needed=True),
        record("STYLE", "yes", "a complete style"),
        record("EQUIPMENT", "no", "its sizes are those of the recipe"),
        text("BREWER", "yes"),
        text("ASST_BREWER"),
        number("BATCH_SIZE", "L", "yes", needed=True),
        number("BOIL_SIZE", "L", "yes", needed=True),
        number("BOIL_TIME", "min", "yes"),
        percent("EFFICIENCY", "conditional", condition=_MASHED, fraction_below=1.0),
        record_set("HOPS", "HOP"),
        record_set("FERMENTABLES", "FERMENTABLE", needed=True),
        record_set("MISCS", "MISC"),
        record_set("YEASTS", "YEAST"),
        record_set("WATERS", "WATER"),
        record("MASH", "conditional", _MASHED, needed=True),
        _NOTES,
        text("TASTE_NOTES"),
        number("TASTE_RATING", low=0.0, high=50.0, condition="0 to 50"),
        number("OG", "SG"),
        number("FG", "SG"),
        integer("FERMENTATION_STAGES", "usually 1 to 3"),
        number("PRIMARY_AGE", "day"),
        number("PRIMARY_TEMP", "C"),
        number("SECONDARY_AGE", "day"),
        number("SECONDARY_TEMP", "C"),
        number("TERTIARY_AGE", "day"),
        number("TERTIARY_TEMP", "C"),
        number("AGE", "day"),
        number("AGE_TEMP", "C"),
        text("DATE"),
        number("CARBONATION", "vol CO2"),
        flag("FORCED_CARBONATION"),
        text("PRIMING_SUGAR_NAME", condition="only without forced carbonation"),
        number("CARBONATION_TEMP", "C"),
        number("PRIMING_SUGAR_EQUIV"),
        number("KEG_PRIMING_FACTOR"),
        *extensions("EST_OG", "EST_FG", "EST_COLOR"),
        number("IBU", "IBU", extension=True),
        word_list("IBU_METHOD", "Rager|Tinseth|Garetz", extension=True),
        *(percent(tag, extension=True) for tag in ("EST_ABV", "ABV", "ACTUAL_EFFICIENCY")),
        *extensions(
            "CALORIES",
            "DISPLAY_BATCH_SIZE",
            "DISPLAY_BOIL_SIZE",
            "DISPLAY_OG",
            "DISPLAY_FG",
            "DISPLAY_PRIMARY_TEMP",
            "DISPLAY_SECONDARY_TEMP",
            "DISPLAY_TERTIARY_TEMP",
            "DISPLAY_AGE_TEMP",
            "CARBONATION_USED",
            "DISPLAY_CARB_TEMP",
        ),
    ),
)

RECORDS: Final[Mapping[str, Record]] = MappingProxyType(
    {
        item.tag: item
        for item in (
            HOP,
            FERMENTABLE,
            YEAST,
            MISC,
            WATER,
            EQUIPMENT,
            STYLE,
            MASH_STEP,
            MASH,
            RECIPE,
        )
    }
)
"""All records by tag."""

SETS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "HOPS": "HOP",
        "FERMENTABLES": "FERMENTABLE",
        "YEASTS": "YEAST",
        "MISCS": "MISC",
        "WATERS": "WATER",
        "STYLES": "STYLE",
        "EQUIPMENTS": "EQUIPMENT",
        "MASHS": "MASH",
        "RECIPES": "RECIPE",
        "MASH_STEPS": "MASH_STEP",
    }
)
"""All record sets by tag, with the record they hold. One of them is the root, MASH_STEPS never."""

_BARE_IN_RECIPE = frozenset(("STYLE", "EQUIPMENT", "MASH"))


def is_numbered(tag: str, parent: str) -> bool:
    """Tell whether symbolic paths number a record: any that a set holds, STYLE only in STYLES."""
    return tag in REPEATED and (tag not in _BARE_IN_RECIPE or SETS.get(parent) == tag)


REPEATED: Final = frozenset(SETS.values())
"""Records that may stand several times side by side."""

MAY_BE_ABSENT: Final = frozenset(("HOPS", "MISCS", "YEASTS", "WATERS"))
"""Sets the standard asks for and most files leave out where they would be empty: no finding."""
