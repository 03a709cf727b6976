"""An entry of the rule base as a page: headings, lines and links, for a screen, a terminal or paper.

The page is plain data: whoever shows it decides on keys, colours and widths. Each line that may state a
number carries its source in words.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from journal.errors import UnknownEntry
from knowledge.entries import (
    Cause,
    Caution,
    Check,
    Checkpoint,
    Dilemma,
    Drill,
    Entry,
    Fault,
    Ruling,
    Source,
    Term,
)
from knowledge.rulebase import RuleBase, kind_of, title_of

SHARE = {"mostly": "mostly", "often": "often", "sometimes": "sometimes", "rare": "rarely"}
SIGNS = {
    "++": "speaks strongly for",
    "+": "speaks for",
    "-": "speaks against",
    "--": "speaks strongly against",
}
DECIDES = {
    "shot": "the shot",
    "body": "your body",
    "level": "your level",
    "test": "a test of your own",
    "time": "the time",
    "false": "neither: the two do not exclude each other",
}
SAYINGS = 4


@dataclass(frozen=True, slots=True)
class Line:
    """One paragraph or list item. link: the entry it leads to. source: where its numbers come from."""

    text: str
    link: str | None = None
    source: str = ""


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and what stands below it."""

    heading: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Page:
    """One entry, ready to be shown. own: it comes from the coach's own folder. source: of the whole entry.

    can_be_tried: a dilemma whose answers can be tried at the table in shuffled order.
    """

    id: str
    kind: str
    title: str
    own: bool
    sections: tuple[Section, ...]
    source: str
    can_be_tried: bool = False

    @property
    def links(self) -> tuple[str, ...]:
        """Every entry that the page leads to, each once, in the page's order."""
        found = (line.link for section in self.sections for line in section.lines if line.link)
        return tuple(dict.fromkeys(found))


def entry_page(rules: RuleBase, id_: str) -> Page:
    """The page of one entry. Raises: UnknownEntry."""
    entry = rules.entries.get(id_)
    if entry is None:
        from rapidfuzz import process

        best = process.extractOne(id_, list(rules.entries), score_cutoff=55)
        hint = f"Did you mean {best[0]}?" if best else "Search for it: plainball lookup WORDS."
        raise UnknownEntry(f"there is no entry {id_!r} in the rules", hint)
    writers: dict[type[Entry], Callable[[RuleBase, Entry], Iterator[Section]]] = {
        Fault: _fault,
        Cause: _cause,
        Check: _check,
        Drill: _drill,
        Checkpoint: _checkpoint,
        Dilemma: _dilemma,
        Ruling: _ruling,
        Term: _term,
        Caution: _caution,
        Source: _source,
    }
    sections = tuple(section for section in writers[type(entry)](rules, entry) if section.lines)
    source, can_be_tried = source_words(rules, entry.source), bool(getattr(entry, "settings", ()))
    return Page(id_, kind_of(entry), title_of(entry), entry.own, sections, source, can_be_tried)


def source_words(rules: RuleBase, ids: Iterable[str]) -> str:
    """Sources as author and year; "common practice, no source" and "from memory" stay as they are."""
    shown = []
    for id_ in ids:
        source = rules.entries.get(id_)
        if isinstance(source, Source):
            shown.append(source.author + (f", {source.year}" if source.year else f", {source.title}"))
        else:
            shown.append(id_)
    return "; ".join(dict.fromkeys(shown))


def value_words(checkpoint: Checkpoint) -> str:
    """A checkpoint's value in words: "2 × hand length", "20 to 40 mm"."""
    value = checkpoint.value
    parts = []
    if value.ratio is not None:
        parts.append(f"{value.ratio:g} × {value.of}" if value.of else f"ratio {value.ratio:g}")
    unit = {"deg": "degrees", "count": "", "percent": "%", None: ""}.get(value.unit, value.unit)
    if value.low is not None and value.high is not None:
        span = f"{value.low:g}" if value.low == value.high else f"{value.low:g} to {value.high:g}"
        parts.append(f"{span} {unit}".strip())
    elif value.low is not None:
        parts.append(f"at least {value.low:g} {unit}".strip())
    elif value.high is not None:
        parts.append(f"at most {value.high:g} {unit}".strip())
    if value.text:
        parts.append(value.text)
    return "; ".join(parts)


