"""Declarations of the findings the check itself makes: on its configuration and its failures."""

from __future__ import annotations

from collections.abc import Mapping

from recipe_tools.findings import Example, Option, Rule, Severity

_PRACTICE = "common practice, no source"

SUPPRESSION_UNUSED = Rule(
    id="suppression/unused",
    severity=Severity.NOTE,
    summary="A suppression matches no finding any more.",
    why="What it silenced is gone. Left in place it would hide the next finding of that rule.",
    source=_PRACTICE,
    remedy="Delete the [[suppress]] entry from recipe-tools.toml, or the line from the notes.",
    passes=Example("No suppression is configured."),
    fails=Example(
        "A suppression of a rule that finds nothing in this recipe.",
        config={"suppress": [{"rule": "sparge/temperature-high", "reason": "heater was broken"}]},
    ),
)

SUPPRESSION_UNCLEAR = Rule(
    id="suppression/unclear",
    severity=Severity.WARNING,
    summary="A line in the notes asks to ignore a rule, without a reason or without a rule.",
    why="What is ignored without a reason cannot be judged by whoever brews the recipe next, so "
    "the line counts for nothing.",
    source=_PRACTICE,
    remedy="Write `recipe-tools: ignore RULE because REASON` on a line of its own.",
    passes=Example(
        "A line with rule and reason.",
        patch={"notes": "recipe-tools: ignore sanity because the club brews it like that"},
    ),
    fails=Example("A line without a reason.", patch={"notes": "recipe-tools: ignore ions"}),
)

CONFIGURATION_UNUSED = Rule(
    id="configuration/unused",
    severity=Severity.NOTE,
    summary="A malt, style or list of paths in the configuration fits nothing that was checked.",
    why="A certificate under a name that is one letter off is not used, and nothing shows it.",
    source=_PRACTICE,
    remedy="Write the name as the recipes write it, or delete the entry from recipe-tools.toml.",
    passes=Example("A configuration without malts, styles and paths of its own."),
    fails=Example(
        "The certificate of a malt that is in no recipe.",
        config={"malt": [{"name": "Pale aie malt", "di_ph": 5.7}]},
    ),
)

SUPPRESSION_EXPIRED = Rule(
    id="suppression/expired",
    severity=Severity.WARNING,
    summary="A suppression is past its date and no longer applies.",
    why="A date was set so that somebody looks again; what was silenced is reported from now on.",
    source=_PRACTICE,
    remedy="Look at the findings again; then delete the entry or give it a new date and reason.",
    passes=Example("No suppression is configured."),
    fails=Example(
        "A suppression whose `until` lies in the past.",
        config={
            "suppress": [
                {
                    "rule": "sparge/temperature-high",
                    "reason": "heater was broken",
                    "until": "2001-01-01",
                }
            ]
        },
    ),
)

READING_OUTLIER = Rule(
    id="reading/outlier",
    severity=Severity.NOTE,
    summary="A kept reading lies far from what the others let expect.",
    why="A meter that was not calibrated, a hot sample or a slip in the file is likelier than a "
    "mash so different. It is counted as if it lay three standard deviations off, so that one slip "
    "does not bend the rest.",
    source="derived_default (four standard deviations)",
    remedy="Look at the entry in the file of readings; correct it, or delete it whole.",
    passes=Example("Readings that scatter as one brewer's do."),
    fails=Example("A pH of 6.5 among readings of 5.5."),
)

READING_CHANGED = Rule(
    id="reading/recipe-changed",
    severity=Severity.NOTE,
    summary="The recipe was edited after its mash was read.",
    why="A reading is kept with what was predicted then, so that editing the recipe changes "
    "nothing of what was learnt. The reading belongs to the mash as it was.",
    source="derived_default",
    remedy="Nothing, if the change was meant; read the new mash and keep that too.",
    options={
        "tolerance": Option(
            0.02, "pH", "how far the prediction may move without a word", "derived_default"
        )
    },
    passes=Example("A recipe as it was when its mash was read."),
    fails=Example("A recipe whose grist was changed after its mash was read."),
)

READING_LOT = Rule(
    id="reading/unused-lot",
    severity=Severity.NOTE,
    summary="A kept reading names the lot of a malt that the recipe does not have.",
    why="What is learnt of a lot finds its malt by name; under another one it is learnt of none.",
    source=_PRACTICE,
    remedy="Write the malt in the file of readings as the recipe writes it.",
    passes=Example("Lots of malts of the recipe."),
    fails=Example("A lot of a malt whose name has a slip."),
)

BASELINE_STALE = Rule(
    id="baseline/stale",
    severity=Severity.NOTE,
    summary="The baseline accepts a finding that no longer occurs.",
    why="The recipe was changed. Should the fault come back, the entry would accept it silently.",
    source=_PRACTICE,
    remedy="Run `recipe-tools baseline prune` with the same paths.",
    passes=Example("Every entry of the baseline matches a finding."),
    fails=Example("An entry of the baseline whose finding was repaired."),
)

NO_RECIPES = Rule(
    id="file/no-recipes",
    severity=Severity.ERROR,
    summary="No recipe was found in a folder.",
    why="A check that looks at nothing must not pass: most often the path is mistyped.",
    source=_PRACTICE,
    remedy="Name the folder that holds the .xml or .json recipes.",
    passes=Example("A folder with one recipe in it."),
    fails=Example("An empty folder."),
    not_checked=True,
)

