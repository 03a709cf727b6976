"""Taking a player's records out, in an open format, and erasing them."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from journal.records import Player
from journal.store.work import UnitOfWork

if TYPE_CHECKING:
    from journal.recordings import Recordings

SHELVES = (
    "notes",
    "sightings",
    "figures",
    "own_utterances",
    "check_results",
    "changes",
    "free_times",
    "busy_times",
    "matches",
    "plans",
    "plan_items",
    "results",
    "questions",
)
"""Everything that is kept of a player besides the player's own row and an unfinished draft."""


def everything_of(work: UnitOfWork, player: Player) -> dict[str, Any]:
    """All records of a player as plain values for JSON; the player can read all of it."""
    plain: dict[str, Any] = {"player": asdict(player)}
    for name in SHELVES:
        plain[name] = [asdict(record) for record in getattr(work, name).all(player_id=player.id)]
    plain["drafts"] = [asdict(draft) for draft in work.drafts.all(player_id=player.id)]
    return plain


def erase_player(work: UnitOfWork, player: Player, recordings: Recordings) -> dict[str, int]:
    """Remove a player, every record and every sound of theirs; returns how many went from each shelf.

    The sound goes first, before the rows are committed. Raises: CannotWrite; then no row has gone.
    """
    gone = {name: getattr(work, name).count(player_id=player.id) for name in SHELVES}
    work.players.remove(id=player.id)
    chosen = work.settings.one(key="player")
    if chosen and chosen.value.get("id") == player.id:
        work.settings.remove(key="player")
    gone["kept_recordings"] = recordings.erase_player(player.id)
    return {name: count for name, count in gone.items() if count}
