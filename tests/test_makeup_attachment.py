"""From the geometry of an attachment to the codes that tables list, or to a special."""

from typing import Any

import pytest

from chaincase.catalog.attachments import load_attachments
from chaincase.chains.attachments import BY_NAME, Form, Side, needed
from chaincase.chains.dimensions import DIMENSIONS
from chaincase.makeup.attachment import attachment_of, identify_attachment
from chaincase.makeup.attachment_form import AttachmentAnswer, AttachmentEvidence, AttachmentObservation
from chaincase.makeup.attachment_listings import BaseChain, listed_for

K2_OF_16B = {
    "platform_height": "15.9 mm",
    "transverse_hole_spacing": "50.7 mm",
    "longitudinal_hole_spacing": "25.5 mm",
    "hole_diameter": "6.6 mm",
}
BENT = {"form": "bent", "sides": "both"}


def readings(sizes: dict[str, Any], **more: Any) -> list[dict[str, Any]]:
    return [{"dimension": name, "value": value, "instrument": "caliper", **more} for name, value in sizes.items()]


def answer(chain: str = "16B-1", sizes: dict[str, Any] | None = None, **look: Any) -> AttachmentAnswer:
    seen = {"readings": readings(sizes or {}), **look}
    return identify_attachment(AttachmentObservation.of(seen), BaseChain(chain))


def probability(found: AttachmentAnswer, code: str) -> float:
    return sum(each.probability for each in found.candidates if each.code == code)


def total(found: AttachmentAnswer) -> float:
    return found.special + found.other + sum(each.probability for each in found.candidates)


class TestGeometry:
    @pytest.mark.parametrize("chain", ["16B-1", "16B-2", "16B"])
    def test_four_sizes_give_the_code_whatever_the_strands(self, chain: str) -> None:
        found = answer(chain, K2_OF_16B, **BENT)
        assert found.candidates[0].code == "K2"
        assert found.candidates[0].probability > 0.95
        assert not found.candidates[0].conflicts

    def test_one_platform_on_one_side_is_an_a(self) -> None:
        sizes = {"platform_height": "15.9 mm", "hole_diameter": "6.6 mm", "hole_offset": "25.2 mm"}
        found = answer("16B-1", sizes, form="bent", sides="left", holes=1)
        assert found.candidates[0].code == "A1"
        assert found.candidates[0].derived
        assert "not listed" in found.candidates[0].reasons[0]

    def test_a_standing_plate_is_an_m(self) -> None:
        found = answer("16B-1", {"hole_height": "23.1 mm", "overall_height": "39 mm"}, form="upright", holes=1)
        assert found.candidates[0].code == "M1"
        assert found.candidates[0].probability > 0.9

    def test_two_tables_that_list_one_attachment_are_one_candidate(self) -> None:
        found = answer("ANSI 80", {"platform_height": "15.9 mm", "hole_spacing_across": "50.8 mm"}, **BENT, holes=1)
        assert [each.code.replace("-", "") for each in found.candidates].count("K1") == 1

    def test_platforms_that_the_pitch_is_too_short_for_are_left_out(self) -> None:
        assert "long platform" in {listing.variant for listing in listed_for(BaseChain("M112x200"))}
        assert "long platform" not in {listing.variant for listing in listed_for(BaseChain("M112x160"))}

    def test_the_row_along_the_travel_tells_the_platform(self) -> None:
        found = answer("M112x250", {"hole_spacing_along": "64.8 mm"}, **BENT, holes=2)
        assert found.candidates[0].variant == "medium platform"
        assert any("from memory" in words for words in found.warnings)

    def test_without_a_chain_the_sizes_find_it(self) -> None:
        found = answer("", K2_OF_16B, **BENT, holes=2)
        assert (found.candidates[0].code, found.candidates[0].chain) in {("K2", "16B"), ("K2", "16A")}

    def test_pitch_and_kind_narrow_the_chains(self) -> None:
        chains = {listing.chain for listing in listed_for(BaseChain(kind="roller", pitch_mm=25.6))}
        assert chains == {"16A", "16B", "ANSI 80", ""}

    def test_figures_without_a_unit_are_one_hypothesis_for_all(self) -> None:
        bare = {"platform_height": ".625", "hole_spacing_across": "2", "hole_diameter": "0.26"}
        found = answer("16B-1", bare, **BENT, holes=1)
        assert found.candidates[0].code == "K1"
        assert found.assumed_unit == "in"


