from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext

from assistant.depot.database import Depot, open_depot
from assistant.depot.tables import metadata

from .hollin_bank import Bench


def test_the_migrations_lead_to_the_tables_that_the_code_uses(depot: Depot) -> None:
    with depot.engine.connect() as connection:
        context = MigrationContext.configure(connection)
        assert context.get_current_revision() == "0001"
        assert compare_metadata(context, metadata) == []


def test_several_that_open_a_new_index_at_once_make_it_once(bench: Bench, url: str) -> None:
    with ThreadPoolExecutor(4) as pool:
        depots = list(pool.map(lambda _: open_depot(bench.store, url), range(4)))
    for depot in depots:
        with depot.reading() as connection:
            assert connection.exec_driver_sql("SELECT count(*) FROM sessions").scalar() == 0
        depot.close()


def test_the_file_keeps_what_was_committed_through_the_loss_of_power(bench_sqlite: Depot) -> None:
    """SQLite's pragma documentation: in WAL mode synchronous FULL (2) syncs each commit."""
    with bench_sqlite.reading() as connection:
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
        assert connection.exec_driver_sql("PRAGMA synchronous").scalar() == 2
