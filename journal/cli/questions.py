"""plainball ask: a pupil's question becomes a draft reply that a coach edits."""

from __future__ import annotations

import argparse
from typing import Any

from journal.cli.output import as_json, read_input


def add(subparsers: Any) -> None:
    """Register the command."""
    ask = subparsers.add_parser("ask", help="draft a reply to a pupil's question: plainball ask PLAYER TEXT…")
    ask.add_argument("player", metavar="PLAYER")
    ask.add_argument("text", nargs="+", metavar="TEXT", help="the question's words; - reads standard input")
    ask.add_argument("--dont-keep", action="store_true", help="do not store the question and the draft")
    ask.add_argument("--json", action="store_true", help="as JSON")
    ask.set_defaults(run=run_ask)


def run_ask(args: argparse.Namespace) -> int:
    """Read the question, draft the reply, keep both."""
    from journal.players import find_player
    from journal.remote import draft_reply, keep_question

    desk = args.desk
    text = read_input("-") if args.text == ["-"] else " ".join(args.text)
    with desk.store.work() as work:
        player = find_player(work, args.player)
        reading = desk.reader.read(text)
        draft = draft_reply(work, desk.rules, player, text, reading, now=desk.now(), today=desk.today(player))
        if not args.dont_keep:
            keep_question(work, player, text, draft.text, now=desk.now())
            work.commit()
    if args.json:
        questions = [{"about": q.about, "text": q.text, "bits": round(q.bits, 4)} for q in draft.questions]
        as_json(
            {
                "faults": draft.faults,
                "questions": questions,
                "unseen": draft.unseen,
                "caution": draft.caution,
                "for_coach": draft.for_coach,
                "draft": draft.text,
            }
        )
    else:
        print(draft.text)
        if draft.for_coach:
            print(f"\nFor the coach, not part of the reply: {draft.for_coach}")
    return 0
