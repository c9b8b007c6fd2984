"""Each test gets ledgers of its own, in both databases.

PostgreSQL takes part when KITPREP_TEST_POSTGRES holds the URL of an empty database; see
`local_postgres.py` for a throwaway one.
"""

from __future__ import annotations

import os
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import sqlalchemy as sa

from kitprep.ledger.store import Ledger

from .local_postgres import VARIABLE

NewUrl = Callable[[], str]


@pytest.fixture
def server_url() -> str:
    """The PostgreSQL database given for the tests, or the test is skipped."""
    url = os.environ.get(VARIABLE)
    if not url:
        pytest.skip(f"{VARIABLE} names no PostgreSQL database")
    return url


@pytest.fixture
def new_file_url(tmp_path: Path) -> NewUrl:
    return lambda: f"sqlite:///{tmp_path}/{uuid.uuid4().hex}.db"


@pytest.fixture
def new_server_url(server_url: str) -> Iterator[NewUrl]:
    """URLs of ledgers in PostgreSQL: each a schema, all dropped in the end."""
    engine = sa.create_engine(server_url, isolation_level="AUTOCOMMIT", poolclass=sa.NullPool)
    made = []

    def new() -> str:
        made.append(f"t{uuid.uuid4().hex}")
        with engine.connect() as connection:
            connection.exec_driver_sql(f"CREATE SCHEMA {made[-1]}")
        query = {"options": f"-csearch_path={made[-1]}"}
        return sa.make_url(server_url).update_query_dict(query).render_as_string(False)

    yield new
    with engine.connect() as connection:
        for schema in made:
            connection.exec_driver_sql(f"DROP SCHEMA {schema} CASCADE")
    engine.dispose()


@pytest.fixture(params=["sqlite", "postgresql"])
def new_url(request: pytest.FixtureRequest) -> NewUrl:
    """Gives the URL of a ledger that is not there yet, each time it is called."""
    name = "new_file_url" if request.param == "sqlite" else "new_server_url"
    made: NewUrl = request.getfixturevalue(name)
    return made


@pytest.fixture
def url(new_url: NewUrl) -> str:
    return new_url()


@pytest.fixture
def ledger(url: str) -> Iterator[Ledger]:
    with Ledger.open(url) as opened:
        yield opened


@pytest.fixture
def file_url(new_file_url: NewUrl) -> str:
    return new_file_url()


@pytest.fixture
def file(file_url: str) -> Path:
    """The file of a ledger that holds one entry's worth of tables and nothing else."""
    Ledger.open(file_url).close()
    return Path(sa.make_url(file_url).database or "")
