"""Rule files come from other people: none of them may run code, eat the memory or end in a traceback."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from knowledge.rulebase import read_rules
from tests.rules.conftest import Checked

BOMB = "a: &a [x, x]\n" + "".join(
    f"{c}: &{c} [*{p}, *{p}]\n" for p, c in zip("abcdefgh", "bcdefghi", strict=True)
)
TERM = b"terms:\n  - id: term.own\n    term: own\n    meaning: "


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (BOMB.encode(), "anchors and aliases are not allowed"),
        (b"terms: &x [a]\n", "anchors and aliases are not allowed"),
        (b"terms:\n  - <<: {id: term.x}\n", "an entry without an id"),
        (b'terms: !!python/object/apply:os.system ["exit 1"]\n', "is not allowed"),
        (b"terms: !own [a]\n", "is not allowed"),
        (b"terms: !!binary aGVsbG8=\n", "is not allowed"),
        (b"terms: !!set {a}\n", "is not allowed"),
        (TERM + b"x" * 10_000_000, "bytes"),
        (TERM + b"x" * 2_000_000, "a value of 2,000,000 characters"),
        (TERM + b"x" * 20_000, "at most 4000 characters"),
        (b"terms: [" + b"1," * 1_500_000 + b"1]", "more than 300,000 values"),
        (b"terms: " + b"[" * 200_000, "nest"),
        (b"terms:\n" + b"".join(b" " * n + b"a:\n" for n in range(1, 40)), "nested too deeply"),
        (b"terms: []\nterms: []\n", "the key 'terms' stands twice"),
        (TERM + b"a\n    meaning: b\n", "the key 'meaning' stands twice"),
        (b"? [a, b]\n: 1\n", "a key must be a word"),
        (b"terms: \xff\xfe\n", "is not UTF-8"),
        ("terms: []\n".encode("utf-16"), "is not UTF-8"),
        (b"terms: \x00\n", "not readable as YAML"),
        (b"terms: [a\n", "expected"),
        (b"terms: []\n---\nterms: []\n", "another document"),
        (b"terms:\n\t- id: x\n", "cannot start any token"),
        (b"causes: 9" + b"9" * 9_000, "is no list"),
    ],
)
def test_a_hostile_file_is_refused_with_a_message(checked: Checked, raw: bytes, said: str) -> None:
    began = time.perf_counter()
    problems = checked(raw)
    assert problems
    assert said in str(problems[0])
    assert problems[0].file == "own/mine.yaml"
    assert problems[0].mend
    assert time.perf_counter() - began < 60  # a guard against hanging


def test_tags_run_nothing(checked: Checked, tmp_path: Path) -> None:
    mark = tmp_path / "ran"
    checked(
        f'terms: !!python/object/apply:pathlib.Path.touch [!!python/object/apply:pathlib.Path ["{mark}"]]\n'
    )
    assert not mark.exists()


@pytest.mark.parametrize("size", [2, 50])
def test_a_ring_of_see_also_neither_hangs_nor_is_a_problem(own: Path, size: int) -> None:
    says = "".join(f"      - way number {'x' * n} of saying it\n" for n in range(8))
    entries = "".join(
        f"  - id: ring.f{n}\n    name: ring\n    meaning: one of a ring\n    says:\n{says}"
        f"    see_also: [ring.f{(n + 1) % size}]\n    source: [from memory]\n"
        for n in range(size)
    )
    (own / "ring.yaml").write_text("faults:\n" + entries)
    base, problems = read_rules(own)
    assert problems == []
    from journal.pages import entry_page

    assert entry_page(base, "ring.f0").links == ("ring.f1",)


def test_a_file_that_cannot_be_read_is_named(own: Path) -> None:
    (own / "loop.yaml").symlink_to(own / "loop.yaml")
    (own / "mine.yaml").write_text("terms: []\n")
    base, problems = read_rules(own)
    assert base.terms
    assert problems == []
