"""A small folder of own rules to write into."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from knowledge.rulebase import read_rules
from knowledge.yamlfile import Problem

Checked = Callable[[str | bytes], list[Problem]]


@pytest.fixture
def own(tmp_path: Path) -> Path:
    folder = tmp_path / "own"
    folder.mkdir()
    return folder


@pytest.fixture
def checked(own: Path) -> Checked:
    """Write one file into the own folder and read the rules with it: the problems found."""

    def check(text: str | bytes) -> list[Problem]:
        raw = text.encode() if isinstance(text, str) else text
        (own / "mine.yaml").write_bytes(raw)
        return read_rules(own)[1]

    return check
