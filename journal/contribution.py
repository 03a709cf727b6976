"""What people corrected, as an addition to the rules: how faults are put in this journal's own words.

Names and places may stand in such words, so the file says that it is to be read before it is given away.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

import yaml

from journal.records import OwnUtterance, Polarity
from knowledge.rulebase import RuleBase

HEAD = """\
# How players of this journal put their faults, from their own corrections.
# Read it before you give it away: names and places may stand in it.
# Check it with: plainball rules check FOLDER    Use it with: plainball --own-rules FOLDER …
"""


def contribution(utterances: Iterable[OwnUtterance], rules: RuleBase) -> str:
    """A rules file that extends each fault's examples by the words said of it as present or worse.

    Examples that the rules hold already are left out. Words that were said to mean no fault, or a fault that is
    gone or better, follow as comments: an example always tells of a present fault.
    """
    said: dict[str, list[str]] = defaultdict(list)
    aside: list[str] = []
    for each in utterances:
        words = " ".join(each.text.split())
        fault = rules.faults.get(each.fault)
        if fault is None or each.polarity not in (Polarity.PRESENT, Polarity.WORSE):
            meant = "no fault" if fault is None else f"{each.fault} {each.polarity.value}"
            aside.append(f"# {meant}: {words}\n")
        elif words not in fault.says and words not in said[each.fault]:
            said[each.fault].append(words)
    entries = [{"id": fault, "lay": "extend", "says": says} for fault, says in sorted(said.items()) if says]
    body = yaml.safe_dump({"faults": entries}, allow_unicode=True, sort_keys=False, width=110)
    return HEAD + (body if entries else "faults: []\n") + "".join(dict.fromkeys(aside))