OUTSIDE_ROOT = Rule(
    id="file/outside-root",
    severity=Severity.ERROR,
    summary="A symbolic link leads out of the folder that is being checked.",
    why="Following it would read, and print parts of, files nobody asked to have checked.",
    source=_PRACTICE,
    remedy="Replace the link by a copy, or name the file it points to on the command line.",
    passes=Example("A link to a file within the folder."),
    fails=Example("A link to a file elsewhere."),
    not_checked=True,
)

NOT_OPENED = Rule(
    id="file/not-opened",
    severity=Severity.ERROR,
    summary="A path names nothing that can be opened.",
    why="Nothing was checked there: a mistyped path, or a file or folder you may not read.",
    source=_PRACTICE,
    remedy="Correct the path; it starts from the current folder. If it is right, check that "
    "you may read what is there.",
    passes=Example("A file that is there and may be read."),
    fails=Example("A path with a slip in its name."),
    not_checked=True,
)

NOT_REGULAR = Rule(
    id="file/not-regular",
    severity=Severity.ERROR,
    summary="The path is a pipe, socket or device.",
    why="Reading it could wait for ever or never end.",
    source=_PRACTICE,
    remedy="Save its content to a file, or pass it on standard input with `-`.",
    passes=Example("A regular file."),
    fails=Example("A named pipe in the folder of recipes."),
    not_checked=True,
)

ARCHIVE_DAMAGED = Rule(
    id="archive/damaged",
    severity=Severity.ERROR,
    summary="A zip archive, or a file in one, cannot be unpacked.",
    why="It is damaged, encrypted, packed by an unknown method, or itself an archive.",
    source=_PRACTICE,
    remedy="Pack the recipes themselves again, without a password, into one plain zip archive.",
    passes=Example("A zip archive of recipes."),
    fails=Example("A zip archive that lies within another one."),
    not_checked=True,
)

ARCHIVE_MEMBER_NAME = Rule(
    id="archive/member-name",
    severity=Severity.ERROR,
    summary="A file in a zip archive has a name that leads out of it.",
    why="Absolute paths, parts such as `..` and links are how an archive overwrites other files.",
    source=_PRACTICE,
    remedy="Do not unpack this archive. Ask whoever made it for one with plain relative names.",
    passes=Example("A member named ales/mild.xml."),
    fails=Example("A member named ../mild.xml."),
    not_checked=True,
)

ARCHIVE_OVER_LIMIT = Rule(
    id="archive/over-limit",
    severity=Severity.ERROR,
    summary="A zip archive, or a file in one, is larger than the limits allow.",
    why="A few packed bytes can unpack to more than a machine holds, so sizes are counted.",
    source="derived_default",
    remedy="Unpack the archive if you trust it, and audit the folder; or raise --max-bytes, "
    "--zip-members, --zip-bytes or --zip-ratio (`recipe-tools explain limits`).",
    passes=Example("A zip archive of recipes."),
    fails=Example("A member of a few kilobytes that unpacks to gigabytes."),
    not_checked=True,
)

RULE_FAILED = Rule(
    id="internal/rule-failed",
    severity=Severity.ERROR,
    summary="A rule failed on this recipe; all others were applied.",
    why="It is a fault of this program. Whatever the rule would have said is missing.",
    source=_PRACTICE,
    remedy="Report it with the recipe; until then judge the point the rule is about by hand.",
    passes=Example("Every rule comes to an end."),
    fails=Example("A rule raises an exception."),
)

COMPUTATION_FAILED = Rule(
    id="internal/computation-failed",
    severity=Severity.ERROR,
    summary="The brew day of this recipe could not be computed.",
    why="It is a fault of this program. No rule about water, salts or mash pH was applied.",
    source=_PRACTICE,
    remedy="Report it with the recipe; do not brew on the strength of this report.",
    passes=Example("The computation comes to an end."),
    fails=Example("The computation raises an exception."),
)

READING_FAILED = Rule(
    id="internal/reading-failed",
    severity=Severity.ERROR,
    summary="The reader failed on this file.",
    why="It is a fault of this program. Nothing in the file was checked.",
    source=_PRACTICE,
    remedy="Report it with the file.",
    passes=Example("The reader returns recipes or findings."),
    fails=Example("The reader raises an exception."),
    not_checked=True,
)

POSITIONS_FAILED = Rule(
    id="internal/positions-failed",
    severity=Severity.ERROR,
    summary="The lines of the findings in this file could not be found.",
    why="It is a fault of this program. The findings hold, only their places are missing.",
    source=_PRACTICE,
    remedy="Report it with the file; look the named values up by hand.",
    passes=Example("Every finding has its line."),
    fails=Example("The search for positions raises an exception."),
)

OWN_RULES: Mapping[str, Rule] = {
    item.id: item
    for item in (
        ARCHIVE_DAMAGED,
        ARCHIVE_MEMBER_NAME,
        ARCHIVE_OVER_LIMIT,
        READING_OUTLIER,
        READING_CHANGED,
        READING_LOT,
        BASELINE_STALE,
        CONFIGURATION_UNUSED,
        NO_RECIPES,
        NOT_OPENED,
        NOT_REGULAR,
        OUTSIDE_ROOT,
        COMPUTATION_FAILED,
        POSITIONS_FAILED,
        READING_FAILED,
        RULE_FAILED,
        SUPPRESSION_EXPIRED,
        SUPPRESSION_UNCLEAR,
        SUPPRESSION_UNUSED,
    )
}
