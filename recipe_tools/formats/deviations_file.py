"""Declarations: what can be wrong with a file as a whole, whichever standard it follows."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from recipe_tools.findings import Example, Rule, Severity
from recipe_tools.formats.deviation_examples import PLAIN, PLAIN_TEXT, changed

_PRACTICE = "common practice, no source"
_XML = "XML 1.0 (W3C Recommendation)"
_DOCUMENT = "BeerXML 1.0, document rules"
_ROOT = '<?xml version="1.0" encoding="UTF-8"?>\n<RECIPES>'
_NOT_CHECKED = "The file counts as not checked (exit code 3)."

UNREADABLE = Rule(
    id="file/unreadable",
    severity=Severity.ERROR,
    summary="The file cannot be read as XML or JSON, and no harmless repair makes it readable.",
    message="The file cannot be read: {detail}.",
    why=f"Nothing in it was checked. Often the export or a copy was cut short. {_NOT_CHECKED}",
    source=_XML,
    remedy="Export the recipe again. By hand: look at the line named, where the fault shows first.",
    passes=PLAIN,
    fails=Example("A file cut short.", raw=PLAIN_TEXT[:900].encode()),
    not_checked=True,
)

NOT_A_RECIPE = Rule(
    id="file/not-a-recipe",
    severity=Severity.ERROR,
    summary="The file is neither BeerXML nor BeerJSON.",
    message="The file holds {what}, but no recipe.{advice}",
    why="Named on the command line it is not checked (exit code 3); met in a folder, a well-formed "
    "file of another kind is skipped and counted. A file of the two standards that holds hops, "
    "yeasts or other records and no recipe is checked against its standard.",
    source=_PRACTICE,
    remedy="Name the exported recipe itself: BeerXML 1.0 (.xml) or BeerJSON 1.0 (.json).",
    passes=PLAIN,
    fails=Example("XML of another kind.", raw=b"<inventory><shelf>4</shelf></inventory>\n"),
    not_checked=True,
)

EMPTY_DOCUMENT = Rule(
    id="file/empty-document",
    severity=Severity.NOTE,
    summary="The file is BeerXML or BeerJSON and holds no record.",
    message="The file is {standard} and holds neither a recipe nor any other record.",
    why="Both standards allow it. Most often an export went wrong or nothing was chosen for it.",
    source=f"BeerXML 1.0, record sets; BeerJSON 1.0 schemas; {_PRACTICE}",
    remedy="Export again and see that the recipe is chosen.",
    passes=PLAIN,
    fails=Example("A list of recipes without a recipe.", raw=b"<RECIPES>\n</RECIPES>\n"),
)

TOO_LARGE = Rule(
    id="file/too-large",
    severity=Severity.ERROR,
    summary="The file, or one value in it, is larger than the limit.",
    message="{fault}. Nothing in the file was checked.",
    why=f"Recipes have some ten thousand bytes; the limit protects the machine. {_NOT_CHECKED}",
    source="derived_default",
    remedy="Split the archive into one file per recipe, or raise the limit of bytes.",
    passes=PLAIN,
    fails=Example("A file of more bytes than the limit."),
    not_checked=True,
)

TOO_DEEP = Rule(
    id="file/too-deep",
    severity=Severity.ERROR,
    summary="Elements or members are nested deeper than the limit.",
    message="The file is nested deeper than {limit} levels. Nothing in it was checked.",
    why=f"Recipes nest less than ten deep; such a file is damaged or means harm. {_NOT_CHECKED}",
    source="derived_default",
    remedy="Export the recipe again; do not pass the file on.",
    passes=PLAIN,
    fails=Example("Three hundred nested elements.", raw=b"<A>" * 300 + b"</A>" * 300),
    not_checked=True,
)

TOO_MANY_RECORDS = Rule(
    id="file/too-many-records",
    severity=Severity.ERROR,
    summary="The file holds more recipes, or a recipe more additions of one kind, than the limit.",
    message="There are {number} {what}; at most {limit} are read. The rest was not checked.",
    why=f"Those up to the limit were read and checked, the rest was not. {_NOT_CHECKED}",
    source="derived_default",
    remedy="Split the file, or raise the limit of recipes or additions.",
    passes=PLAIN,
    fails=Example("A file with more recipes than the limit."),
    not_checked=True,
)

ENTITY_DECLARATION = Rule(
    id="file/entity-declaration",
    severity=Severity.ERROR,
    summary="The file declares XML entities; it is refused.",
    message="The file declares XML entities, which BeerXML has no use for; it was not read.",
    why="No recipe needs them. They can make a small file unfold to gigabytes or draw in files of "
    f"the machine that reads it. {_NOT_CHECKED}",
    source=f"{_XML}, section 4.2; {_DOCUMENT}: no document type belongs to the standard",
    remedy="Delete the <!DOCTYPE ...> part and write the text itself where an entity was used.",
    passes=PLAIN,
    fails=changed(
        "A file that declares an entity.",
        ("<RECIPES>", '<!DOCTYPE RECIPES [<!ENTITY town "Aldermoor">]>\n<RECIPES>'),
    ),
    not_checked=True,
    standards=("beerxml",),
)

ENCODING_REPAIRED = Rule(
    id="file/encoding-repaired",
    severity=Severity.WARNING,
    summary="The file is not in the encoding it declares; it is read in the one that fits.",
    message="{fault}; {outcome}.",
    why="Umlauts, accents and degree signs would be garbled, and with them names of malts, salts "
    "and waters. A byte order mark is believed first, then UTF-8 where every byte fits, then "
    "Windows-1252.",
    source=f"{_DOCUMENT} (its own declaration is ISO-8859-1); the order of trials: {_PRACTICE}",
    remedy="Look at the names with special letters. Save the file in UTF-8 and declare UTF-8.",
    passes=PLAIN,
    fails=changed(
        "Declared as ISO-8859-1, written in UTF-8.",
        ('encoding="UTF-8"', 'encoding="ISO-8859-1"'),
        ("Pale ale malt", "Mälzerei Erlenmoor"),
    ),
)

MARKUP_REPAIRED = Rule(
    id="file/markup-repaired",
    severity=Severity.WARNING,
    summary="The file is not well-formed; it is read as if a harmless fault were repaired.",
    message="The file is not well-formed: {fault}, in {places}. It is read as if repaired.",
    why="Other programs will refuse the file. The repair is made on a copy in memory; the file "
    "stays as it is.",
    source=f"{_XML}; {_DOCUMENT}: only the five entities of XML exist",
    remedy="Write &amp; for an ampersand and the letter itself for an HTML name such as &uuml;; "
    "remove what stands before the first tag and after the last.",
    passes=PLAIN,
    fails=changed("A bare ampersand in a name.", ("Weir Bitter", "Weir & Mill Bitter")),
)

DUPLICATE_MEMBER = Rule(
    id="file/duplicate-member",
    severity=Severity.WARNING,
    summary="One record gives the same value twice.",
    message="{field} stands more than once in one record; {outcome}.",
    why="The standards do not say which one counts, and programs differ. The finding says which "
    "one is used here.",
    source=f"BeerXML 1.0 and RFC 8259 section 4; which one is used: {_PRACTICE}",
    remedy="Delete the value that is not meant.",
    passes=PLAIN,
    fails=changed(
        "Two amounts of one salt.",
        ("<AMOUNT>0.004</AMOUNT>", "<AMOUNT>0.004</AMOUNT>\n    <AMOUNT>0.006</AMOUNT>"),
    ),
)

SEVERAL_ROOTS = Rule(
    id="file/several-roots",
    severity=Severity.WARNING,
    summary="The file has more than one root element.",
    message="The file has {value} root elements; XML allows one. All of them are read.",
    why="XML allows only one; most often several exports were joined. All of them are read here, "
    "other programs read the first one or none.",
    source=f"{_XML}, section 2.1",
    remedy="Put all RECIPE elements into one RECIPES element, or make one file of each.",
    passes=PLAIN,
    fails=Example("Two exports joined.", raw=(PLAIN_TEXT * 2).encode()),
    standards=("beerxml",),
)

UNKNOWN_VERSION = Rule(
    id="file/unknown-version",
    severity=Severity.NOTE,
    summary="A record does not say that it follows edition 1 of its standard.",
    message="{fault}; it is read as {edition}.",
    why="It is read as edition 1 all the same. A later edition may hold fields that are not known "
    "here; they are ignored.",
    source=f"{_DOCUMENT}: VERSION is 1 in every record",
    remedy="Add <VERSION>1</VERSION>. Nothing in the recipe changes.",
    passes=PLAIN,
    fails=changed("A hop without VERSION.", ("</NAME>\n    <VERSION>1</VERSION>", "</NAME>")),
)

ROOT_NOT_STANDARD = Rule(
    id="file/root-not-standard",
    severity=Severity.NOTE,
    summary="The recipes do not stand in a RECIPES element at the root of the file.",
    message="{fault}; the recipes in it are read.",
    why="They are read all the same; other programs may find nothing in the file.",
    source=f"{_DOCUMENT}: the root is a record set",
    remedy="Make RECIPES the root element.",
    passes=PLAIN,
    fails=changed("A RECIPE as root.", ("<RECIPES>\n", ""), ("</RECIPE>\n</RECIPES>", "</RECIPE>")),
)

NAMESPACE = Rule(
    id="file/namespace",
    severity=Severity.NOTE,
    summary="The elements stand in an XML namespace.",
    message="{fault} in an XML namespace, and BeerXML has none; {outcome}.",
    why="BeerXML has none. They are read by their names; other programs may not know them.",
    source=f"{_DOCUMENT}: no namespace belongs to the standard",
    remedy="Remove the xmlns attributes.",
    passes=PLAIN,
    fails=changed(
        "A default namespace.",
        (_ROOT, _ROOT.replace("<RECIPES>", '<RECIPES xmlns="https://aldermoor.example/r">')),
    ),
    standards=("beerxml",),
)

FILE_DEVIATIONS: Final[Mapping[str, Rule]] = {
    item.id: item
    for item in (
        UNREADABLE,
        NOT_A_RECIPE,
        EMPTY_DOCUMENT,
        TOO_LARGE,
        TOO_DEEP,
        TOO_MANY_RECORDS,
        ENTITY_DECLARATION,
        ENCODING_REPAIRED,
        MARKUP_REPAIRED,
        DUPLICATE_MEMBER,
        SEVERAL_ROOTS,
        UNKNOWN_VERSION,
        ROOT_NOT_STANDARD,
        NAMESPACE,
    )
}
