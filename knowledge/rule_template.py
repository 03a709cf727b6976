"""Commented templates for a coach's own entries; each passes ``rules check`` as it stands.

The templates are text on purpose: what a coach copies is what stands here, comments and all.
"""

from __future__ import annotations

_HEAD = """\
# An entry of your own. Put it in a file such as my_rules/{kind}.yaml and change every line.
# Check it with: plainball rules check my_rules
# Use it with:   plainball --own-rules my_rules …
#
# lay: add (a new id), extend (add to an entry of ours), replace (ours gives way) or hide (ours is left out).
# A number anywhere needs a source: a source id, "common practice, no source", or "from memory".
"""

_SOURCE = '    source: ["common practice, no source"]    # or a source id, or "from memory"\n'

TEMPLATES: dict[str, str] = {
    "fault": """\
faults:
  - id: delivery.my_fault              # area.name in lower case; the area groups faults
    lay: add
    name: what a list shows, in a few words
    meaning: What counts as this fault, in one or two sentences.
    says:                              # how players put it, at least eight; the more different, the better
      - the first way a player says it
      - the second way, with other words
      - how a beginner would say it
      - how somebody writes it in a hurry
      - how a coach notes it about a pupil
      - how it sounds when the player is cross
      - a question about it
      - two or three words only
    not_this: [close to it but another fault]    # left out when nothing comes close
    coach_sees: What can be seen from the side or from behind.
    causes: {cause.fatigue: sometimes}           # cause id: mostly, often, sometimes or rare
    checks: [check.fresh_vs_late]                # what tells the causes apart
    drills: {drill.freeze_finish: Why this drill helps here.}
    checkpoints: [checkpoint.stay_down]          # quantities to hold
    goal: What is reached when the fault is gone.
    see_also: [head.lifts]                       # other faults, dilemmas, rulings, drills or checks
""",
    "cause": """\
causes:
  - id: cause.my_cause
    lay: add
    name: the cause in a few words
    what: What is going on, as far as it can be told. A cause is a guess until a check has confirmed it.
    base: 0.2                          # rough chance that a club player who asks for help has it
    group: delivery          # eyes, stance, bridge, grip, delivery, contact, tactics, mind, equipment
    first_fix: The first thing to try.
    drills: [drill.freeze_finish]
""",
    "check": """\
checks:
  - id: check.my_check
    lay: add
    name: What to do, in a few words
    do: How to do it, step by step, so that somebody alone at a table can follow.
    minutes: 4
    needs: [alone]                     # alone, partner, phone or coach; several are possible
    at_table: true
    drawn: drill.spots_up_down         # a drill or checkpoint whose picture fits; or balls: and pocket: as in a drill
    outcomes:                          # what can come out, and what each says about causes
      - id: clear_yes
        result: What you see when the cause is likely.
        signs: {cause.fatigue: "++"}   # "++" speaks strongly for, "+" for, "-" against, "--" strongly against
      - id: clear_no
        result: What you see when it is unlikely.
        signs: {cause.fatigue: "--"}
      - id: unclear
        result: You could not tell, or the result lay in between.
""",
    "drill": """\
drills:
  - id: drill.my_drill
    lay: add
    name: The drill in a few words
    purpose: What it trains.
    setup: How to lay out the table.
    balls:                             # millimetres from the left cushion (x) and the baulk cushion (y),
      - {role: white, x: 889, y: 737}  # seen from baulk; x up to 1778, y up to 3569
      - {role: object, x: 889, y: 1784}
    pocket: top left                   # left out when nothing is potted
    steps:
      - First do this.
      - Then do that.
    score: What to count.
    target:                            # best breaks under 20, 20 to 49, 50 or more
      beginner: {text: 4 of 10 good ones, hits: 4, of: 10}
      club: {text: 6 of 10 good ones, hits: 6, of: 10}
      strong: {text: 8 of 10 good ones, hits: 8, of: 10}
    minutes: 8
    people: solo                       # solo, partner or either
    faults: [head.lifts]               # the faults it is for; name the drill in their entries too
""",
    "checkpoint": """\
checkpoints:
  - id: checkpoint.my_quantity
    lay: add
    quantity: the quantity in a few words
    value: {low: 20, high: 40, unit: mm}         # or {ratio: 2.0, of: hand length}; text: says more
    when: on which shots it holds
    measure: How to measure it with a tape, a phone or a partner.
""",
    "dilemma": """\
dilemmas:
  - id: dilemma.my_question
    lay: add
    name: This or that
    one: The first piece of advice.
    other: The advice that pulls the other way.
    decides: [test]                    # shot, body, level, test, time or false (neither holds)
    condition: When the one holds and when the other.
    trial: What to try, how often and in which order, and when to keep which.
    trial_refs: [drill.bridge_length_trial]
    settings: [this way, that way]     # two or three, for the trial in shuffled order; left out when it takes weeks
    hit: what counts as a hit
    faults: [head.lifts]
""",
    "ruling": """\
rulings:
  - id: ruling.my_question
    lay: add
    question: The question as a player asks it?
    answer: The answer in plain words.
    rule: Where it stands, for example the league's own rules.
    certainty: How far it was verified. This is not the official text; the referee on the day decides.
    penalty: what it costs, left out when nothing
""",
    "term": """\
terms:
  - id: term.my_word
    lay: add
    term: the word
    also: [another word for it]
    meaning: What it means, in plain words.
    misheard: [how dictation writes it wrongly]
""",
    "caution": """\
cautions:
  - id: caution.my_sign
    lay: add
    name: The sign in a few words
    level: physiotherapist             # emergency, doctor, physiotherapist, mind or watch
    patterns:                          # regular expressions, found in any part of a note
      - '\\bmy (?:ankle|heel) (?:hurts|aches)\\b'
    advice: Stop, and see a physician or physiotherapist.
""",
    "source": """\
sources:
  - id: source.my_source
    lay: add
    author: Who wrote it
    title: Its title
    year: 2020
    place: Where it appeared
    says: What it says, in a sentence.
    limit: How far it carries.
""",
}


def template(kind: str) -> str:
    """The commented template of one kind. Raises: KeyError for a kind that does not exist."""
    source = "" if kind == "source" else _SOURCE
    return _HEAD.format(kind=kind) + TEMPLATES[kind] + source
