"""Every test of the index runs on SQLite and on a real PostgreSQL server."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import create_engine

from assistant.depot.database import Depot, open_depot

from .hollin_bank import Bench
from .postgres import server


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[str]:
    with server() as url:
        yield url


@pytest.fixture
def postgres(postgres_server: str) -> str:
    """The URL of an empty database."""
    engine = create_engine(postgres_server.replace("postgresql:", "postgresql+psycopg:"))
    with engine.begin() as connection:
        connection.exec_driver_sql("DROP SCHEMA public CASCADE")
        connection.exec_driver_sql("CREATE SCHEMA public")
    engine.dispose()
    return postgres_server


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest) -> str:
    return "" if request.param == "sqlite" else request.getfixturevalue("postgres")


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench(tmp_path / "home")


@pytest.fixture
def depot(bench: Bench, url: str) -> Iterator[Depot]:
    depot = open_depot(bench.store, url)
    yield depot
    depot.close()


@pytest.fixture
def bench_sqlite(bench: Bench) -> Iterator[Depot]:
    """For what is asked of SQLite alone."""
    depot = open_depot(bench.store)
    yield depot
    depot.close()
