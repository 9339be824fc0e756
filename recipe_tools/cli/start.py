"""``recipe-tools start``: asks for water, brewery and shelf, and writes the two files once."""

from __future__ import annotations

import io
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from recipe_tools.cli.manual import Manual
from recipe_tools.cli.output import CLEAN, INCOMPLETE, say
from recipe_tools.reports.terminal import visible, wrapped

if TYPE_CHECKING:
    from recipe_tools.setting_up.answers import Answers
    from recipe_tools.setting_up.questions import Question
    from recipe_tools.water_report.balance import Balance

_LATER = frozenset(
    ("later", "quit", "exit", "später", "plus tard", "más tarde", "più tardi", "později", "później")
)
_BACK, _HELP = "back", "?"
_WELCOME = (
    "Type each answer as your water report prints it, with its unit; a figure may also come with "
    "its name, in any of the languages. Enter: not stated. ?: more. back: the question before. "
    "later: leave, and go on another day."
)


@click.command("start", cls=Manual)
@click.option(
    "--answers",
    "answers_file",
    metavar="FILE",
    type=click.Path(),
    help="Take the answers from a file and ask nothing.",
)
def command(answers_file: str | None) -> int:
    """Ask for the figures of a water report, the brewery and the shelf; write two files.

    Writes `tap.toml` and `recipe-tools.toml` into the current folder and never over a file that is
    there. Answers are kept as they are typed: leave with `later`, Ctrl-C or Ctrl-D, and the next
    `recipe-tools start` goes on. Without a terminal, `--answers FILE` holds a line for each answer,
    such as `calcium: 62 mg/l`; what `start` keeps is such a file.
    """
    from recipe_tools.setting_up.answers import Answers
    from recipe_tools.setting_up.files import CONFIG, TAP

    there = [name for name in (TAP, CONFIG) if Path(name).exists()]
    if answers_file is not None:
        if there:
            raise click.UsageError(
                f"{' and '.join(there)} would be written over; nothing was done."
            )
        answers = _from_file(answers_file)
        if (found := answers.balance()) is not None:
            click.echo(_balance_line(found))
        return _finish(answers, ())
    if len(there) == 2:
        raise click.UsageError(f"{TAP} and {CONFIG} are here already; there is nothing to ask.")
    if not sys.stdin.isatty():
        raise click.UsageError(
            "start asks questions: run it in a terminal, or give --answers FILE."
        )
    if isinstance(sys.stdin, io.TextIOWrapper):
        # A terminal may send what its encoding lacks; then a name is not understood, and said so.
        sys.stdin.reconfigure(errors="replace")
    return _Session(Answers(), there).run()


def _from_file(name: str) -> Answers:
    """Return the answers of a file. Raises click.UsageError with all that is wrong in it."""
    from recipe_tools.setting_up.answers import Answers
    from recipe_tools.setting_up.files import take_lines
    from recipe_tools.toml_in import TomlError, read_regular_file

    answers = Answers()
    try:
        text = read_regular_file(Path(name)).decode("utf-8-sig")
    except TomlError as error:
        raise click.UsageError(visible(f"{name} {error}")) from None
    except UnicodeDecodeError:
        raise click.UsageError(visible(f"{name} is not UTF-8; save it as UTF-8")) from None
    wrong = list(take_lines(answers, text))
    gap = answers.gap()
    if gap is not None:
        wrong.append(f"the figures cannot all be true: {gap.explanation} `keep: yes` takes them")
    if not answers.typed:
        wrong.append("it holds no answers; a line is such as `calcium: 62 mg/l`")
    if wrong:
        raise click.UsageError("\n".join(visible(f"{name}: {line}") for line in wrong))
    return answers


