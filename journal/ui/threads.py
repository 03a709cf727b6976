"""Work beside the event loop. Threads are daemons, so that leaving never waits for a long reading."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable, Coroutine
from typing import Any, Generic, TypeVar

T = TypeVar("T")
V = TypeVar("V")


async def beside(job: Callable[[], T]) -> T:
    """Run a job on a thread of its own and give its result back. Raises: what the job raises."""
    loop = asyncio.get_running_loop()
    future: asyncio.Future[T] = loop.create_future()

    def settle(how: Callable[[Any], None], value: Any) -> None:
        if not future.done():
            how(value)

    def tell(how: Callable[[Any], None], value: Any) -> None:
        try:
            loop.call_soon_threadsafe(settle, how, value)
        except RuntimeError:  # the program was left meanwhile and nobody waits any more
            return

    def run() -> None:
        try:
            result = job()
        except BaseException as error:
            tell(future.set_exception, error)
        else:
            tell(future.set_result, result)

    threading.Thread(target=run, name="journal work", daemon=True).start()
    return await future


class Latest(Generic[V, T]):
    """One job at a time; of what is asked meanwhile only the last is done, and only its answer is told.

    start: runs a coroutine on the event loop. job: on a thread. done: (value, answer), on the event loop.
    failed: what to do with an error of the job.
    """

    def __init__(
        self,
        start: Callable[[Coroutine[Any, Any, None]], object],
        job: Callable[[V], T],
        done: Callable[[V, T], None],
        failed: Callable[[Exception], None],
    ) -> None:
        self._start, self._job, self._done, self._failed = start, job, done, failed
        self._waiting: list[V] = []
        self.busy = False

    def ask(self, value: V) -> None:
        """Do the job for this value as soon as the running one ends."""
        self._waiting = [value]
        if not self.busy:
            self.busy = True
            self._start(self._run())

    async def _run(self) -> None:
        try:
            while self._waiting:
                value = self._waiting.pop()
                try:
                    answer = await beside(lambda value=value: self._job(value))  # type: ignore[misc]
                except Exception as error:  # a worker's boundary: the screen logs and shows it
                    self._failed(error)
                    continue
                if not self._waiting:
                    self._done(value, answer)
        finally:
            self.busy = False
