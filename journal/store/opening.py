"""Opening a journal: a private SQLite file, or PostgreSQL by URL, brought to the newest schema."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Engine
from sqlalchemy.exc import DBAPIError, NoSuchModuleError, SQLAlchemyError

from journal.errors import StoreUnusable

MIGRATIONS = Path(__file__).parent / "migrations"
HEAD = "0003"
"""The newest migration's id; a test holds it against the migrations folder."""


def default_path() -> Path:
    """Where the journal lies when nobody says otherwise: the platform's data folder."""
    from platformdirs import user_data_path

    return user_data_path("plainball", appauthor=False) / "journal.db"


def open_engine(place: str | Path) -> Engine:
    """An engine on the newest schema.

    place: a file path, or a URL such as ``postgresql+psycopg://…``.
    Raises: StoreUnusable when the file or folder cannot be read or written, or is no journal.
    """
    url = str(place)
    try:
        engine = _by_url(url) if "://" in url else _by_file(Path(place).expanduser())
        _migrate(engine)
    except (OSError, ImportError, sqlite3.Error, SQLAlchemyError) as error:
        raise _explained(url, error) from error
    return engine


def _explained(place: str, error: Exception) -> StoreUnusable:
    if isinstance(error, NoSuchModuleError | ImportError) or "No module named 'psycopg" in str(error):
        return StoreUnusable(
            f"the database in {place.rsplit('@', maxsplit=1)[-1]} needs a driver",
            "Install it: pip install 'plainball[club]'.",
        )
    if isinstance(error, DBAPIError):
        said = str(error.orig).strip().splitlines()[0]
    else:
        said = getattr(error, "strerror", None) or str(error).splitlines()[0]
    hint = "Choose another place with --journal PATH or PLAINBALL_JOURNAL, or mend the folder's rights."
    if "not a database" in said or "malformed" in said:
        hint = "The file is damaged or something else. Name another with --journal PATH, or restore a backup."
    if "full" in said:
        hint = "Free some disk space and try again; what was saved before is safe."
    return StoreUnusable(f"the journal {place} cannot be used: {said}", hint)


def _by_file(path: Path) -> Engine:
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    if not path.exists():
        os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
    if not os.access(path, os.W_OK) or not os.access(path.parent, os.W_OK):
        raise PermissionError(13, "the file or its folder is read-only")
    if os.name == "posix" and path.stat().st_mode & 0o077:
        path.chmod(0o600)
    engine = sa.create_engine(f"sqlite:///{path}", connect_args={"timeout": 10})

    @sa.event.listens_for(engine, "connect")
    def prepare(connection: Any, _record: Any) -> None:
        connection.isolation_level = None
        for pragma in ("foreign_keys=on", "journal_mode=wal", "synchronous=full", "secure_delete=on"):
            connection.execute(f"pragma {pragma}")

    @sa.event.listens_for(engine, "begin")
    def begin(connection: Any) -> None:
        connection.exec_driver_sql("begin immediate")

    return engine


def _by_url(url: str) -> Engine:
    if url.startswith("postgresql://"):
        url = "postgresql+psycopg://" + url.removeprefix("postgresql://")
    return sa.create_engine(url)


def _migrate(engine: Engine) -> None:
    """Run what is missing. The version is read first: Alembic is slow to import and mostly not needed."""
    with engine.begin() as connection:
        if sa.inspect(connection).has_table("alembic_version"):
            found = connection.execute(sa.text("select version_num from alembic_version")).scalar()
            if found == HEAD:
                return
            if found is not None and found > HEAD:
                raise StoreUnusable(
                    f"the journal was written by a newer plainball (schema {found})",
                    "Update plainball, then open it again.",
                )
        elif sa.inspect(connection).get_table_names():
            raise StoreUnusable(
                "the database holds something else than a journal", "Name another file with --journal PATH."
            )
        from alembic import command
        from alembic.config import Config

        config = Config()
        config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
