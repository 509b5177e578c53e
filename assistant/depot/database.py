"""The database of the index: SQLite beside the sessions, or PostgreSQL by its URL, brought to the
present form by the migrations that ship with the package."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, Table, create_engine, event
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError, NoSuchModuleError, SQLAlchemyError

from assistant.errors import RecordError
from assistant.record.store import Store

FILE = "index.sqlite3"
VARIABLE = "BENCHCALL_INDEX"
_WAIT = 30
"""Seconds that a writer waits for another before it gives up."""
_WRITING = 0x62656E63
"""The number of the PostgreSQL advisory lock that a writer holds."""


@dataclass(frozen=True, slots=True)
class Depot:
    """The sessions of a store and their index. Close it when done."""

    store: Store
    engine: Engine

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A transaction that only reads. Raises RecordError when the database can't be used."""
        with _told(self.engine), self.engine.begin() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A transaction that writes: one at a time on one index, from whatever computer."""
        engine = self.engine.execution_options(writing=True)
        with _told(self.engine), engine.begin() as connection:
            _alone(connection)
            yield connection

    def close(self) -> None:
        self.engine.dispose()


def open_depot(store: Store, url: str = "") -> Depot:
    """The index at ``url``, else at BENCHCALL_INDEX, else a file in the store's home; made or
    migrated where needed. It may be empty or out of date: ``refresh`` it.

    Raises RecordError when it can't be opened.
    """
    url = url or os.environ.get(VARIABLE, "")
    if not url:
        try:
            store.home.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise RecordError(
                f"The index can't be made in {store.home} ({error.strerror}). Give yourself the "
                "right to write there, or set BENCHCALL_HOME to another folder."
            ) from error
        url = f"sqlite:///{(store.home / FILE).as_posix()}"
    engine = _engine(url)
    with _told(engine):
        _migrate(engine)
    return Depot(store, engine)


def upsert(
    connection: Connection, table: Table, row: dict[str, Any]
) -> postgresql.Insert | sqlite.Insert:
    """The statement that enters ``row``, or puts it in the place of the one with its key."""
    keys = [column.name for column in table.primary_key]
    postgres = connection.dialect.name == "postgresql"
    insert = (postgresql.insert if postgres else sqlite.insert)(table).values(row)
    rest = {name: insert.excluded[name] for name in row if name not in keys}
    return insert.on_conflict_do_update(index_elements=keys, set_=rest)


def why(error: SQLAlchemyError) -> str:
    """What the database says in one line, without the statement that it was given."""
    return str(getattr(error, "orig", None) or error).strip().splitlines()[0]


def _engine(url: str) -> Engine:
    try:
        where = make_url(url)
        if where.drivername in ("postgres", "postgresql"):
            where = where.set(drivername="postgresql+psycopg")
        if where.get_backend_name() not in ("sqlite", "postgresql"):
            raise ArgumentError("neither SQLite nor PostgreSQL")
        engine = create_engine(where, **_options(where.get_backend_name()))
    except (ArgumentError, NoSuchModuleError, ModuleNotFoundError) as error:
        raise RecordError(
            f"The index can't be opened by this address ({error}). Give a PostgreSQL address such "
            "as postgresql://user@host/depot (needs: pip install 'benchcall[postgresql]'), or "
            f"leave {VARIABLE} empty for a file on this computer."
        ) from error
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", _prepare)
        event.listen(engine, "begin", _begin)
    return engine


def _options(backend: str) -> dict[str, Any]:
    if backend == "sqlite":
        return {"connect_args": {"timeout": _WAIT}}
    return {"pool_pre_ping": True, "connect_args": {"connect_timeout": 10}}


def _prepare(connection: Any, _: object) -> None:
    """WAL lets readers read while one writes; FULL survives the loss of power."""
    connection.isolation_level = None  # BEGIN is sent by _begin, not by the driver
    for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", "cache_size=-65536"):
        connection.execute(f"PRAGMA {pragma}")


def _begin(connection: Connection) -> None:
    """A writer takes its lock at once: one that starts by reading could find itself overtaken."""
    writing = connection.get_execution_options().get("writing", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")


def _alone(connection: Connection) -> None:
    """What BEGIN IMMEDIATE does on SQLite. It ends with the transaction, however that ends."""
    if connection.dialect.name == "postgresql":
        connection.exec_driver_sql(f"SET LOCAL lock_timeout = '{_WAIT}s'")
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_WRITING})")


def _migrate(engine: Engine) -> None:
    from alembic import command
    from alembic.config import Config
    from alembic.runtime.migration import MigrationContext
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option(
        "script_location", str(Path(__file__).parent / "migrations").replace("%", "%%")
    )
    newest = ScriptDirectory.from_config(config).get_current_head()
    with engine.connect() as connection:
        if MigrationContext.configure(connection).get_current_revision() == newest:
            return
    with engine.execution_options(writing=True).begin() as connection:
        _alone(connection)
        config.attributes["connection"] = connection
        command.upgrade(config, "head")


@contextmanager
def _told(engine: Engine) -> Iterator[None]:
    try:
        yield
    except SQLAlchemyError as error:
        where = engine.url.render_as_string(hide_password=True)
        raise RecordError(
            f"The index {where} can't be used: {why(error)}. The journals are not touched by this. "
            "See that the database runs and that you may write to it; an index file may be "
            "deleted, and is made again from the journals."
        ) from error
