"""The checked rule base kept as JSON in the cache folder, so that opening the program does not read YAML.

The file's name holds a hash over the rule files' bytes and over the code that reads them: whatever changes,
the next start reads the YAML again and writes a new file. Nothing here may ever stop a start: a damaged,
foreign or read-only cache is passed over.
"""

from __future__ import annotations

import hashlib
import json
import logging
import os
import tempfile
from collections.abc import Iterable, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from knowledge.entries import KINDS, Entry

KEPT = 6
"""How many compiled rule bases stay in the folder: several own folders may take turns."""
_READERS = ("entries.py", "rulebase.py", "crosscheck.py", "yamlfile.py", "rulecache.py")
_log = logging.getLogger(__name__)


def cache_folder() -> Path:
    """The platform's cache folder of the program; it need not exist."""
    import platformdirs

    return Path(platformdirs.user_cache_dir("plainball", appauthor=False))


def content_key(folders: Iterable[tuple[Path, list[Path], bool]]) -> str:
    """A hash over every rule file's place and bytes, whether it is an own one, and the reading code.

    folders: (folder, its files, own). Raises: OSError when a file cannot be read.
    """
    digest = hashlib.sha256()
    here = Path(__file__).parent
    for name in _READERS:
        digest.update((here / name).read_bytes())
    for folder, files, own in folders:
        digest.update(f"\0folder {own}\0".encode())
        for path in files:
            raw = path.read_bytes()
            digest.update(f"\0{path.relative_to(folder).as_posix()}\0{len(raw)}\0".encode("utf-8", "replace"))
            digest.update(raw)
    return digest.hexdigest()


def load(folder: Path, key: str) -> dict[str, Entry] | None:
    """The entries kept under the key, in file order; None when there are none that can be trusted."""
    try:
        raw = _place(folder, key).read_bytes()
    except OSError:
        return None
    checksum, _, body = raw.partition(b"\n")
    if hashlib.sha256(body).hexdigest().encode() != checksum:
        return None
    try:
        return _unpack(body)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


def save(folder: Path, key: str, entries: Mapping[str, Entry]) -> bool:
    """Keep the entries under the key; False when the folder does not let us.

    The file appears whole or not at all, so two processes may save at once.
    """
    try:
        body = _pack(entries)
        if _unpack(body) != dict(entries):
            return False
        folder.mkdir(parents=True, exist_ok=True)
        write_whole(_place(folder, key), hashlib.sha256(body).hexdigest().encode() + b"\n" + body)
        _forget_old(folder)
    except (OSError, ValueError) as error:
        _log.debug("the compiled rules are not kept: %s", error)
        return False
    return True


def write_whole(path: Path, raw: bytes) -> None:
    """Write a file beside its place and move it there in one step. Raises: OSError."""
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(raw)
        os.replace(name, path)
    except BaseException:
        with suppress(OSError):
            os.unlink(name)
        raise


def _place(folder: Path, key: str) -> Path:
    return folder / f"rules-{key[:32]}.json"


def _pack(entries: Mapping[str, Entry]) -> bytes:
    kinds = {model: kind for kind, model in KINDS.items()}
    lists: dict[str, list[Any]] = {}
    for entry in entries.values():
        values = entry.model_dump(mode="json", exclude_defaults=True)
        lists.setdefault(kinds[type(entry)], []).append(values)
    return json.dumps({"order": list(entries), "kinds": lists}, ensure_ascii=False).encode()


def _unpack(body: bytes) -> dict[str, Entry]:
    held = json.loads(body)
    found: dict[str, Entry] = {}
    try:
        for kind, items in held["kinds"].items():
            model = KINDS[kind]
            found.update((item["id"], model.model_validate(item)) for item in items)
    except ValidationError as error:
        raise ValueError(str(error)) from error
    return {id_: found[id_] for id_ in held["order"]}


def _forget_old(folder: Path) -> None:
    kept = sorted(folder.glob("rules-*.json"), key=lambda path: path.stat().st_mtime, reverse=True)
    for path in kept[KEPT:]:
        with suppress(OSError):
            path.unlink()