class _Session:
    """Questions and answers in a terminal."""

    def __init__(self, answers: Answers, there: list[str]) -> None:
        self.answers = answers
        self.there = there
        self.shown_balance: tuple[float, float] | None = None

    def run(self) -> int:
        """Ask what is open, write the files, and return the exit code."""
        from recipe_tools.setting_up.files import DRAFT

        try:
            self._take_up()
            asked: list[Question] = []
            while (question := self._next()) is not None:
                if question.group in ("brewery", "shelf"):
                    self._settle_the_gap()
                going = self._ask(question)
                if going == _BACK:
                    if asked:
                        self._forget(asked.pop())
                    continue
                asked.append(question)
            self._settle_the_gap()
        except EOFError:
            return self._left()
        except KeyboardInterrupt:
            self._left()
            raise
        code = _finish(self.answers, self.there)
        if code == CLEAN:
            Path(DRAFT).unlink(missing_ok=True)
        return code

    def _take_up(self) -> None:
        from recipe_tools.setting_up.files import DRAFT, is_draft, take_lines
        from recipe_tools.toml_in import TomlError, read_regular_file

        for line in wrapped(_WELCOME, first="", rest=""):
            click.echo(line)
        for name in self.there:
            click.echo(f"{name} is here already and stays as it is.")
        if not Path(DRAFT).exists():
            return
        try:
            text = read_regular_file(Path(DRAFT)).decode("utf-8", "replace")
        except TomlError as error:
            raise click.UsageError(f"{DRAFT} {error}") from None
        if not is_draft(text):
            raise click.UsageError(f"{DRAFT} is here, and not from recipe-tools: move it away.")
        for problem in take_lines(self.answers, text):
            click.echo(visible(f"{DRAFT}: {problem}"))
        many = sum(map(len, self.answers.typed.values()))
        click.echo(f"Going on after {many} answers, which {DRAFT} holds.")

    def _next(self) -> Question | None:
        from recipe_tools.setting_up.files import CONFIG, TAP

        skipped = {"water", "figures"} if TAP in self.there else set()
        skipped |= {"brewery", "shelf"} if CONFIG in self.there else set()
        open_ones = self.answers.open_questions()
        return next((item for item in open_ones if item.group not in skipped), None)

    def _ask(self, question: Question) -> str:
        """Ask until the question is answered; return `back` where the one before is wanted."""
        text = self._text(question)
        while True:
            click.echo()
            for line in wrapped(text, first="", rest="  "):
                click.echo(line)
            typed = self._line()
            if typed == _BACK:
                return _BACK
            if typed == _HELP:
                for line in wrapped(question.help, first="  ", rest="  "):
                    click.echo(line)
                continue
            reply = self.answers.take(question.id, typed)
            for line in wrapped(visible(reply.said), first="  ", rest="  ") if reply.said else ():
                click.echo(line)
            if reply.done or reply.taken:
                self._save()
                self._show_balance()
            if reply.done:
                return ""
            if question.id == "shelf" and reply.taken:
                text = "What else? An empty line ends the list."

    def _text(self, question: Question) -> str:
        from recipe_tools.setting_up.questions import names_of

        if question.group != "figures":
            return question.text
        names = names_of(question.id, self.answers.language)
        return f"{question.text}  ({', '.join(names)})" if names else question.text

    def _line(self) -> str:
        sys.stdout.write("> ")
        sys.stdout.flush()
        line = sys.stdin.readline()
        if not line:
            raise EOFError
        typed = line.strip()
        if typed.casefold() in _LATER:
            raise EOFError
        return typed

    def _show_balance(self) -> None:
        found = self.answers.balance()
        if found is None or self.shown_balance == found[:2]:
            return
        self.shown_balance = found[:2]
        more = "" if found.verdict == "balanced" else f". {found.explanation}"
        for line in wrapped(f"{_balance_line(found)}{more}", first="  ", rest="  "):
            click.echo(line)

    def _settle_the_gap(self) -> None:
        """Ask again where the figures cannot all be true, until they can or are kept."""
        from recipe_tools.setting_up.answers import KEEP
        from recipe_tools.setting_up.files import TAP

        while TAP not in self.there and (gap := self.answers.gap()) is not None:
            click.echo()
            text = (
                f"These figures cannot all be true. {gap.explanation} Type the wrong one again "
                "with its name, such as `sulfate 52 mg/l`, or keep to take them as they are."
            )
            for line in wrapped(text, first="", rest=""):
                click.echo(line)
            typed = self._line()
            if typed.casefold() in (KEEP, "behalten"):
                self.answers.take(KEEP, "yes")
            elif typed:
                reply = self.answers.take("", typed)
                click.echo(f"  {visible(reply.said)}")
                self._show_balance()
            self._save()

    def _forget(self, question: Question) -> None:
        self.answers.typed.pop(question.id, None)
        if question.id == "shelf":
            self.answers.shelf.clear()

    def _save(self) -> None:
        """Keep the answers as they were typed, so that they outlast a closed window."""
        from recipe_tools.editing.writing import NotWrittenError, new_file, replace_file
        from recipe_tools.setting_up.files import DRAFT, draft

        path, data = Path(DRAFT), draft(self.answers)
        try:
            if path.exists():
                replace_file(path, data, read=path.read_bytes(), root=path.parent)
            else:
                new_file(path, data, root=path.parent)
        except (NotWrittenError, OSError) as error:
            say(f"{DRAFT} was not written: {error}.")

    def _left(self) -> int:
        from recipe_tools.setting_up.files import DRAFT

        click.echo()
        if self.answers.typed:
            click.echo(f"Left. {DRAFT} holds your answers; `recipe-tools start` goes on with them.")
        return CLEAN


def _balance_line(found: Balance) -> str:
    return (
        f"Charge balance: cations {found.cations_meq_l:.2f}, anions {found.anions_meq_l:.2f} "
        f"mEq/L, difference {found.difference_percent:+.1f} %: {found.verdict}"
    )


def _finish(answers: Answers, there: list[str] | tuple[str, ...]) -> int:
    """Write the files that are not there yet and say what to do next."""
    from recipe_tools.editing.writing import NotWrittenError, new_file
    from recipe_tools.setting_up.files import CONFIG, DRAFT, TAP, config_file, tap_file

    water = answers.has_water and TAP not in there
    files = {TAP: tap_file(answers)} if water else {}
    if CONFIG not in there:
        files[CONFIG] = config_file(answers, water=water or TAP in there)
    for name, data in files.items():
        try:
            new_file(Path(name), data, root=Path())
        except NotWrittenError as error:
            say(f"{name} was not written: {error}. The answers are in {DRAFT}.")
            return INCOMPLETE
        click.echo(f"{name} written")
    if CONFIG in there and water:
        click.echo(f'Brew with it: write report = "{TAP}" below [water] in {CONFIG}.')
    if not answers.has_water and TAP not in there:
        click.echo("No figure of the water was given: `recipe-tools start` can be run again.")
    click.echo("Next: recipe-tools check my-recipe.xml")
    return CLEAN