class TestHolePatterns:
    def test_over_and_between_the_edges_give_distance_and_hole(self) -> None:
        seen = [
            {"dimension": "hole_spacing_across", "value": "57.4 mm", "technique": "outside edges"},
            {"dimension": "hole_spacing_across", "value": "44.2 mm", "technique": "inside edges"},
        ]
        found = answer(**BENT, readings=[{**each, "instrument": "digital caliper"} for each in seen])
        sizes = {each.dimension: each.value_mm for each in found.dimensions}
        assert sizes["transverse_hole_spacing"] == pytest.approx((57.4 + 44.2) / 2, abs=0.01)
        assert sizes["hole_diameter"] == pytest.approx((57.4 - 44.2) / 2, abs=0.01)
        assert probability(found, "K1") + probability(found, "K2") > 0.9

    def test_edges_alone_with_the_hole_read_apart(self) -> None:
        seen = [
            {"dimension": "hole_spacing_across", "value": "57.4 mm", "technique": "outside edges"},
            {"dimension": "hole_diameter", "value": "6.6 mm"},
        ]
        found = answer(**BENT, readings=[{**each, "instrument": "digital caliper"} for each in seen])
        assert {each.dimension: each.value_mm for each in found.dimensions}["transverse_hole_spacing"] == pytest.approx(
            50.8, abs=0.01
        )

    def test_unequal_holes_correct_what_was_zeroed_on_one(self) -> None:
        seen = {
            "dimension": "hole_spacing_across",
            "value": "51.3 mm",
            "instrument": "digital caliper",
            "technique": "zeroed on hole",
            "edge_diameters": ["6.6 mm", "7.6 mm"],
        }
        found = answer(**BENT, readings=[seen])
        assert found.dimensions[0].value_mm == pytest.approx(51.3 - (7.6 - 6.6) / 2, abs=1e-6)

    def test_edges_taken_for_centers_explain_themselves(self) -> None:
        found = answer("16B-1", {"hole_spacing_across": "57.3 mm"}, **BENT)
        (conflict,) = found.candidates[0].conflicts
        assert "over the far edges" in conflict
        assert found.special < 0.9

    def test_readings_that_cannot_both_be_right_are_named(self) -> None:
        seen = [{"dimension": "thickness", "value": f"{mm} mm", "instrument": "caliper"} for mm in (3, 4.5)]
        found = answer(readings=seen)
        assert any("cannot all be right" in words for words in found.warnings)


class TestCode:
    def test_the_customers_code_counts(self) -> None:
        without, said = (answer(**BENT, **more) for more in ({}, {"code": "k-2"}))
        assert probability(said, "K2") > 0.8 > probability(without, "K2")
        assert said.special > 0.02

    def test_geometry_goes_before_the_code(self) -> None:
        found = answer("16B-1", {name: K2_OF_16B[name] for name in K2_OF_16B}, **BENT, holes=2, code="K1")
        assert found.candidates[0].code == "K2"
        assert any("a person must settle" in words for words in found.warnings)

    def test_on_a_chain_without_listed_attachments_the_code_is_only_a_name(self) -> None:
        found = answer("WR124", **BENT, holes=2, code="K2")
        assert found.candidates[0].code == "K-2"
        assert "no table here" in found.verdict
        assert {each.dimension for each in found.missing} >= {"platform_height", "hole_diameter", "plate_length"}

    def test_a_code_of_which_only_the_name_is_known_can_be_said(self) -> None:
        assert answer("WR124", code="K-443").candidates[0].code == "K-443"
        assert answer("WR124", **BENT).candidates[0].code != "K-443"


