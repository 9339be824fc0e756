"""A plain BeerXML recipe that keeps to the standard, and small changes of it, as examples."""

from __future__ import annotations

from typing import Final

from recipe_tools.findings import Example

PLAIN_TEXT: Final = """<?xml version="1.0" encoding="UTF-8"?>
<RECIPES>
 <RECIPE>
  <NAME>Weir Bitter</NAME>
  <VERSION>1</VERSION>
  <TYPE>All Grain</TYPE>
  <STYLE>
   <NAME>Ordinary Bitter</NAME>
   <CATEGORY>British Bitter</CATEGORY>
   <VERSION>1</VERSION>
   <CATEGORY_NUMBER>11</CATEGORY_NUMBER>
   <STYLE_LETTER>A</STYLE_LETTER>
   <STYLE_GUIDE>BJCP 2021</STYLE_GUIDE>
   <TYPE>Ale</TYPE>
   <OG_MIN>1.030</OG_MIN>
   <OG_MAX>1.039</OG_MAX>
   <FG_MIN>1.007</FG_MIN>
   <FG_MAX>1.011</FG_MAX>
   <IBU_MIN>25</IBU_MIN>
   <IBU_MAX>35</IBU_MAX>
   <COLOR_MIN>8</COLOR_MIN>
   <COLOR_MAX>14</COLOR_MAX>
  </STYLE>
  <BREWER>Aldermoor Brewing Circle</BREWER>
  <BATCH_SIZE>20.0</BATCH_SIZE>
  <BOIL_SIZE>25.0</BOIL_SIZE>
  <BOIL_TIME>60.0</BOIL_TIME>
  <EFFICIENCY>72.0</EFFICIENCY>
  <HOPS>
   <HOP>
    <NAME>Mill Garden</NAME>
    <VERSION>1</VERSION>
    <ALPHA>5.5</ALPHA>
    <AMOUNT>0.040</AMOUNT>
    <USE>Boil</USE>
    <TIME>60.0</TIME>
   </HOP>
  </HOPS>
  <FERMENTABLES>
   <FERMENTABLE>
    <NAME>Pale ale malt</NAME>
    <VERSION>1</VERSION>
    <TYPE>Grain</TYPE>
    <AMOUNT>3.600</AMOUNT>
    <YIELD>80.0</YIELD>
    <COLOR>3.0</COLOR>
   </FERMENTABLE>
  </FERMENTABLES>
  <MISCS>
   <MISC>
    <NAME>Gypsum (calcium sulfate dihydrate)</NAME>
    <VERSION>1</VERSION>
    <TYPE>Water Agent</TYPE>
    <USE>Mash</USE>
    <TIME>60.0</TIME>
    <AMOUNT>0.004</AMOUNT>
    <AMOUNT_IS_WEIGHT>TRUE</AMOUNT_IS_WEIGHT>
   </MISC>
  </MISCS>
  <YEASTS>
   <YEAST>
    <NAME>Circle house yeast</NAME>
    <VERSION>1</VERSION>
    <TYPE>Ale</TYPE>
    <FORM>Slant</FORM>
    <AMOUNT>0.100</AMOUNT>
   </YEAST>
  </YEASTS>
  <WATERS>
   <WATER>
    <NAME>Aldermoor mains</NAME>
    <VERSION>1</VERSION>
    <AMOUNT>28.0</AMOUNT>
    <CALCIUM>61.0</CALCIUM>
    <BICARBONATE>155.0</BICARBONATE>
    <SULFATE>42.0</SULFATE>
    <CHLORIDE>27.0</CHLORIDE>
    <SODIUM>14.0</SODIUM>
    <MAGNESIUM>6.0</MAGNESIUM>
   </WATER>
  </WATERS>
  <MASH>
   <NAME>One rest</NAME>
   <VERSION>1</VERSION>
   <GRAIN_TEMP>18.0</GRAIN_TEMP>
   <MASH_STEPS>
    <MASH_STEP>
     <NAME>Rest</NAME>
     <VERSION>1</VERSION>
     <TYPE>Infusion</TYPE>
     <INFUSE_AMOUNT>10.8</INFUSE_AMOUNT>
     <STEP_TEMP>66.0</STEP_TEMP>
     <STEP_TIME>60.0</STEP_TIME>
    </MASH_STEP>
   </MASH_STEPS>
  </MASH>
 </RECIPE>
</RECIPES>
"""

PLAIN: Final = Example("A recipe that keeps to the standard.", raw=PLAIN_TEXT.encode())


def changed(text: str, *changes: tuple[str, str], encoding: str = "utf-8") -> Example:
    """Return the plain recipe with pieces of its text replaced (ValueError if one is absent)."""
    changed_text = PLAIN_TEXT
    for old, new in changes:
        if old not in changed_text:
            raise ValueError(f"the plain recipe has no {old!r}")
        changed_text = changed_text.replace(old, new, 1)
    return Example(text, raw=changed_text.encode(encoding))
