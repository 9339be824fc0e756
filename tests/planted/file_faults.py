"""What goes wrong when a recipe is written into a file: faults of the text."""

from __future__ import annotations

import re
from collections.abc import Callable

from tests.planted.fault import Fault, parts

Edit = Callable[[bytes], bytes]


def _sub(pattern: str, new: str) -> Edit:
    """Return an edit that replaces the first match; it has to be there."""

    def edit(data: bytes) -> bytes:
        before = data.decode("utf-8", "surrogateescape")
        text, count = re.subn(pattern, new, before, count=1, flags=re.DOTALL)
        if not count:
            raise ValueError(f"nothing to change: {pattern}")
        return text.encode("utf-8", "surrogateescape")

    return edit


def _latin_1(data: bytes) -> bytes:
    text = data.decode().replace("Brewing Circle", "Brewing Circle, \u00c9tage 2", 1)
    return text.encode("latin-1", "xmlcharrefreplace")


def _twice(data: bytes) -> bytes:
    text = data.decode()
    member = re.search(r'"efficiency": \{.*?\}\s*\},', text, re.DOTALL)
    assert member is not None
    return text.replace(member.group(), member.group() * 2, 1).encode()


FILE_FAULTS: tuple[Fault, ...] = (
    Fault("a decimal comma", "standard/decimal-comma", only="beerxml",
          edit=_sub(r"<OG>1\.", "<OG>1,"), touches=parts("og")),
    Fault("a unit behind a number", "standard/number-with-unit", only="beerxml",
          edit=_sub(r"<BOIL_TIME>(\d+)", r"<BOIL_TIME>\1 min"),
          touches=parts("boil time")),
    Fault("a required value left out", "standard/required-missing", only="beerxml",
          edit=_sub(r"<ALPHA>[\d.]+</ALPHA>", ""), beside=frozenset({"recipe/bitterness"}),
          touches=parts("ibu")),
    Fault("a required member left out", "standard/required-missing", only="beerjson",
          edit=_sub(r'"author": "[^"]*",\s*', "")),
    Fault("a word of its own", "standard/value-not-listed", only="beerxml",
          edit=_sub(r"<FORM>Dry", "<FORM>Powder")),
    Fault("a flag in small letters", "standard/boolean-spelling", only="beerxml",
          edit=_sub(r"<AMOUNT_IS_WEIGHT>TRUE", "<AMOUNT_IS_WEIGHT>true")),
    Fault("efficiency as a fraction", "standard/fraction-for-percent", only="beerxml",
          edit=_sub(r"<EFFICIENCY>(\d\d)(\.0)?<", r"<EFFICIENCY>0.\1<")),
    Fault("efficiency as a fraction of one", "standard/fraction-for-percent", only="beerjson",
          edit=_sub(r'("brewhouse": \{\s*"value": )(\d\d)(\.0)?', r"\g<1>0.\2")),
    Fault("gravity in points", "standard/gravity-not-sg", only="beerxml",
          edit=_sub(r"<OG>1\.0?(\d\d+)", r"<OG>\1"), touches=parts("og"),
          fits=lambda recipe: len(f"{recipe['original_gravity']['value']:g}") == len("1.052")),
    Fault("a negative boil", "standard/impossible-value", only="beerxml",
          edit=_sub(r"<BOIL_TIME>", "<BOIL_TIME>-"),
          touches=parts("boil time")),
    Fault("alpha acid of three hundred percent", "standard/impossible-value", only="beerjson",
          edit=_sub(r'("alpha_acid": \{\s*"value": )[\d.]+', r"\g<1>300"),
          touches=parts("ibu")),
    Fault("a gravity that is no number", "standard/not-finite", only="beerxml",
          edit=_sub(r"<FG>[\d.]+", "<FG>NaN"), touches=parts("og")),
    Fault("not a number in JSON", "standard/not-finite", only="beerjson",
          edit=_sub(r'("alcohol_by_volume": \{\s*"value": )[\d.]+', r"\g<1>NaN"),
          touches=parts("og")),
    Fault("an empty number", "standard/empty-number", only="beerxml",
          edit=_sub(r"<BOIL_TIME>\d+", "<BOIL_TIME>"),
          touches=parts("boil time")),
    Fault("a tag misspelt", "standard/misspelt-tag", only="beerxml",
          edit=_sub(r"<YIELD>([\d.]+)</YIELD>", r"<YEILD>\1</YEILD>"),
          beside=frozenset({"standard/required-missing"}), touches=parts("og")),
    Fault("a tag in the wrong record", "standard/misplaced-tag", only="beerxml",
          edit=_sub(r"<HOP><NAME>", "<HOP><STEP_TEMP>66</STEP_TEMP><NAME>")),
    Fault("a bare ampersand", "file/markup-repaired", only="beerxml",
          edit=_sub(r"Aldermoor Brewing Circle", "Aldermoor Brewing Circle & Friends")),
    Fault("Latin-1 under a UTF-8 declaration", "file/encoding-repaired", only="beerxml",
          edit=_latin_1),
    Fault("a value given twice", "file/duplicate-member", only="beerxml",
          edit=_sub(r"<BATCH_SIZE>[\d.]+</BATCH_SIZE>", r"\g<0>\g<0>")),
    Fault("tags that only resemble it before the true one", "file/duplicate-member",
          only="beerxml",
          edit=_sub(r"<BATCH_SIZE>", '<c:BATCH_SIZE xmlns:c="https://aldermoor.example/c">999'
                    "</c:BATCH_SIZE><batch_size>888</batch_size><BATCH_SIZE>")),
    Fault("a member misspelt", "standard/misspelt-tag", only="beerjson",
          edit=_sub(r'"alpha_acid"', '"alpha_acids"'), beside=frozenset(
              {"standard/required-missing", "recipe/bitterness"}), touches=parts("ibu")),
    Fault("a member given twice", "file/duplicate-member", only="beerjson", edit=_twice),
    Fault("a text for a number", "standard/wrong-type", only="beerjson",
          edit=_sub(r'("final_gravity": )\{.*?\}', r'\g<1>"low"'), touches=parts("og")),
    Fault("attenuation of 130 percent", "standard/impossible-value", only="beerxml",
          edit=_sub(r"(<ATTENUATION>)[\d.]+", r"\g<1>130")),
    Fault("attenuation of 130 percent in JSON", "standard/impossible-value", only="beerjson",
          edit=_sub(r'("attenuation": \{\s*"value": )[\d.]+', r"\g<1>130")),
    Fault("fermentation at 200 degrees", "standard/impossible-value", only="beerxml",
          edit=_sub(r"<BATCH_SIZE>", r"<PRIMARY_TEMP>200</PRIMARY_TEMP>\g<0>")),
    Fault("fermentation at 200 degrees in JSON", "standard/impossible-value", only="beerjson",
          edit=_sub(r'"batch_size": ', '"fermentation": {"name": "Cellar", "fermentation_steps": '
                    '[{"name": "Primary", "start_temperature": {"value": 200, "unit": "C"}}]},'
                    r"\g<0>")),
    Fault("a version nobody knows", "file/unknown-version", only="beerxml",
          edit=_sub(r"<VERSION>1", "<VERSION>7")),
    Fault("a tablet as a litre", "addition/pieces-as-litres", only="beerxml",
          edit=_sub(r"</MISCS>", "<MISC><NAME>Campden tablet (sodium metabisulfite)</NAME>"
                    "<VERSION>1</VERSION><TYPE>Water Agent</TYPE><USE>Mash</USE><TIME>0</TIME>"
                    "<AMOUNT>1</AMOUNT><AMOUNT_IS_WEIGHT>FALSE</AMOUNT_IS_WEIGHT></MISC>"
                    r"\n</MISCS>"), touches=parts("sulfite"),
          beside=frozenset({"addition/sulfite-dose-high"})),
)  # fmt: skip
