"""``plainball demo``: the whole job on an invented club, without asking anything."""

from __future__ import annotations

import argparse
import tempfile
import textwrap
import time
from collections.abc import Sized
from pathlib import Path
from typing import Any

from journal.days import clock, day_words
from journal.errors import BadInput, CannotWrite
from knowledge.rulebase import RuleBase

WIDTH = 88


def add(commands: Any) -> None:
    """Register ``demo``."""
    parser = commands.add_parser("demo", help="run the whole job on an invented club")
    parser.add_argument(
        "--into", metavar="DIR", type=Path, help="keep the journal and the papers in this folder"
    )
    parser.add_argument("--open", action="store_true", help="open the screens on it afterwards")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Fill a throw-away journal and tell what was done."""
    from journal.demo import fill
    from journal.desk import Desk

    folder = _folder(args.into)
    desk = Desk(folder / "journal.db", clock=args.desk.now)
    teller = Teller(desk.rules, time.perf_counter())
    try:
        fill(desk, folder, told=teller.told)
    finally:
        desk.close()
    left = sorted(each.name for each in folder.iterdir() if each.suffix in (".db", ".ics", ".pdf"))
    print(f"\nIn {folder}: {', '.join(left)}")
    print(f"Look into it: plainball --journal {folder / 'journal.db'}   ({teller.seconds:.0f} s)")
    if args.open:
        from journal.cli.main import entry

        return entry(["--journal", str(folder / "journal.db"), "open", "--player", "Tamsin"])
    return 0


def _folder(into: Path | None) -> Path:
    if into is None:
        return Path(tempfile.mkdtemp(prefix="plainball-demo-"))
    try:
        into.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise CannotWrite(
            f"{into} cannot be made: {error.strerror}", "Name a folder you may write to."
        ) from error
    if (into / "journal.db").exists():
        raise BadInput(f"{into} holds a journal already", "Name another folder, or remove it.")
    return into.resolve()


class Teller:
    """Prints each stage's real result in a few lines."""

    def __init__(self, rules: RuleBase, began: float) -> None:
        self.rules, self._began = rules, began

    @property
    def seconds(self) -> float:
        """Since the demo began."""
        return time.perf_counter() - self._began

    def told(self, stage: str, result: Any) -> None:
        """Show one stage."""
        getattr(self, f"_{stage}")(result)

    def _club(self, result: Any) -> None:
        club, people = result
        names = ", ".join(f"{p.name} ({p.level}, {p.hand}-handed)" for p in people)
        print(f"{club.club}: coach {club.coach} keeps {len(people)} players: {names}.")
        rules = self.rules
        kinds: dict[str, Sized] = {
            "faults": rules.faults,
            "causes": rules.causes,
            "checks": rules.checks,
            "drills": rules.drills,
        }
        print(f"Rules: {', '.join(f'{len(each)} {name}' for name, each in kinds.items())}.")

    def _notes(self, taken: Any) -> None:
        sightings = [s for each in taken for s in each.sightings]
        from journal.demo import SURE

        sure = sum(s.confidence >= SURE for s in sightings)
        figures = sum(len(each.figures) for each in taken)
        print(
            f"\nRead {len(taken)} notes: {len(sightings)} sightings, {sure} confirmed (confidence {SURE:g} and "
            f"more), {figures} figures. The latest:"
        )
        for each in taken[-4:]:
            self._one(each)

    def _one(self, taken: Any) -> None:
        for caution in taken.cautions:
            print(_wrap(f"  ! {caution.words}: {caution.advice}", 4))
        for sighting in taken.sightings:
            times = f" ×{sighting.count}" if sighting.count else ""
            words = " ".join(sighting.words.split())
            seen = f"{self._name(sighting.fault)}: {sighting.polarity}{times} ({sighting.confidence:.0%})"
            print(_wrap(f"  {sighting.day:%d %b}  {seen}, from “{words}”", 10))

    def _heard(self, transcript: Any) -> None:
        print(
            f"\nHeard a spoken note of {transcript.seconds_audio:.0f} s in {transcript.seconds_taken:.1f} s, "
            f"{len(transcript.repairs)} trade words put right:"
        )
        print(_wrap(f"  “{transcript.text}”", 3))

    def _spoken(self, taken: Any) -> None:
        self._one(taken)

    def _found(self, result: Any) -> None:
        player, found = result
        latest = found.after or found.before
        ranking = ", ".join(f"{self._cause(c.id)} {c.probability:.2f}" for c in latest.causes[:3])
        print(f"\n{player.name}: causes, likeliest first: {ranking} ({latest.verdict})")
        if found.before.next_check is not None:
            check = found.before.next_check.check
            was = next((c.probability for c in found.before.causes if c.id == latest.causes[0].id), 0.0)
            answer = (
                f" Answered for the demo “{found.outcome}”: {was:.2f} → {latest.causes[0].probability:.2f}."
                if found.outcome
                else ""
            )
            print(
                _wrap(
                    f"  check: {check.name} ({check.minutes:g} min, {found.before.next_check.bits:.2f} bits).{answer}",
                    4,
                )
            )
        if found.change is None:
            print(_wrap(f"  no change begun: {found.refused}", 4))
            return
        change = found.change.change
        print(_wrap(f"  one change until {change.stop_on:%d %b}: {change.instruction}", 4))
        if found.change.checkpoint:
            point = found.change.checkpoint
            print(_wrap(f"  checkpoint: {point.quantity}: {point.value} ({point.source})", 4))
        for dose in found.change.drills[:2]:
            print(_wrap(f"  drill: {dose.name}, {dose.minutes:g} min, aim {dose.target}", 4))
        if found.how is not None:
            print(_wrap(f"  {found.how.when}. {found.how.words}", 4))

    def _plan(self, result: Any) -> None:
        _player, made, papers = result
        practice = [item for item in made.items if item.kind.value in ("drill", "recheck")]
        gap = "proved best" if not made.plan.gap else f"within {made.plan.gap:.1%} of the best possible"
        days = len({item.day for item in practice})
        print(
            f"  plan: {len(practice)} items on {days} days ({gap}); written: {', '.join(each.name for each in papers)}"
        )
        for item in practice[:2]:
            when = f"{day_words(item.day)} {clock(item.start_minute)}"
            print(_wrap(f"    {when}  {self._ref(item.ref)}, {item.minutes:g} min: {item.why}", 22))

    def _name(self, fault: str) -> str:
        return self.rules.faults[fault].name if fault in self.rules.faults else fault

    def _cause(self, cause: str) -> str:
        return self.rules.causes[cause].name if cause in self.rules.causes else cause

    def _ref(self, ref: str) -> str:
        entry = self.rules.entries.get(ref)
        return str(getattr(entry, "name", ref))


def _wrap(text: str, indent: int) -> str:
    return textwrap.fill(text, WIDTH, subsequent_indent=" " * indent, break_long_words=False)
