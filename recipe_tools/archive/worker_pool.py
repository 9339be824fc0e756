"""Work shared out to processes: results in order; a process that dies costs one item at most."""

from __future__ import annotations

import sys
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures import TimeoutError as NotYet
from concurrent.futures.process import BrokenProcessPool
from itertools import islice
from typing import Generic, TypeVar

Item = TypeVar("Item")
Result = TypeVar("Result")

_WAITING_PER_JOB = 3
"""Parts handed out ahead for each process: enough to keep it busy, few enough to hold in memory."""

_LOOK_UP_S = 0.2
"""How often a wait looks up whether it is to stop, in seconds."""


_MOST_ON_WINDOWS = 61
"""Processes that Windows can wait for at a time; Python refuses more."""


class Stopped(Exception):  # noqa: N818  (what happened)
    """Somebody asked for the work to stop."""


class WorkerPool(Generic[Item, Result]):
    """Processes that turn parts of items into as many results.

    work: called in a process with a part; it must not raise. start: called with ``start_with`` in
    each process at first. stop: tells whether to end early.
    """

    def __init__(
        self,
        jobs: int,
        work: Callable[[Sequence[Item]], list[Result]],
        start: Callable[..., None],
        start_with: tuple[object, ...] = (),
        stop: Callable[[], bool] = lambda: False,
    ) -> None:
        self._jobs = jobs
        self._work = work
        self._start = start
        self._start_with = start_with
        self._stop = stop

    def in_order(
        self, parts: Iterable[Sequence[Item]]
    ) -> Iterator[tuple[Sequence[Item], list[Result | None]]]:
        """Yield each part with its results in the order of the parts.

        None stands for an item whose process died. Raises Stopped.
        """
        source = iter(parts)
        waiting: deque[tuple[Sequence[Item], Future[list[Result]]]] = deque()
        pool = self._pool(self._jobs)
        try:
            while True:
                ahead = self._jobs * _WAITING_PER_JOB - len(waiting)
                for part in islice(source, max(0, ahead)):
                    waiting.append((part, _submitted(pool, self._work, part)))
                if not waiting:
                    return
                part, future = waiting.popleft()
                try:
                    yield part, list(self._result(future))
                except BrokenProcessPool:
                    pool.shutdown(wait=True, cancel_futures=True)
                    # Nobody says which part did it: all that were handed out are suspect.
                    suspects = [part, *(later for later, _ in waiting)]
                    done = {id(later): found for later, found in waiting}
                    waiting.clear()
                    for suspect in suspects:
                        earlier = done.get(id(suspect))
                        yield suspect, self._again(suspect, earlier)
                    pool = self._pool(self._jobs)
        finally:
            pool.shutdown(wait=True, cancel_futures=True)

    def _again(
        self, part: Sequence[Item], earlier: Future[list[Result]] | None
    ) -> list[Result | None]:
        """Return the results of a part, worked on item by item where they were lost."""
        finished = earlier is not None and earlier.done() and not earlier.cancelled()
        if earlier is not None and finished and earlier.exception() is None:
            return list(earlier.result())
        results: list[Result | None] = []
        pool = self._pool(1)
        try:
            for item in part:
                try:
                    results += self._result(_submitted(pool, self._work, [item]))
                except BrokenProcessPool:
                    results.append(None)
                    pool.shutdown(wait=True, cancel_futures=True)
                    pool = self._pool(1)
        finally:
            pool.shutdown(wait=True, cancel_futures=True)
        return results

    def _result(self, future: Future[list[Result]]) -> list[Result]:
        while True:
            try:
                return future.result(timeout=_LOOK_UP_S)
            except NotYet:
                if future.done():
                    return future.result()
                if self._stop():
                    raise Stopped from None

    def _pool(self, jobs: int) -> ProcessPoolExecutor:
        most = _MOST_ON_WINDOWS if sys.platform == "win32" else jobs
        return ProcessPoolExecutor(
            max_workers=min(jobs, most),
            initializer=_started,
            initargs=(self._start, self._start_with),
        )


def _submitted(
    pool: ProcessPoolExecutor, work: Callable[[Sequence[Item]], list[Result]], part: Sequence[Item]
) -> Future[list[Result]]:
    try:
        return pool.submit(work, part)
    except BrokenProcessPool as error:
        # The pool noticed the death of a process before this part was handed out.
        lost: Future[list[Result]] = Future()
        lost.set_exception(error)
        return lost


def _started(start: Callable[..., None], start_with: tuple[object, ...]) -> None:
    """Let Ctrl-C end the main process alone, which then ends its workers without tracebacks."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    start(*start_with)
