"""The Whoosh index of the entries: in memory, or kept in the cache folder under a hash of its content.

One field holds every word with its weight, so that BM25F adds up weighted counts before it saturates them.
A kept index that is damaged, or a folder that cannot be written, leads to an index in memory.
"""

from __future__ import annotations

import json
import logging
import os
import shutil
import tempfile
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from knowledge.lookup.texts import Searchable

if TYPE_CHECKING:
    from knowledge.lookup.words import Thesaurus

KEPT = 6
COUNTS = "words.json"
_log = logging.getLogger(__name__)


def open_index(
    items: Sequence[Searchable], thesaurus: Thesaurus, folder: Path | None, key: str
) -> tuple[Any, dict[str, int]]:
    """(a searcher whose document numbers are the items' places, how often each plain word stands)."""
    place = folder / f"words-{key[:32]}" if folder and key else None
    if place:
        kept = _open_kept(place, len(items))
        if kept:
            return kept
        with suppress(OSError):
            _write_kept(place, items, thesaurus)
            kept = _open_kept(place, len(items))
            if kept:
                return kept
    storage = _memory()
    counts = _fill(storage, items, thesaurus)
    return _searcher(storage.open_index()), counts


def _memory() -> Any:
    """Storage in memory, its scratch space too: Whoosh's own puts that in one folder that all processes share."""
    from whoosh.filedb.filestore import RamStorage

    class Memory(RamStorage):  # type: ignore[misc]
        def temp_storage(self, name: str | None = None) -> Any:  # noqa: ARG002 - the library's signature
            return RamStorage()

    return Memory()


def _searcher(index: Any) -> Any:
    from whoosh.scoring import BM25F

    return index.searcher(weighting=BM25F(B=0.6, K1=1.2))


def _open_kept(place: Path, size: int) -> tuple[Any, dict[str, int]] | None:
    """The kept index; None when it is not there or not whole."""
    from whoosh.filedb.filestore import FileStorage

    if not place.is_dir():
        return None
    try:
        counts = json.loads((place / COUNTS).read_text(encoding="utf-8"))
        searcher = _searcher(FileStorage(str(place), readonly=True).open_index())
        if (
            not isinstance(counts, dict)
            or searcher.doc_count_all() != size
            or len(searcher.leaf_searchers()) != 1
        ):
            return None
        next(iter(searcher.reader().field_terms("words")), None)
    except Exception as error:  # Whoosh meets a damaged file with any of a dozen exceptions
        _log.debug("the kept word index is built anew: %s", error)
        return None
    return searcher, counts


def _write_kept(place: Path, items: Sequence[Searchable], thesaurus: Thesaurus) -> None:
    """Build in a folder beside the place and move it there in one step. Raises: OSError."""
    from whoosh.filedb.filestore import FileStorage

    place.parent.mkdir(parents=True, exist_ok=True)
    fresh = Path(tempfile.mkdtemp(prefix=".words-", dir=place.parent))
    try:
        counts = _fill(FileStorage(str(fresh)), items, thesaurus)
        (fresh / COUNTS).write_text(json.dumps(counts), encoding="utf-8")
        if place.exists():  # damaged, or another process was quicker with the same content
            shutil.rmtree(place, ignore_errors=True)
        os.replace(fresh, place)
    finally:
        shutil.rmtree(fresh, ignore_errors=True)
    kept = sorted(place.parent.glob("words-*"), key=lambda path: path.stat().st_mtime, reverse=True)
    for old in kept[KEPT:]:
        shutil.rmtree(old, ignore_errors=True)


def _fill(storage: Any, items: Sequence[Searchable], thesaurus: Thesaurus) -> dict[str, int]:
    from whoosh.analysis import DelimitedAttributeFilter, RegexTokenizer
    from whoosh.fields import TEXT, Schema

    from knowledge.lookup.words import STOP, surface_words

    analyzer = RegexTokenizer(r"\S+") | DelimitedAttributeFilter("^", "boost", 1.0, float)
    index = storage.create_index(Schema(words=TEXT(analyzer=analyzer, phrase=False)))
    writer = index.writer()
    counts: dict[str, int] = {}
    for item in items:
        weighted = []
        for text, weight in item.words:
            words = surface_words(text)
            for word in words:
                if word not in STOP:
                    counts[word] = counts.get(word, 0) + 1
            weighted += [f"{token}^{weight}" for token, *_ in thesaurus.tokens(words)]
        writer.add_document(words=" ".join(weighted))
    writer.commit()
    return counts
