"""The tables' pages: every table and chain opens, and says how well each figure is known."""

from pathlib import Path

import numpy as np
import pytest

import web_app
from chaincase.catalog.table import Catalog
from chaincase.web.chain_page import chain_page, chains_like, compared
from web_app import TestClient


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> TestClient:
    return web_app.client(tmp_path_factory.mktemp("tables"))


def test_every_table_opens(client: TestClient):
    page = client.get("/tables").text
    for source in Catalog.standard().sources:
        assert f'href="/tables/{source.name}"' in page
        assert client.get(f"/tables/{source.name}").status_code == 200
    assert client.get("/tables/none").status_code == 404


def test_a_chain_of_each_kind_opens(client: TestClient):
    catalog = Catalog.standard()
    for row in np.unique(catalog.kind, return_index=True)[1].tolist():
        address = f"/tables/{catalog.table_of(row)}/{catalog.designations[row]}"
        assert client.get(address).status_code == 200, address


def test_a_page_says_limit_and_trust_of_each_figure_in_both_systems(client: TestClient):
    page = client.get("/tables/iso606_b/16B-1").text
    assert "<svg" in page
    shown = chain_page(Catalog.standard(), "16B-1")
    pitch, roller = shown.sizes[:2]
    assert (pitch.mm, pitch.inch, pitch.limit) == ("25.4 mm", "1 in", "nominal")
    assert (roller.mm, roller.limit, roller.trust) == ("15.88 mm", "at most", "two sources agree")
    assert "from memory" in client.get("/tables/welded_mill/H78").text or "memory" in str(
        chain_page(Catalog.standard(), "H78")
    )
    assert "16A-1" in page
    assert "does not fit" in page


def test_a_chain_that_is_none_is_not_found(client: TestClient):
    for address in ("/tables/iso606_b/nothing", "/tables/none/16B-1"):
        assert client.get(address).status_code == 404


@pytest.mark.parametrize(("text", "first"), [("WR124", "W124"), ("16b", "16B-1"), ("ANSI 80", "16A-1"), ("h78", "H78")])
def test_a_chain_is_found_by_any_of_its_names(client: TestClient, text: str, first: str):
    assert chains_like(Catalog.standard(), text, 5)[0].designation == first
    assert first in client.get("/tables", params={"text": text}).text


def test_nothing_found_says_what_to_do(client: TestClient):
    assert "No chain has that in its names" in client.get("/tables?text=zzz").text
    assert chains_like(Catalog.standard(), " -", 5) == []


def test_two_chains_beside_each_other(client: TestClient):
    page = client.get("/tables/compare?one=iso606_b/16B-1&other=16A-1").text
    assert "does not fit" in page
    both = compared(Catalog.standard(), "16B-1", "16A-1")
    assert both.verdict is not None
    differs = {row.label: row.differs for row in both.rows}
    assert differs["pitch"] == "the same"
    assert differs["pin diameter"] == "4.3 % less"  # 7.92 against 8.28
    assert client.get("/tables/compare?one=16B-1&other=W124").status_code == 200
    unknown = client.get("/tables/compare?one=16B-1&other=nothing")
    assert unknown.status_code == 422
    assert 'value="nothing"' in unknown.text
    assert (
        client.get("/tables/compare?one=16B-1", follow_redirects=False).headers["location"] == "/tables/iso606_b/16B-1"
    )


def test_a_reader_reads_them(tmp_path: Path):
    from chaincase.register.accounts import Role

    reader = web_app.signed_in(web_app.server(tmp_path, accounts=True), Role.READER)
    assert reader.get("/tables/iso606_b/16B-1").status_code == 200
    assert "Start a case" not in reader.get("/tables/iso606_b/16B-1").text
