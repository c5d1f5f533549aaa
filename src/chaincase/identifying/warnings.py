"""What must be said about single readings, whatever the answer is."""

from collections.abc import Sequence

from chaincase.identifying.evidence import Evidence
from chaincase.identifying.possible import possible, why_impossible
from chaincase.measuring.estimate import Unit
from chaincase.measuring.reading import Reading


def reading_warnings(evidence: Evidence, usable: Sequence[Reading]) -> list[str]:
    """Say which readings carry no weight, and why; those that do need not be looked at again."""
    said = []
    places = {reading.place for reading in usable}
    for reading in evidence.parsed_readings():
        if reading.place in places:
            continue
        unit: Unit | None = "mm" if reading.is_bare else None
        found = possible(reading, unit)
        reason = why_impossible(reading, unit) if found is None else found.reason
        if found is None or not found.usable:
            what = f"{reading.dimension.replace('_', ' ')} {reading.value}"
            said.append(f"{reading.place} ({what}) carries no weight: {reason}")
    return said
