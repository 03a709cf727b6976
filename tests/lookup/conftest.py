"""Look-up over the shipped rules, with the real encoder and recogniser."""

from __future__ import annotations

from pathlib import Path

import pytest

from knowledge.lookup.recognised import fault_chances
from knowledge.lookup.search import Lookup
from knowledge.rulebase import RuleBase


@pytest.fixture(scope="session")
def lookup(rules: RuleBase, tmp_path_factory: pytest.TempPathFactory) -> Lookup:
    return Lookup(rules, tmp_path_factory.mktemp("lookup"), fault_ranker=fault_chances)


@pytest.fixture(scope="session")
def by_words(rules: RuleBase) -> Lookup:
    """Look-up where no encoder can be loaded."""

    def broken(_: object) -> object:
        raise OSError("no native library")

    return Lookup(rules, None, embed=broken)  # type: ignore[arg-type]


@pytest.fixture
def cache(tmp_path: Path) -> Path:
    return tmp_path / "cache"
