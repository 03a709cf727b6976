"""The real program in a real pseudo-terminal, driven and killed from outside."""

from __future__ import annotations

import fcntl
import os
import pty
import signal
import struct
import sys
import termios
import threading
import time
from pathlib import Path


class Terminal:
    """plainball on a journal, in 80 columns and 24 lines. ``said``: every byte it wrote so far."""

    def __init__(self, journal: Path, *words: str) -> None:
        self.pid, self._screen = pty.fork()
        if self.pid == 0:  # the child becomes the program
            os.environ.update({"TERM": "xterm-256color", "PLAINBALL_JOURNAL": str(journal)})
            os.execv(sys.executable, [sys.executable, "-m", "journal.cli.main", *words])
        fcntl.ioctl(self._screen, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        self.said = b""
        threading.Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        while True:
            try:
                self.said += os.read(self._screen, 65536)
            except OSError:
                return

    def press(self, keys: str) -> float:
        """Send keys; the time they were sent."""
        os.write(self._screen, keys.encode())
        return time.perf_counter()

    def wait_for(self, words: str, *, since: int = 0, seconds: float = 60.0) -> float:
        """Wait until the program wrote these words; the time they were there."""
        end = time.perf_counter() + seconds
        while time.perf_counter() < end:
            if words.encode() in self.said[since:]:
                return time.perf_counter()
            time.sleep(0.002)
        raise AssertionError(f"{words!r} never came; the last it said: {self.said[-1500:]!r}")

    def kill(self) -> None:
        """SIGKILL: no chance to save anything."""
        os.kill(self.pid, signal.SIGKILL)
        os.waitpid(self.pid, 0)
        os.close(self._screen)

    def ended(self, seconds: float = 60.0) -> int:
        """Wait for its own end; the exit status."""
        end = time.perf_counter() + seconds
        while time.perf_counter() < end:
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            if pid:
                return os.waitstatus_to_exitcode(status)
            time.sleep(0.02)
        self.kill()
        raise AssertionError("it did not end by itself")
