"""Attachments written wrongly: one clear line each, nothing computed."""

from pathlib import Path
from typing import Any

import pytest

from chaincase.cli.main import run
from chaincase.errors import BadInput
from chaincase.makeup.attachment_form import AttachmentEvidence, AttachmentObservation


@pytest.mark.parametrize(
    ("seen", "words"),
    [
        ({"form": "bendy"}, "form: 'bendy' is not a form"),
        ({"sides": "top"}, "sides: 'top' is not a side"),
        ({"link": "third"}, "link: 'third' is not"),
        ({"holes": -1}, "holes"),
        ({"holes": 1.5}, "holes"),
        ({"holes": True}, "holes"),
        ({"readings": [{"dimension": "pitch", "value": "1 in"}]}, "'pitch' is not a dimension of an attachment"),
        ({"readings": [{"dimension": "width"}]}, "readings[0].value"),
        ({"readings": [{"dimension": "width", "value": "wide"}]}, "readings[0].value"),
        ({"readings": [{"dimension": "width", "value": "-3 mm"}]}, "readings[0].value"),
        ({"readings": [{"dimension": "angle", "value": "400"}]}, "is no angle"),
        ({"readings": [{"dimension": "angle", "value": "steep"}]}, "is no angle"),
        ({"readings": [{"dimension": "width", "value": "3 in", "instrument": "eye"}]}, "is not an instrument"),
        ({"readings": [{"dimension": "width", "value": "3 in", "technique": "zeroed on hole"}]}, "zeroed on a hole"),
        (
            {
                "readings": [
                    {
                        "dimension": "hole_spacing_along",
                        "value": "3 mm",
                        "technique": "outside edges",
                        "edge_diameters": ["9 mm"],
                    }
                ]
            },
            "leaves no distance",
        ),
        ([], "list, not an object"),
        ("K2", "str, not an object"),
    ],
)
def test_a_wrong_observation_names_its_place(seen: Any, words: str) -> None:
    from chaincase.makeup.attachment import identify_attachment

    with pytest.raises(BadInput) as fault:
        identify_attachment(AttachmentObservation.of(seen))
    assert words in str(fault.value)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        '{"attachment": 3}',
        "{}",
        '{"chain": 16, "attachment": {}}',
        '{"schema": "chaincase/spacing-1", "attachment": {}}',
        '{"kind": "rope", "attachment": {}}',
        '{"pitch": "4", "attachment": {}}',
        '{"pitch": "long", "attachment": {}}',
        '{"attachment": {"holes": NaN}}',
        "[" * 5000,
    ],
)
def test_a_wrong_file_is_refused_in_one_line(text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "attachment.json"
    file.write_text(text, encoding="utf-8")
    assert run(["attachment", str(file)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "attachment.json" in said.err
    assert "Traceback" not in said.err


def test_every_fault_of_a_file_is_named() -> None:
    data = {"pitch": "x", "attachment": {"form": "y", "sides": "z"}}
    with pytest.raises(BadInput) as fault:
        AttachmentEvidence.of(data)
    assert "form" in str(fault.value)
    assert "sides" in str(fault.value)


def test_a_hundred_readings_are_one_case_like_any_other() -> None:
    from chaincase.makeup.attachment import identify_attachment

    readings = [{"dimension": "platform_height", "value": f"{15.8 + 0.01 * (i % 10):.2f} mm"} for i in range(100)]
    found = identify_attachment(AttachmentObservation.of({"readings": readings}))
    assert found.dimensions[0].readings == 100
    assert found.dimensions[0].value_mm == pytest.approx(15.845, abs=0.01)
