"""A dossier that would print nonsense is refused before anything is written."""

import math
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from chaincase.documents.dossier import Dossier, write_dossier
from chaincase.documents.dossier_parts import CandidateRow, EvidenceRow, Picture
from chaincase.documents.paper import Heading
from chaincase.drawing.figure import figure
from chaincase.drawing.svg import write_svg
from chaincase.errors import BadInput

EMPTY = Dossier(Heading("t", "c", "p", date(2026, 1, 1)), unlisted=1.0)


@pytest.mark.parametrize("value", [-0.1, 1.1, math.nan])
def test_a_probability_that_is_none(tmp_path: Path, value: float) -> None:
    with pytest.raises(BadInput, match="no probability") as fault:
        write_dossier(replace(EMPTY, unlisted=value), tmp_path / "d.pdf")
    assert fault.value.where == "unlisted"
    bad = replace(EMPTY, candidates=(CandidateRow("W124", (), value, "", "", False),))
    with pytest.raises(BadInput, match=r"^candidates\[0\]\.probability"):
        write_dossier(bad, tmp_path / "d.pdf")
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("value", [-1.0, math.nan, math.inf])
def test_an_estimate_that_is_none(tmp_path: Path, value: float) -> None:
    bad = replace(EMPTY, evidence=(EvidenceRow("P", "pitch", "", value, 0.1, "", ""),))
    with pytest.raises(BadInput, match=r"^evidence\[0\]\.estimate: .* is no size; give millimeters"):
        write_dossier(bad, tmp_path / "d.pdf")


@pytest.mark.parametrize(
    "svg",
    [
        "",
        "no picture",
        '<svg><image href="file:///etc/passwd"/></svg>',
        '<svg><x:image xlink:href="http://a"/></svg>',
        '<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]><svg>&a;</svg>',
        "<svg><style>@import url(http://a)</style></svg>",
        "<svg><script/></svg>",
    ],
)
def test_a_picture_that_fetches_something(tmp_path: Path, svg: str) -> None:
    with pytest.raises(BadInput, match=r"^figure\.svg"):
        write_dossier(replace(EMPTY, figure=Picture(svg, "")), tmp_path / "d.pdf")
    assert not list(tmp_path.iterdir())


def test_a_picture_whose_words_look_like_a_reference_is_printed(tmp_path: Path) -> None:
    svg = write_svg(figure("detachable", {"pitch": 22.96}, title='href="x" url(y) <image>'))
    path = write_dossier(replace(EMPTY, figure=Picture(svg, "")), tmp_path / "d.pdf")
    assert path.read_bytes().startswith(b"%PDF")


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="there is no folder"):
        write_dossier(EMPTY, tmp_path / "nowhere" / "d.pdf")
    with pytest.raises(BadInput, match="this is a folder"):
        write_dossier(EMPTY, tmp_path)
    assert not list(tmp_path.iterdir())
