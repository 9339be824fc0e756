"""A small client of the Chrome DevTools Protocol over a pipe, enough to look at one page."""

from __future__ import annotations

import json
import os
import select
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome-stable", "google-chrome", "chrome")
PATIENCE_S = 60.0

Message = dict[str, Any]

_START = """
import fcntl, os, sys
ends = [fcntl.fcntl(int(end), fcntl.F_DUPFD, 10) for end in sys.argv[1:3]]
for place, end in zip((3, 4), ends):
    os.dup2(end, place)
os.execv(sys.argv[3], sys.argv[3:])
"""
"""Starts the browser, which reads commands from descriptor 3 and answers on descriptor 4."""


def require_chromium() -> str:
    """Return the path of a Chromium, or skip the test with the reason."""
    for name in NAMES:
        path = shutil.which(name)
        if path:
            return path
    pytest.skip("no chromium on this machine: the page is not looked at in a browser")


class Page:
    """One page of a running browser. events: everything the browser told without being asked."""

    def __init__(self, to_browser: int, from_browser: int) -> None:
        self._to, self._from = to_browser, from_browser
        self._unread = b""
        self._number = 0
        self._session: str | None = None
        self.events: list[Message] = []

    def attach(self) -> None:
        """Open an empty page and listen to it."""
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        attached = self.call("Target.attachToTarget", targetId=target, flatten=True)
        self._session = attached["sessionId"]
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.call(f"{domain}.enable")

    def call(self, method: str, **parameters: Any) -> Message:
        """Send a command and return its result."""
        self._number += 1
        message: Message = {"id": self._number, "method": method, "params": parameters}
        if self._session:
            message["sessionId"] = self._session
        os.write(self._to, json.dumps(message).encode() + b"\0")
        while True:
            answer = self._next()
            if answer.get("id") == self._number:
                assert "error" not in answer, answer
                result: Message = answer["result"]
                return result
            self.events.append(answer)

    def open(self, path: Path) -> None:
        """Load a file and wait until it is complete."""
        self.events.clear()
        self.call("Page.navigate", url=path.as_uri())
        deadline = time.monotonic() + PATIENCE_S
        while not self.told("Page.loadEventFired"):
            assert time.monotonic() < deadline, "the page did not load"
            self.events.append(self._next())

    def told(self, method: str) -> list[Message]:
        """Return the parameters of all events of that name."""
        return [item["params"] for item in self.events if item.get("method") == method]

    def value(self, expression: str) -> Any:
        """Return what an expression gives in the page."""
        answer = self.call(
            "Runtime.evaluate", expression=expression, returnByValue=True, userGesture=True
        )
        assert "exceptionDetails" not in answer, answer
        return answer["result"].get("value")

    def _next(self) -> Message:
        while b"\0" not in self._unread:
            ready, _, _ = select.select([self._from], [], [], PATIENCE_S)
            assert ready, "the browser does not answer"
            data = os.read(self._from, 1 << 16)
            assert data, "the browser has ended"
            self._unread += data
        message, _, self._unread = self._unread.partition(b"\0")
        parsed: Message = json.loads(message)
        return parsed


@contextmanager
def browser_page(profile: Path) -> Iterator[Page]:
    """Run a headless Chromium with a fresh profile and yield its page."""
    chromium = require_chromium()
    read_commands, write_commands = os.pipe()
    read_answers, write_answers = os.pipe()
    flags = [
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-dev-shm-usage",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--no-first-run",
        f"--user-data-dir={profile}",
        "--remote-debugging-pipe",
    ]
    ends = [str(read_commands), str(write_answers)]
    process = subprocess.Popen(
        [sys.executable, "-c", _START, *ends, chromium, *flags],
        pass_fds=(read_commands, write_answers),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    os.close(read_commands)
    os.close(write_answers)
    page = Page(write_commands, read_answers)
    try:
        page.attach()
        yield page
    finally:
        with suppress(OSError):
            os.close(write_commands)
        try:
            process.wait(timeout=10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
        os.close(read_answers)
