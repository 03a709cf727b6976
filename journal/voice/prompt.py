"""The words the recogniser is told to expect.

The model takes at most 223 tokens (about 900 letters) as "what was said before". A made-up note in the
style of real ones moved it more than a bare list of words: see the README's table of speech figures.
"""

from __future__ import annotations

from collections.abc import Sequence

from knowledge.entries import Term

NOTE = (
    "The white was tight on the baulk cushion, so I raised the butt of the cue and miscued. My "
    "feathering was rushed, no pause at the back of the backswing, and I snatched. Cueing across the "
    "cue ball put check side on it. I stunned the blue, screwed back off the black and brown, went in- "
    "off, and the object ball caught the jaws of the centre pocket. Undercut, overhit, too thick, half "
    "ball, thin cut, plain ball, running side, swerve, topspin, deep screw. Snookered behind the pack "
    "of reds, foul and a miss, safety to baulk, a plant, a cannon, a double kiss. Chin on the cue, "
    "elbow, forearm, wrist, grip, stance, bridge hand, sighting, follow-through, rest, spider, chalk, "
    "tip, nap, pots, baulk colours."
)
"""A note that nobody wrote, dense with words of the trade."""

_OWN_LETTERS = 120


def prompt(terms: Sequence[Term], own_words: Sequence[str]) -> str:
    """The player's own words and the coach's own terms, as many as fit in front, then the made-up note."""
    kept: list[str] = []
    for word in (*own_words, *(term.term for term in terms if term.own)):
        if sum(map(len, kept)) + 2 * len(kept) + len(word) > _OWN_LETTERS:
            break
        kept.append(word)
    return f"{', '.join(dict.fromkeys(kept))}. {NOTE}" if kept else NOTE
