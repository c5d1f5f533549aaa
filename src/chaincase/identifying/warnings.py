"""What must be said about single readings, whatever the answer is."""

from collections.abc import Sequence

from chaincase.identifying.evidence import Evidence
from chaincase.measuring.estimate import estimate
from chaincase.measuring.reading import Reading


def reading_warnings(evidence: Evidence, usable: Sequence[Reading]) -> list[str]:
    """Say which readings carry no weight, and why; those that do need not be looked at again."""
    said = []
    places = {reading.place for reading in usable}
    for reading in evidence.parsed_readings():
        if reading.place in places:
            continue
        found = estimate(reading, unit="mm" if reading.is_bare else None)
        if not found.usable:
            what = f"{reading.dimension.replace('_', ' ')} {reading.value}"
            said.append(f"{reading.place} ({what}) carries no weight: {found.reason}")
    return said
