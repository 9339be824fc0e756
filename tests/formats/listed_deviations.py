"""What real files do that the standards do not foresee: a file of our own and an outcome for each.

`python -m tests.formats.listed_deviations` prints the table. An outcome is what reading says
(nothing, a note, a warning or an error) and, where the recipe itself has to be judged, the rule
that speaks of it. The list follows notes taken on some hundred exported files and on the text of
BeerXML 1.0.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from recipe_tools.checking import CheckedFile, check_bytes
from recipe_tools.findings import Confidence, Severity
from recipe_tools.formats.deviations import DEVIATIONS

FILES = Path(__file__).resolve().parents[1] / "files"
NOTHING = "nothing"
NOTE, WARNING, ERROR = "note", "warning", "error"


@dataclass(frozen=True)
class Listed:
    """A deviation. files: names in tests/files, with what is said of each.

    row: its place in the list of deviations of the reference on BeerXML, 0 where it comes from
    elsewhere. judged: rule on the recipe that has to speak of it; ``!`` before it: must be silent.
    """

    what: str
    files: tuple[tuple[str, str], ...]
    judged: str = ""
    row: int = 0


def _xml(row: int, what: str, *files: tuple[str, str], judged: str = "") -> Listed:
    return Listed(what, tuple((f"xml/{name}.xml", said) for name, said in files), judged, row)


def _json(what: str, *files: tuple[str, str], judged: str = "") -> Listed:
    return Listed(what, tuple((f"json/{name}.json", said) for name, said in files), judged)


LISTED: tuple[Listed, ...] = (
    _xml(1, "a unit behind a number that is for showing", ("unit-in-extension", NOTHING)),
    _xml(2, "a unit behind a core number", ("unit-in-core-expected", NOTE),
         ("unit-in-core-other", WARNING), ("unit-in-core-unknown", ERROR),
         ("flag-against-unit", WARNING)),
    _xml(3, "a decimal comma", ("decimal-comma", WARNING), ("mixed-separators", ERROR)),
    _xml(4, "an empty VERSION", ("version-empty", NOTE)),
    _xml(5, "no VERSION", ("version-missing", NOTE)),
    _xml(6, "an empty number", ("empty-numbers", NOTE)),
    _xml(7, "an empty name that is required", ("empty-step-name", NOTE)),
    _xml(8, "no STYLE", ("style-missing", NOTE)),
    _xml(9, "no WATERS, or none in it", ("waters-missing", NOTE), ("waters-empty", NOTHING),
         judged="water/source-unknown"),
    _xml(10, "no MISCS, or none in it", ("sets-missing", NOTE), ("miscs-empty", NOTHING)),
    _xml(11, "no mash water in any step", ("no-mash-water", NOTHING),
         judged="recipe/no-mash-water"),
    _xml(12, "Booleans in small letters", ("booleans", NOTE)),
    _xml(13, "tags in the wrong case", ("tags-wrong-case", WARNING)),
    _xml(14, "list words in another case, with blanks", ("words-spelt-otherwise", NOTE)),
    _xml(15, "words that are not on the list", ("words-not-listed", NOTE)),
    _xml(16, "tags of a program's own", ("own-tags", NOTHING), ("prefix-undeclared", WARNING)),
    _xml(17, "a tag of another record", ("misplaced-tag", NOTE)),
    _xml(18, "gravity in degrees Plato", ("gravity-plato", WARNING),
         ("final-gravity-plato", WARNING)),
    _xml(19, "gravity in points", ("gravity-points", WARNING)),
    _xml(20, "weight of the tun in ounces", ("tun-weight-ounces", NOTE)),
    _xml(21, "malt colour in SRM", ("colour-in-srm", WARNING)),
    _xml(22, "malt colour in EBC", ("colour-in-ebc", WARNING)),
    _xml(23, "pieces written as litres", ("pieces-as-litres", NOTHING),
         judged="addition/pieces-as-litres"),
    _xml(24, "a solid without AMOUNT_IS_WEIGHT", ("solid-without-flag", NOTHING),
         judged="addition/mass-flag-contradiction"),
    _xml(25, "grams where kilograms belong", ("salt-in-grams", NOTHING),
         judged="addition/unit-slip"),
    _xml(26, "percentages as fractions", ("fractions", WARNING)),
    _xml(27, "MASH.PH as a target of the mash", ("mash-ph", NOTHING),
         judged="mash-ph/stated-target-differs"),
    _xml(28, "fields of another type of step", ("extensions-on-wrong-step", NOTHING)),
    _xml(29, "carbonation that contradicts itself", ("carbonation-contradicts", NOTHING)),
    _xml(30, "an equipment whose formula does not hold", ("equipment-formula", NOTHING),
         ("equipment-differs", NOTE)),
    _xml(31, "several recipes in a file", ("several-recipes", NOTHING)),
    _xml(32, "RECIPE or a foreign element as root", ("recipe-as-root", NOTE),
         ("foreign-root", NOTE)),
    _xml(33, "a digit as style letter, a guide with its year", ("style-letter-digit", NOTHING)),
    _xml(34, "dates in words", ("date-as-text", NOTHING)),
    _xml(35, "long decimals", ("long-decimals", NOTHING)),
    _xml(36, "units for showing of a program's own", ("display-units", NOTHING)),
    _xml(37, "declaration and root on one line", ("one-line-head", NOTHING)),
    _xml(38, "UTF-8 declared as ISO-8859-1", ("utf8-declared-latin1", WARNING)),
    _xml(39, "ISO-8859-1 declared as UTF-8", ("latin1-declared-utf8", WARNING)),
    _xml(40, "Windows-1252 declared as ISO-8859-1", ("windows1252-declared-latin1", WARNING)),
    _xml(41, "a byte order mark before another declaration", ("mark-and-latin1-declared", WARNING)),
    _xml(42, "UTF-16 declared as something else, unknown encodings",
         ("utf16be-declared-utf8", WARNING), ("declared-utf16-is-ascii", NOTE),
         ("encoding-unknown", WARNING)),
    _xml(43, "entities of HTML", ("html-entities", WARNING)),
    _xml(44, "a bare ampersand", ("bare-ampersand", WARNING)),
    _xml(45, "control characters, as references too", ("control-characters", WARNING)),
    _xml(46, "blank line or text before the declaration", ("blank-line-first", WARNING),
         ("text-first", WARNING)),
    _xml(47, "two root elements", ("two-roots", WARNING)),
    _xml(48, "HTML or CDATA in notes", ("html-in-notes", WARNING), ("cdata-in-notes", NOTHING)),
    _xml(49, "entity declarations", ("doctype-entities", ERROR), ("doctype-external", WARNING)),
    _xml(50, "data in attributes", ("attributes", NOTE)),
    _xml(51, "a tag twice in one record", ("duplicates", WARNING), ("duplicate-sets", ERROR)),
    _xml(52, "unusual and impossible ways to write numbers", ("numbers", NOTHING),
         ("not-numbers", ERROR), ("not-finite-optional", WARNING)),
    _xml(0, "numeric references for ordinary letters, CR in notes",
         ("character-references", NOTHING)),
    _xml(0, "lactic acid as litres is millilitres", ("lactic-acid-volume", NOTHING),
         judged="!addition/mass-flag-contradiction"),
    _xml(0, "a salt of five milligrams", ("tiny-salt", NOTHING),
         judged="addition/below-scale-resolution"),
    _xml(0, "one agent for mash and sparge", ("same-agent-twice", NOTHING),
         judged="!addition/duplicate"),
    _xml(0, "thirty hours on a mash salt", ("salt-for-thirty-hours", NOTHING),
         judged="!addition/wrong-stage"),
    _xml(0, "bottled water as an addition", ("water-bottled-as-misc", NOTHING),
         judged="water/bottled-water-as-addition"),
    _xml(0, "calcium chloride without its hydrate", ("unnamed-hydrate", NOTHING)),
    _xml(0, "a solution given in grams", ("solution-in-grams", NOTHING),
         judged="addition/solution-or-solid"),
    _xml(0, "lactic acid without strength", ("acid-without-strength", NOTHING)),
    _xml(0, "a water of the batch size", ("water-of-the-batch-size", NOTHING),
         judged="!water/volume-is-batch-size"),
    _xml(0, "a water that is a goal", ("water-as-target", NOTHING),
         judged="water/calls-itself-target"),
    _xml(0, "a water of zeros", ("water-all-zero", NOTHING), judged="water/source-all-zero"),
    _xml(0, "a water that does not balance", ("water-out-of-balance", NOTHING),
         judged="water/charge-imbalance"),
    _xml(0, "strike water on a temperature step", ("strike-on-a-temperature-step", NOTHING)),
    _xml(0, "strike water on a decoction step", ("strike-on-a-decoction-step", NOTHING)),
    _xml(0, "water on a later decoction step", ("decoction-with-infusion", NOTHING)),
    _xml(0, "salts and acid only in the notes", ("prose-notes", NOTHING),
         judged="addition/notes-agents-not-counted"),
    _json("members the schema requires are missing", ("missing-members", WARNING)),
    _json("members the schema does not know", ("unknown-members", WARNING)),
    _json("units that are not listed", ("unlisted-units", ERROR)),
    _json("empty texts", ("empty-strings", NOTE), ("odd-date", NOTE)),
    _json("Unicode subscripts in names", ("subscript-names", NOTHING),
         judged="!addition/agent-unknown"),
    _json("a water without amount", ("water-without-amount", NOTHING)),
    _json("a salt without amount", ("missing-amount", WARNING), judged="addition/amount-missing"),
    _json("minerals timed to the boil", ("boil-salts", NOTHING), judged="addition/wrong-stage"),
    _json("doses in mg, g, kg, ml and spoons", ("doses-in-many-units", NOTHING),
         judged="!addition/unit-slip"),
    _json("negative and null ions", ("negative-ion", ERROR), ("null-ions", NOTE)),
    _json("numbers that are none", ("not-finite", ERROR)),
    _json("a member twice", ("duplicate-members", WARNING)),
    _json("numbers as texts, without units", ("numbers-as-text", ERROR), ("bare-numbers", ERROR)),
    _json("gravity in points", ("gravity-points", WARNING)),
    _json("percentages as fractions", ("fraction-for-percent", WARNING)),
    _json("fluoride in both spellings", ("fluoride", NOTHING)),
)  # fmt: skip


def checked(name: str) -> CheckedFile:
    """Return a test file as checked."""
    return check_bytes((FILES / name).read_bytes(), name)


def said_on_reading(file: CheckedFile) -> str:
    """Return the gravest severity of what reading said of a file."""
    levels = [item.severity or Severity.ERROR for item in file.findings if item.rule in DEVIATIONS]
    return max(levels).word if levels else NOTHING


def said_of(file: CheckedFile, rule: str) -> bool:
    """Tell whether a rule speaks of the recipes of a file, at least likely."""
    return any(item.rule == rule and item.confidence >= Confidence.LIKELY for item in file.findings)


def table() -> str:
    """Return deviations, files and outcomes as text."""
    lines = []
    for item in LISTED:
        row = f"{item.row:>3}" if item.row else "   "
        for name, _ in item.files:
            file = checked(name)
            rules = sorted({found.rule for found in file.findings if found.rule in DEVIATIONS})
            if item.judged and said_of(file, item.judged.lstrip("!")):
                rules.append(item.judged)
            outcome = f"{said_on_reading(file):8} {file.status:11}"
            lines.append(f"{row} {item.what:52} {name:40} {outcome} {', '.join(rules)}")
    return "\n".join(lines)


if __name__ == "__main__":
    print(table())