def _text(heading: str, *texts: str | None) -> Section:
    return Section(heading, tuple(Line(text) for text in texts if text))


def _to(rules: RuleBase, heading: str, ids: Iterable[str]) -> Section:
    found = [id_ for id_ in dict.fromkeys(ids) if id_ in rules.entries]
    return Section(heading, tuple(Line(title_of(rules.entries[id_]), id_) for id_ in found))


def _check_line(rules: RuleBase, id_: str) -> Line:
    check = rules.checks[id_]
    needs = " or ".join(check.needs)
    return Line(
        f"{check.name} ({check.minutes:g} min, {needs}): {check.do}", id_, source_words(rules, check.source)
    )


def _checkpoint_line(rules: RuleBase, id_: str) -> Line:
    point = rules.checkpoints[id_]
    when = f", {point.when}" if point.when else ""
    text = f"{point.quantity}{when}: {value_words(point)}. {point.measure}"
    return Line(text, id_, source_words(rules, point.source))


def _touching(rules: RuleBase, kind: type[Dilemma] | type[Ruling], fault: str) -> list[str]:
    return [id_ for id_, entry in rules.of(kind).items() if fault in getattr(entry, "faults", ())]


def _fault(rules: RuleBase, entry: Entry) -> Iterator[Section]:
    assert isinstance(entry, Fault)
    yield _text("What it is", entry.meaning)
    yield _text("How players say it", *(f"“{said}”" for said in entry.says[:SAYINGS]))
    yield _text("What a coach sees", entry.coach_sees)
    yield Section(
        "What may be behind it",
        tuple(Line(f"{SHARE[how]}: {rules.causes[id_].name}", id_) for id_, how in entry.causes.items()),
    )
    yield Section("Checks that tell", tuple(_check_line(rules, id_) for id_ in entry.checks))
    yield Section(
        "Drills", tuple(Line(f"{rules.drills[id_].name}: {why}", id_) for id_, why in entry.drills.items())
    )
    yield Section("Checkpoints", tuple(_checkpoint_line(rules, id_) for id_ in entry.checkpoints))
    yield _text("Goal", entry.goal)
    yield _text("Take care", entry.caution)
    yield _text("How good the evidence is", entry.evidence)
    yield _text("Not this", *entry.not_this)
    dilemmas = [*entry.see_also, *_touching(rules, Dilemma, entry.id), *_touching(rules, Ruling, entry.id)]
    yield _to(rules, "See also", dilemmas)


def _cause(rules: RuleBase, entry: Entry) -> Iterator[Section]:
    assert isinstance(entry, Cause)
    yield _text("What may be going on", entry.what, "A guess until a check has confirmed it.")
    yield _text("First thing to try", entry.first_fix)
    found = [id_ for id_, each in rules.checks.items() if any(entry.id in out.signs for out in each.outcomes)]
    yield Section("Checks that tell", tuple(_check_line(rules, id_) for id_ in found))
    yield _to(rules, "Drills", entry.drills)
    yield _to(rules, "May show as", (id_ for id_, fault in rules.faults.items() if entry.id in fault.causes))


def _check(rules: RuleBase, entry: Entry) -> Iterator[Section]:
    assert isinstance(entry, Check)
    place = "at the table" if entry.at_table else "away from the table too"
    yield _text("What to do", entry.do)
    yield _text("Takes", f"{entry.minutes:g} minutes, {' or '.join(entry.needs)}, {place}")
    for outcome in entry.outcomes:
        signs = (Line(f"{SIGNS[sign]}: {rules.causes[id_].name}", id_) for id_, sign in outcome.signs.items())
        note = (Line(outcome.note),) if outcome.note else ()
        yield Section(f"If: {outcome.result}", (*signs, *note) or (Line("says nothing either way"),))
    yield _to(rules, "For", (id_ for id_, fault in rules.faults.items() if entry.id in fault.checks))


