"""The API against its own description: generated requests, no answer of 500, none that it does not describe."""

from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import response_schema_conformance, status_code_conformance

import web_app
from chaincase.catalog.table import Catalog

CHECKS = [not_a_server_error, status_code_conformance, response_schema_conformance]
EACH = 4
"""Examples of each operation: enough to meet empty, odd and large, and quick."""
BOUNDED = settings(
    max_examples=EACH,
    deadline=None,
    derandomize=True,
    database=None,
    phases=(Phase.explicit, Phase.generate),
    suppress_health_check=list(HealthCheck),
)


@pytest.fixture(scope="module")
def described(tmp_path_factory: pytest.TempPathFactory) -> Any:
    folder: Path = tmp_path_factory.mktemp("schema")
    # A small part of the tables: the requests are what is looked at.
    few = Catalog.standard().take(Catalog.standard().source.nonzero()[0][:40])
    client = web_app.client(folder, catalog=few)
    server = client.app.state.server
    server.register.cases.create("HV-102", by="test", content={"evidence": {"marks": [{"text": "WH132"}]}})
    made = schemathesis.openapi.from_dict(client.get("/api/v1/openapi.json").json())
    made.app = client.app
    return made


def test_the_api_keeps_to_its_description(described: Any) -> None:
    token = described.app.state.server.settings.token
    operations = [result.ok() for result in described.get_all_operations()]
    assert len(operations) > 25
    for operation in operations:

        @BOUNDED
        @given(case=operation.as_strategy())
        def keeps(case: Any) -> None:
            # What has no bearer is what a link would send; both are let in or refused as described.
            case.call_and_validate(
                base_url="http://127.0.0.1", headers={"authorization": f"Bearer {token}"}, checks=CHECKS
            )

        keeps()
