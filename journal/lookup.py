"""The use case behind the look-up box: a query to entries, with kinds as names."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from knowledge.lookup.search import Hit, Lookup

KINDS = ("fault", "dilemma", "drill", "check", "ruling", "term", "cause", "checkpoint")
"""The kinds of entries that can be asked for; named here so that the command line need not load the rules."""


def find(lookup: Lookup, query: str, limit: int = 10, kinds: Collection[str] | None = None) -> list[Hit]:
    """Entries that answer the query, best first; empty for an empty query or one that means nothing here.

    Control characters count as spaces. kinds: only these; None or nothing for all.
    """
    clean = "".join(char if char.isprintable() else " " for char in query)
    return lookup.search(clean, limit, kinds or None)
