"""What cannot be drawn is refused with what, where and what would be right."""

import math

import pytest

from chaincase.drawing.figure import figure
from chaincase.errors import BadInput


@pytest.mark.parametrize("size", [0.0, -1.0, math.nan, math.inf, 1e6])
def test_a_size_that_is_none(size: float) -> None:
    with pytest.raises(BadInput, match="cannot be drawn") as fault:
        figure("roller", {"pitch": size}, title="t")
    assert fault.value.where == "dimensions.pitch"
    assert "above 0 mm" in fault.value.right


def test_a_dimension_that_does_not_exist() -> None:
    with pytest.raises(BadInput, match="'girth' is not a dimension") as fault:
        figure("roller", {"girth": 1.0}, title="t")
    assert "pitch" in fault.value.right
    with pytest.raises(BadInput, match="'girth'"):
        figure("roller", {}, values={"girth": "1"}, title="t")
    with pytest.raises(BadInput, match="'girth'"):
        figure("roller", {}, letters=["girth"], title="t")


def test_a_kind_that_does_not_exist() -> None:
    with pytest.raises(BadInput, match="'silent' is not a kind of chain"):
        figure("silent", {}, title="t")


def test_a_dimension_of_another_kind_is_left_aside() -> None:
    assert figure("leaf", {"roller_diameter": 8.0, "pitch": 12.7}, title="t") == figure(
        "leaf", {"pitch": 12.7}, title="t"
    )