class TestSpecial:
    def test_wins_when_two_sizes_fit_nothing(self) -> None:
        found = answer(
            sizes={"platform_height": "15.9 mm", "hole_spacing_across": "63 mm", "hole_spacing_along": "31 mm"}, **BENT
        )
        assert found.special > 0.9
        assert found.verdict.startswith("none of the listed")
        assert found.candidates[0].conflicts

    @pytest.mark.parametrize("form", ["pusher", "wing", "scraper", "slat", "bucket", "outrigger", "extended pin"])
    def test_a_free_shape_is_one_and_says_what_it_needs(self, form: str) -> None:
        found = answer("16B-1", form=form)
        assert found.special > 0.5
        named = {each.dimension for each in found.missing}
        assert set(needed(Form(form))) <= named
        assert all(each.question.endswith((".", "?")) for each in found.missing)

    def test_what_is_known_is_no_longer_asked(self) -> None:
        found = answer(
            "16B-1",
            {"pin_extension": "30 mm", "pin diameter": "9.5 mm"},
            form="extended pin",
            sides="right",
            link="outer",
            details={"pin_end": "M8 thread, 12 mm"},
        )
        assert found.missing == ()
        assert found.special > 0.9

    def test_one_wrong_reading_among_good_ones_is_a_slip_or_a_special(self) -> None:
        found = answer(sizes={**K2_OF_16B, "transverse_hole_spacing": "60 mm"}, **BENT, holes=2)
        assert 0.1 < found.special < 0.97
        again = readings({**K2_OF_16B, "transverse_hole_spacing": "60 mm"}) + readings(
            {"transverse_hole_spacing": "60.1 mm"}
        )
        assert answer(**BENT, holes=2, readings=again).special > found.special


def test_nothing_seen_leaves_the_prior() -> None:
    found = answer()
    assert found.special == pytest.approx(0.20)
    assert total(found) == pytest.approx(1.0)
    assert {each.dimension for each in found.missing} >= {"form", "link", "sides", "holes"}


def test_a_photograph_carries_no_weight() -> None:
    seen = [{"dimension": "platform_height", "value": "40 mm", "instrument": "photograph"}]
    found = answer(**BENT, readings=seen)
    assert found.special == pytest.approx(answer(**BENT).special)
    assert any("carries no weight" in words for words in found.warnings)


def test_key_letters_are_never_used_twice() -> None:
    letters = [dimension.letter for dimension in (*DIMENSIONS, *BY_NAME.values())]
    assert len(letters) == len(set(letters))


def test_every_size_in_the_tables_has_its_name() -> None:
    tables = ("attachments_roller", "attachments_iso1977", "agricultural_attachments")
    named = {name for table in tables for row in load_attachments(table) for name in row.values}
    plates = {"inner_plate_thickness", "outer_plate_thickness", "min_pitch"}
    assert named - plates <= set(BY_NAME)


def test_one_side_needs_the_distance_from_the_middle() -> None:
    assert "hole_offset" in needed(Form.BENT, Side.LEFT, 1)
    assert "transverse_hole_spacing" in needed(Form.BENT, Side.BOTH, 1)


def test_a_file_may_name_kind_and_pitch() -> None:
    data = {"kind": "double pitch", "pitch": "2 in", "attachment": {**BENT, "holes": 1}, "colour": "blue"}
    found = attachment_of(AttachmentEvidence.of(data))
    assert {each.chain for each in found.candidates} >= {"216B"}
    assert "colour means nothing here" in found.warnings


@pytest.mark.parametrize("row", [r for r in load_attachments("attachments_roller") if r.label in {"08A K1", "20B M2"}])
def test_a_listed_attachment_measured_well_is_itself(row: Any) -> None:
    names = ("platform_height", "transverse_hole_spacing", "longitudinal_hole_spacing", "hole_height", "hole_diameter")
    sizes = {name: f"{row.values[name]} mm" for name in names if name in row.values}
    found = answer(row.chain, sizes, holes=int(row.attachment[-1]), form=row.form)
    assert found.candidates[0].code == row.attachment
    assert found.candidates[0].probability > 0.8
