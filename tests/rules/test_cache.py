"""The compiled rules: quick, rebuilt by themselves, and never in the way."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from knowledge import rulebase, rulecache
from knowledge.rulebase import RULES, RuleBase, load_rules


@pytest.fixture
def cache(tmp_path: Path) -> Path:
    return tmp_path / "cache"


def kept(cache: Path) -> list[Path]:
    return sorted(cache.glob("rules-*.json"))


def test_the_second_start_reads_no_yaml_and_gets_the_same_rules(
    cache: Path, rules: RuleBase, monkeypatch: pytest.MonkeyPatch
) -> None:
    load_rules(cache=cache)
    monkeypatch.setattr(rulebase, "read_rules", lambda *_: pytest.fail("the YAML was read again"))
    again = load_rules(cache=cache)
    assert dict(again.entries) == dict(rules.entries)
    assert list(again.entries) == list(rules.entries)


def test_a_changed_rule_is_seen_at_once(cache: Path, tmp_path: Path) -> None:
    own = tmp_path / "own"
    own.mkdir()
    text = "terms:\n  - id: term.own\n    term: {word}\n    meaning: mine\n    source: [from memory]\n"
    for word in ("one", "two"):
        (own / "a.yaml").write_text(text.format(word=word))
        assert load_rules(own, cache=cache).terms["term.own"].term == word
    assert len(kept(cache)) == 2


@pytest.mark.parametrize("damage", [b"", b"{}", b"\x00\xff" * 50, b"cut"])
def test_a_damaged_cache_is_passed_over_and_mended(cache: Path, damage: bytes) -> None:
    load_rules(cache=cache)
    (path,) = kept(cache)
    good = path.read_bytes()
    path.write_bytes(good[: len(good) // 2] if damage == b"cut" else damage)
    assert len(load_rules(cache=cache).faults) >= 76
    assert path.read_bytes() == good


def test_a_cache_with_a_true_checksum_but_wrong_content_is_passed_over(cache: Path) -> None:
    import hashlib

    load_rules(cache=cache)
    (path,) = kept(cache)
    for body in (
        b'{"order": ["a"], "kinds": {}}',
        b"[]",
        b'{"order": [], "kinds": {"nokind": [{}]}}',
        b"[" * 9000,
    ):
        path.write_bytes(hashlib.sha256(body).hexdigest().encode() + b"\n" + body)
        assert len(load_rules(cache=cache).faults) >= 76


def test_a_cache_folder_that_cannot_be_made_does_no_harm(tmp_path: Path) -> None:
    in_the_way = tmp_path / "file"
    in_the_way.write_text("not a folder")
    assert len(load_rules(cache=in_the_way / "cache").faults) >= 76


@pytest.mark.skipif(os.geteuid() == 0, reason="the administrator may write anywhere")
def test_a_read_only_cache_folder_does_no_harm(cache: Path) -> None:
    cache.mkdir(mode=0o500)
    assert len(load_rules(cache=cache).faults) >= 76


def test_broken_rules_are_never_kept(cache: Path, tmp_path: Path) -> None:
    own = tmp_path / "own"
    own.mkdir()
    (own / "a.yaml").write_text("termz: []\n")
    with pytest.raises(rulebase.RulesError):
        load_rules(own, cache=cache)
    assert kept(cache) == []


def test_only_a_few_compiled_rule_bases_are_kept(cache: Path, rules: RuleBase) -> None:
    few = dict(list(rules.entries.items())[:3])
    for number in range(rulecache.KEPT + 3):
        assert rulecache.save(cache, f"{number:064x}"[::-1], few)
    assert len(kept(cache)) == rulecache.KEPT


def test_two_processes_may_start_at_once(cache: Path, tmp_path: Path) -> None:
    shipped = tmp_path / "rules"
    shutil.copytree(RULES, shipped)
    code = (
        "import sys; from pathlib import Path; from knowledge.rulebase import load_rules; "
        "print(len(load_rules(None, Path(sys.argv[1]), Path(sys.argv[2])).entries))"
    )
    words = [sys.executable, "-c", code, str(shipped), str(cache)]
    root = Path(__file__).parents[2]
    both = [subprocess.Popen(words, stdout=subprocess.PIPE, text=True, cwd=root) for _ in range(3)]
    counts = {each.communicate(timeout=120)[0].strip() for each in both}
    assert len(counts) == 1
    assert int(counts.pop()) > 700
    assert len(kept(cache)) == 1
    assert not list(cache.glob(".rules-*"))