def _drill(rules: RuleBase, entry: Entry) -> Iterator[Section]:
    assert isinstance(entry, Drill)
    yield _text("What for", entry.purpose)
    yield _text("Set-up", entry.setup, f"Needed: {entry.equipment}." if entry.equipment else None)
    balls = (
        f"{ball.label or ball.role}: {ball.x:g} mm from the left, {ball.y:g} mm from the baulk cushion"
        for ball in entry.balls
    )
    yield _text("Balls", *balls, f"Pocket: {entry.pocket}" if entry.pocket else None)
    yield _text("Steps", *(f"{number}. {step}" for number, step in enumerate(entry.steps, 1)))
    yield _text("Score", entry.score)
    levels = (
        ("best break under 20", entry.target.beginner),
        ("20 to 49", entry.target.club),
        ("50 or more", entry.target.strong),
    )
    source = source_words(rules, entry.source)
    yield Section("Target", tuple(Line(f"{level}: {target.text}", None, source) for level, target in levels))
    people = {"solo": "alone", "partner": "with a partner", "either": "alone or with a partner"}[entry.people]
    phone = ", with a phone" if entry.phone else ""
    yield _text("Takes", f"{entry.minutes:g} minutes, {people}{phone}", entry.people_note)
    yield _text("Take care", entry.caution)
    yield _text("How good the evidence is", entry.evidence)
    faults = (id_ for id_, fault in rules.faults.items() if entry.id in fault.drills)
    yield _to(rules, "Helps with", (*entry.faults, *faults))


def _checkpoint(rules: RuleBase, entry: Entry) -> Iterator[Section]:
    assert isinstance(entry, Checkpoint)
    yield Section("Value", (Line(value_words(entry), None, source_words(rules, entry.source)),))
    yield _text("When", entry.when)
    yield _text("How to measure", entry.measure)
    yield _to(rules, "For", (id_ for id_, fault in rules.faults.items() if entry.id in fault.checkpoints))


def _dilemma(rules: RuleBase, entry: Entry) -> Iterator[Section]:
    assert isinstance(entry, Dilemma)
    yield _text("Some say", entry.one)
    yield _text("Others say", entry.other)
    yield _text("What decides", "; ".join(DECIDES[each] for each in entry.decides) + ".", entry.condition)
    yield _text("The trial", entry.trial)
    if entry.settings:
        settings = f"{', '.join(entry.settings)}, in shuffled order"
        yield _text("At the table", settings, f"A hit is when {entry.hit}.")
    yield _to(rules, "Trial set up as", entry.trial_refs)
    yield _to(rules, "Touches", entry.faults)


def _ruling(rules: RuleBase, entry: Entry) -> Iterator[Section]:
    assert isinstance(entry, Ruling)
    yield _text("In plain words", entry.answer)
    yield _text("Penalty", entry.penalty)
    yield _text("Ask back", entry.ask_back)
    yield _text("Rule", entry.rule)
    yield _text("How sure", entry.certainty)
    yield _to(rules, "Touches", entry.faults)


def _term(_: RuleBase, entry: Entry) -> Iterator[Section]:
    assert isinstance(entry, Term)
    yield _text("Meaning", entry.meaning)
    yield _text("Also called", ", ".join(entry.also))
    yield _text("Often misheard as", ", ".join(entry.misheard))


def _caution(_: RuleBase, entry: Entry) -> Iterator[Section]:
    assert isinstance(entry, Caution)
    yield _text("What to do", entry.advice)


def _source(rules: RuleBase, entry: Entry) -> Iterator[Section]:
    assert isinstance(entry, Source)
    year = f", {entry.year}" if entry.year else ""
    yield _text("Publication", f"{entry.author}{year}. {entry.title}. {entry.place}.")
    yield _text("What it says", entry.says)
    yield _text("How far it carries", entry.limit)
    named = (id_ for id_, other in rules.entries.items() if entry.id in other.source)
    yield _to(rules, "Named by", named)
