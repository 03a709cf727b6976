"""What a screen or a command works with: the open journal, the rules, the reader and the clock.

Everything is made when first asked for, so that a command pays only for what it uses.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import UTC, date, datetime, tzinfo
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from journal.errors import BadInput, BrokenRules
from journal.records import Player

if TYPE_CHECKING:
    from journal.recordings import Recordings
    from journal.store.work import Store
    from knowledge.lookup.search import Lookup
    from knowledge.reading.reader import Reader
    from knowledge.rulebase import RuleBase


def utc_now() -> datetime:
    """The machine's time; handed over as a clock, so that tests can stop it."""
    return datetime.now(UTC)


class Desk:
    """One sitting with a journal.

    place: a file path or a database URL; None for ``PLAINBALL_JOURNAL`` or the platform's data folder.
    own_rules: a coach's own folder of rules. clock: gives an aware time.
    """

    def __init__(
        self,
        place: str | Path | None = None,
        own_rules: Path | None = None,
        clock: Callable[[], datetime] = utc_now,
    ) -> None:
        self._place = place
        self._own_rules = own_rules
        self.now = clock

    @cached_property
    def place(self) -> str:
        """Where the journal lies."""
        from journal.store.opening import default_path

        return str(self._place or os.environ.get("PLAINBALL_JOURNAL") or default_path())

    @property
    def folder(self) -> Path:
        """The journal file's folder (the data folder for a database server)."""
        from journal.store.opening import default_path

        return (
            default_path().parent if "://" in self.place else Path(self.place).expanduser().resolve().parent
        )

    @cached_property
    def store(self) -> Store:
        """The journal. Raises: StoreUnusable."""
        from journal.store.work import open_store

        return open_store(self.place)

    @cached_property
    def recordings(self) -> Recordings:
        """The recordings beside the journal."""
        from journal.recordings import Recordings

        return Recordings.beside(self.place)

    @cached_property
    def rules(self) -> RuleBase:
        """The rule base with the coach's own folder laid over it. Raises: BrokenRules."""
        from knowledge.rulebase import RulesError, load_rules

        own = self._own_rules or (Path(named) if (named := os.environ.get("PLAINBALL_RULES")) else None)
        try:
            return load_rules(own)
        except RulesError as error:
            problems = error.problems
            more = f"\n  … and {len(problems) - 5} more" if len(problems) > 5 else ""
            listing = "\n".join(map(str, problems[:5]))
            raise BrokenRules(
                f"{len(problems)} problem(s) in the rules\n{listing}{more}", "Run: plainball rules check DIR"
            ) from error

    @cached_property
    def reader(self) -> Reader:
        """The recogniser, with its encoder loaded."""
        from knowledge.reading.reader import Reader

        return Reader(self.rules)

    @cached_property
    def lookup(self) -> Lookup:
        """The search over the rule base."""
        from knowledge.lookup.search import shipped_lookup

        return shipped_lookup(self.rules)

    def today(self, player: Player | None = None) -> date:
        """The day it is where the player lives."""
        return self.now().astimezone(zone_of(player)).date()

    def close(self) -> None:
        """Let go of the journal, if it was opened."""
        if "store" in self.__dict__:
            self.store.close()


def zone_of(player: Player | None) -> tzinfo:
    """The player's time zone. Raises: BadInput when its name is unknown."""
    name = player.time_zone if player else "UTC"
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError) as error:
        raise BadInput(f"unknown time zone {name!r}", "Use a name such as Europe/London.") from error
