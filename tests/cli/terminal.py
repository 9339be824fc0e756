"""A terminal of its own for one run of the program: what it shows, and what is typed into it."""

from __future__ import annotations

import os
import pty
import select
import subprocess
import sys
from pathlib import Path
from types import TracebackType

from tests.standards import REPOSITORY

SECONDS = 60.0
PROMPT = "\n> "


class Terminal:
    """Runs ``recipe-tools`` in a pseudo-terminal; leaves nothing running behind it."""

    def __init__(self, folder: Path, *arguments: str) -> None:
        self.end, other = pty.openpty()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "recipe_tools", *arguments],
            cwd=folder,
            env={**os.environ, "PYTHONPATH": str(REPOSITORY), "PYTHONUTF8": "1", "COLUMNS": "80"},
            stdin=other,
            stdout=other,
            stderr=other,
            start_new_session=True,
            preexec_fn=_take_terminal,
        )
        os.close(other)
        self.shown = ""

    def __enter__(self) -> Terminal:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        os.close(self.end)

    def until(self, text: str = PROMPT) -> str:
        """Return what is shown up to a text, the next prompt where nothing else is asked for."""
        while text not in self.shown:
            more = self._read()
            if not more:
                raise AssertionError(f"{text!r} is not shown but {self.shown!r}")
            self.shown += more
        before, _, self.shown = self.shown.partition(text)
        return before

    def type(self, line: str) -> str:
        """Type a line and return what is shown up to the next prompt, without the echo."""
        os.write(self.end, f"{line}\n".encode())
        return self.until().partition("\n")[2]

    def press(self, key: bytes) -> None:
        """Press a key, such as Ctrl-C."""
        os.write(self.end, key)

    def rest(self) -> tuple[int, str]:
        """Return the exit code and what is shown to the end."""
        while more := self._read():
            self.shown += more
        return self.process.wait(SECONDS), self.shown

    def _read(self) -> str:
        ready, _, _ = select.select([self.end], [], [], SECONDS)
        if not ready:
            raise AssertionError(f"nothing more is shown after {self.shown!r}")
        try:
            return os.read(self.end, 65536).decode("utf-8", "replace").replace("\r\n", "\n")
        except OSError:  # the other end is closed
            return ""


def _take_terminal() -> None:
    """Make the terminal the one that Ctrl-C of the process comes from."""
    import fcntl
    import termios

    fcntl.ioctl(0, termios.TIOCSCTTY, 0)
