"""What must be said about single readings, whatever the answer is."""

from chaincase.identifying.evidence import Evidence
from chaincase.measuring.estimate import estimate


def reading_warnings(evidence: Evidence) -> list[str]:
    """Say which readings carry no weight, and why."""
    said = []
    for reading in evidence.parsed_readings():
        found = estimate(reading, unit="mm" if reading.is_bare else None)
        if not found.usable:
            what = f"{reading.dimension.replace('_', ' ')} {reading.value}"
            said.append(f"{reading.place} ({what}) carries no weight: {found.reason}")
    return said
