"""Where this computer is, as far as clocks go."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError


def local_zone(link: Path = Path("/etc/localtime"), named: str | None = None) -> str:
    """The computer's time zone by name ("Europe/London"); "UTC" when it cannot be told.

    named: stands for the variable TZ.
    """
    named = os.environ.get("TZ") if named is None else named
    candidates = [(named or "").lstrip(":")]
    with contextlib.suppress(OSError):
        candidates.append(str(link.resolve(strict=True)).partition("zoneinfo/")[2])
    for name in candidates:
        if name and not name.startswith("/"):
            try:
                return ZoneInfo(name).key
            except (ZoneInfoNotFoundError, ValueError, OSError):
                continue
    return "UTC"
