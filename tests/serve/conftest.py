"""The places that a book is kept in: an embedded file, and a PostgreSQL server where one is at hand."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from pathlib import Path

import pytest

POSTGRES = os.environ.get("NARRATE_TEST_POSTGRES", "")
needs_postgres = pytest.mark.skipif(not POSTGRES, reason="no server: NARRATE_TEST_POSTGRES is not set")


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=needs_postgres)])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The address of a book that is not there yet."""
    if request.param == "sqlite":
        yield str(tmp_path / "book.sqlite")
        return
    with _schema() as address:
        yield address


@pytest.fixture
def server() -> Iterator[str]:
    """An empty database on a server."""
    if not POSTGRES:
        pytest.skip("no server: NARRATE_TEST_POSTGRES is not set")
    with _schema() as address:
        yield address


class _schema:
    """A schema of this test's own, gone at its end."""

    def __enter__(self) -> str:
        from sqlalchemy import create_engine
        from sqlalchemy.engine import make_url

        self.engine = create_engine(POSTGRES)
        self.name = f"book_{secrets.token_hex(6)}"
        with self.engine.begin() as conn:
            conn.exec_driver_sql(f"CREATE SCHEMA {self.name}")
        url = make_url(POSTGRES).update_query_dict({"options": f"-csearch_path={self.name}"})
        return url.render_as_string(hide_password=False)

    def __exit__(self, *_: object) -> None:
        with self.engine.begin() as conn:
            conn.exec_driver_sql(f"DROP SCHEMA {self.name} CASCADE")
        self.engine.dispose()
