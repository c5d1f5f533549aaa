"""What must hold for every attachment that somebody could describe."""

import json

from hypothesis import given, settings
from hypothesis import strategies as st

from chaincase.chains.attachments import ALIASES, BY_NAME, Form, OnLink, Side
from chaincase.makeup.attachment import attachment_of, identify_attachment
from chaincase.makeup.attachment_form import AttachmentEvidence, AttachmentObservation
from chaincase.makeup.attachment_listings import BaseChain, listed_for
from chaincase.measuring.instruments import Instrument
from chaincase.measuring.techniques import Technique

CHAINS = ["", "16B-1", "ANSI 80", "M112x160", "CA550", "WR124", "S55", "C2040", "no such chain"]
_CENTERS = ["transverse_hole_spacing", "longitudinal_hole_spacing"]

sizes = st.floats(0.01, 5000).map(lambda mm: f"{mm:.2f} mm") | st.floats(0.01, 100).map(lambda x: f"{x:.3f}")
part = st.fixed_dictionaries(
    {
        "dimension": st.sampled_from([*BY_NAME, *ALIASES]).filter(lambda name: not name.startswith("angle")),
        "value": sizes,
    },
    optional={"instrument": st.sampled_from([str(one) for one in Instrument])},
)
distance = st.fixed_dictionaries(
    {"dimension": st.sampled_from(_CENTERS), "value": sizes},
    optional={"technique": st.sampled_from([str(one) for one in Technique])},
)
observations = st.fixed_dictionaries(
    {},
    optional={
        "form": st.sampled_from([str(one) for one in Form]),
        "sides": st.sampled_from([str(one) for one in Side]),
        "link": st.sampled_from([str(one) for one in OnLink]),
        "holes": st.integers(0, 50),
        "code": st.text(max_size=8),
        "readings": st.lists(part | distance, max_size=6),
    },
)


@given(observations, st.sampled_from(CHAINS[1:]))
@settings(max_examples=60, deadline=None)
def test_probabilities_add_to_one_and_the_answer_can_be_written(seen: dict[str, object], chain: str) -> None:
    found = attachment_of(AttachmentEvidence.of({"chain": chain, "attachment": seen}))
    assert abs(found.special + found.other + sum(each.probability for each in found.candidates) - 1.0) < 1e-9
    assert all(0.0 <= each.probability <= 1.0 for each in found.candidates)
    assert found.verdict
    json.loads(found.model_dump_json(by_alias=True))


@given(st.sampled_from(CHAINS))
def test_prior_weights_add_to_one(chain: str) -> None:
    assert abs(sum(listing.weight for listing in listed_for(BaseChain(chain))) - 1.0) < 1e-9


@given(st.permutations([("platform_height", "15.9 mm"), ("hole_diameter", "6.6 mm"), ("hole_spacing_across", "51 mm")]))
def test_the_order_of_readings_does_not_matter(order: list[tuple[str, str]]) -> None:
    def special(pairs: list[tuple[str, str]]) -> float:
        seen = {"readings": [{"dimension": name, "value": value} for name, value in pairs]}
        return identify_attachment(AttachmentObservation.of(seen), BaseChain("16B")).special

    assert abs(special(order) - special(sorted(order))) < 1e-9


@given(st.floats(1, 300), st.floats(1, 30), st.floats(0.1, 30))
def test_zero_on_a_hole_is_exact_for_equal_holes_and_off_by_half_the_difference(
    apart: float, first: float, second: float
) -> None:
    def distance_read(diameters: list[str]) -> float:
        shown = apart + (second - first) / 2.0
        seen = {
            "dimension": "hole_spacing_along",
            "value": f"{shown:.4f} mm",
            "technique": "zeroed on hole",
            "edge_diameters": diameters,
        }
        found = identify_attachment(AttachmentObservation.of({"readings": [seen]}), BaseChain("16B"))
        return {each.dimension: each.value_mm for each in found.dimensions}.get("longitudinal_hole_spacing", apart)

    if apart + (second - first) / 2.0 > 1.0:
        assert abs(distance_read([f"{first:.4f} mm", f"{second:.4f} mm"]) - apart) < 1e-3
    if first == second:
        assert abs(distance_read([]) - apart) < 1e-3
