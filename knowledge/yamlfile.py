"""Reading one YAML rule file safely, with the line of every value.

Aliases, tags, duplicate keys, files over 4 MB or 300,000 values, values over 100,000 characters and text that
is not UTF-8 are refused: rules come from other people's folders.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, NamedTuple

import yaml

MAX_BYTES = 4_000_000
MAX_VALUE = 100_000
MAX_DEPTH = 12
MAX_PARTS = 300_000

Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_PLAIN_TAGS = ("str", "int", "float", "bool", "null", "map", "seq", "timestamp")


class Problem(NamedTuple):
    """One thing wrong with a rule file: where, what, and how to mend it."""

    file: str
    line: int
    entry: str
    message: str
    mend: str

    def __str__(self) -> str:
        entry = f"  {self.entry}:" if self.entry else ""
        return f"{self.file}:{self.line}{entry} {self.message}\n  {self.mend}"


class Located(NamedTuple):
    """A plain value and the line of each path inside it (a path is a tuple of keys and indexes)."""

    value: Any
    lines: dict[tuple[str | int, ...], int]


class _RefusedError(Exception):
    def __init__(self, line: int, message: str, mend: str) -> None:
        super().__init__(message)
        self.line, self.message, self.mend = line, message, mend


def read_yaml(path: Path, shown: str) -> Located | Problem:
    """The file's value with line numbers, or the first problem that makes it unreadable."""
    text = _read_text(path, shown)
    if isinstance(text, Problem):
        return text
    try:
        return _located(text)
    except _RefusedError as error:
        return Problem(shown, error.line, "", error.message, error.mend)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        said = getattr(error, "problem", None) or "not readable as YAML"
        return Problem(
            shown, mark.line + 1 if mark else 1, "", str(said), "Check indentation, quotes and colons here."
        )
    except RecursionError:
        return Problem(shown, 1, "", "nested too deeply", f"At most {MAX_DEPTH} levels.")


def _read_text(path: Path, shown: str) -> str | Problem:
    try:
        size = path.stat().st_size
        if size > MAX_BYTES:
            mend = f"Split it: at most {MAX_BYTES:,} bytes a file."
            return Problem(shown, 1, "", f"the file has {size:,} bytes", mend)
        return path.read_bytes().decode("utf-8")
    except UnicodeDecodeError as error:
        return Problem(shown, 1, "", f"byte {error.start} is not UTF-8", "Save the file as UTF-8 text.")
    except OSError as error:
        mend = "Check the file's name and rights."
        return Problem(shown, 1, "", f"cannot be read ({error.strerror})", mend)


def _located(text: str) -> Located:
    for number, event in enumerate(yaml.parse(text, Loader=Loader)):
        line = event.start_mark.line + 1 if event.start_mark else 1
        if number > MAX_PARTS:
            raise _RefusedError(line, f"more than {MAX_PARTS:,} values", "Split the file into smaller ones.")
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            raise _RefusedError(line, "YAML anchors and aliases are not allowed", "Write the value out.")
    node = yaml.compose(text, Loader=Loader)
    lines: dict[tuple[str | int, ...], int] = {}
    value = None if node is None else _plain(node, (), lines)
    return Located(value, lines)


def _plain(node: yaml.Node, path: tuple[str | int, ...], lines: dict[tuple[str | int, ...], int]) -> Any:
    line = node.start_mark.line + 1
    lines[path] = line
    if len(path) > MAX_DEPTH:
        raise _RefusedError(line, "nested too deeply", f"At most {MAX_DEPTH} levels.")
    prefix, _, tag = node.tag.rpartition(":")
    if prefix != "tag:yaml.org,2002" or tag not in _PLAIN_TAGS:
        raise _RefusedError(
            line, f"the YAML tag {node.tag!r} is not allowed", "Use plain text, numbers, lists and keys."
        )
    if isinstance(node, yaml.MappingNode):
        return _plain_map(node, path, lines)
    if isinstance(node, yaml.SequenceNode):
        return [_plain(child, (*path, number), lines) for number, child in enumerate(node.value)]
    return _plain_scalar(node, tag, line)


def _plain_map(
    node: yaml.MappingNode, path: tuple[str | int, ...], lines: dict[tuple[str | int, ...], int]
) -> dict[str, Any]:
    result: dict[str, Any] = {}
    for key_node, value_node in node.value:
        line = key_node.start_mark.line + 1
        if not isinstance(key_node, yaml.ScalarNode):
            raise _RefusedError(line, "a key must be a word", "Use plain words as keys.")
        key = key_node.value
        if key in result:
            raise _RefusedError(line, f"the key {key!r} stands twice", "Join the two or remove one.")
        result[key] = _plain(value_node, (*path, key), lines)
        lines[(*path, key)] = line
    return result


def _plain_scalar(node: yaml.Node, tag: str, line: int) -> Any:
    text: str = node.value
    if len(text) > MAX_VALUE:
        raise _RefusedError(
            line, f"a value of {len(text):,} characters", f"At most {MAX_VALUE:,} characters a value."
        )
    if tag == "null":
        return None
    if tag == "bool":
        return text.lower() in ("true", "yes", "on")
    if tag in ("int", "float"):
        try:
            return int(text) if tag == "int" else float(text)
        except ValueError:
            return text
    return text
