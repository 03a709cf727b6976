"""The unit of work: all records of a journal, changed together or not at all.

    with store.work() as work:
        work.notes.add(note)
        work.commit()

Leaving the block without ``commit`` undoes everything.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import fields
from pathlib import Path
from typing import Any, Generic, TypeVar

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Engine
from sqlalchemy.exc import DBAPIError

from journal import records
from journal.errors import StoreUnusable
from journal.records import RecordId
from journal.store import schema
from journal.store.opening import open_engine

R = TypeVar("R")


def new_id() -> RecordId:
    """A random id, unique across journals so that they can be joined."""
    return RecordId(uuid.uuid4().hex)


class Shelf(Generic[R]):
    """The records of one type. ``where`` arguments are field values; a list means any of them."""

    def __init__(self, connection: Connection, table: sa.Table, kind: type[R]) -> None:
        self._connection, self._table, self._kind = connection, table, kind
        self._names = [each.name for each in fields(kind)]  # type: ignore[arg-type]  # always a record class
        self._key = [column.name for column in table.primary_key]

    def add(self, record: R) -> R:
        """Store a new record."""
        self._connection.execute(self._table.insert().values(self._row(record)))
        return record

    def put(self, record: R) -> R:
        """Store a record in place of the one with its key, or as a new one."""
        key = {name: getattr(record, name) for name in self._key}
        done = self._connection.execute(
            self._table.update().where(*self._match(key)).values(self._row(record))
        )
        return record if done.rowcount else self.add(record)

    def all(self, order: str | None = None, **where: Any) -> list[R]:
        """Every record that matches; ``order`` names a field, "-field" for the latest first."""
        query = self._table.select().where(*self._match(where))
        if order:
            column = self._table.c[order.lstrip("-")]
            query = query.order_by(column.desc() if order.startswith("-") else column)
        return [self._record(row) for row in self._connection.execute(query)]

    def one(self, **where: Any) -> R | None:
        """The first record that matches, or None."""
        row = self._connection.execute(self._table.select().where(*self._match(where)).limit(1)).first()
        return None if row is None else self._record(row)

    def remove(self, **where: Any) -> int:
        """Delete what matches; at least one condition is needed. Returns how many went."""
        if not where:
            raise ValueError("remove() needs a condition")
        return self._connection.execute(self._table.delete().where(*self._match(where))).rowcount

    def count(self, **where: Any) -> int:
        """How many records match."""
        query = sa.select(sa.func.count()).select_from(self._table).where(*self._match(where))
        return int(self._connection.execute(query).scalar_one())

    def _match(self, where: dict[str, Any]) -> list[Any]:
        columns = self._table.c
        return [
            columns[name].in_(value) if isinstance(value, list) else columns[name] == value
            for name, value in where.items()
        ]

    def _row(self, record: R) -> dict[str, Any]:
        return {name: getattr(record, name) for name in self._names}

    def _record(self, row: Any) -> R:
        return self._kind(**{name: row._mapping[name] for name in self._names})


class UnitOfWork:
    """One transaction over every shelf."""

    def __init__(self, connection: Connection) -> None:
        def shelf(table: sa.Table, kind: type[R]) -> Shelf[R]:
            return Shelf(connection, table, kind)

        self._connection = connection
        self.players = shelf(schema.players, records.Player)
        self.notes = shelf(schema.notes, records.Note)
        self.sightings = shelf(schema.sightings, records.Sighting)
        self.figures = shelf(schema.figures, records.Figure)
        self.drafts = shelf(schema.drafts, records.Draft)
        self.own_utterances = shelf(schema.own_utterances, records.OwnUtterance)
        self.check_results = shelf(schema.check_results, records.CheckResult)
        self.changes = shelf(schema.changes, records.Change)
        self.free_times = shelf(schema.free_times, records.FreeTime)
        self.busy_times = shelf(schema.busy_times, records.BusyTime)
        self.matches = shelf(schema.matches, records.Match)
        self.plans = shelf(schema.plans, records.Plan)
        self.plan_items = shelf(schema.plan_items, records.PlanItem)
        self.results = shelf(schema.results, records.Result)
        self.questions = shelf(schema.questions, records.Question)
        self.settings = shelf(schema.settings, records.Setting)

    def commit(self) -> None:
        """Make everything so far permanent and go on in a new transaction."""
        self._connection.commit()
        self._connection.begin()


class Store:
    """An open journal."""

    def __init__(self, engine: Engine, place: str) -> None:
        self.engine = engine
        self.place = place

    @contextmanager
    def work(self) -> Iterator[UnitOfWork]:
        """A unit of work; undone unless committed.

        Raises: StoreUnusable when the database refuses (disk full, locked, damaged).
        """
        try:
            with self.engine.connect() as connection:
                transaction = connection.begin()
                try:
                    yield UnitOfWork(connection)
                finally:
                    if connection.in_transaction():
                        connection.rollback()
                    transaction.close()
        except DBAPIError as error:
            raise _refused(error) from error

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()


def _refused(error: DBAPIError) -> StoreUnusable:
    said = str(error.orig).strip().splitlines()[0]
    hints = {
        "full": "Free some disk space and try again; what was saved before is safe.",
        "locked": "Another program is writing; wait a moment and try again.",
        "readonly": "The journal's file or folder is read-only; choose another with --journal PATH.",
    }
    hint = next(
        (text for word, text in hints.items() if word in said),
        "Nothing was changed. Try again, or restore a backup.",
    )
    return StoreUnusable(f"the journal could not be written: {said}", hint)


def open_store(place: str | Path) -> Store:
    """Open or create a journal. Raises: StoreUnusable."""
    return Store(open_engine(place), str(place))
