"""What can be entered of a duty on the bench, part by part, with an example in every field."""

from typing import Final, get_args

from chaincase.documents.sheet_rows import INSTRUMENT_CHOICES
from chaincase.duty import friction, wear_limits
from chaincase.duty.drive_form import Driven, Driver
from chaincase.duty.pull_form import Conveyor
from chaincase.measuring.growth import Link
from chaincase.measuring.techniques import Technique
from chaincase.web.desk_duty_fields import Field, Group, Kind, List, Part


def _count(key: str, label: str, example: str = "") -> Field:
    return Field(key, label, example, Kind.COUNT)


def _number(key: str, label: str, example: str = "") -> Field:
    return Field(key, label, example, Kind.NUMBER)


def _choice(key: str, label: str, choices: tuple[str, ...], empty: str = "not said") -> Field:
    return Field(key, label, empty, Kind.CHOICE, choices)


def _tick(key: str, label: str) -> Field:
    return Field(key, label, kind=Kind.TICK)


_INSTRUMENTS: Final = tuple(each for each in INSTRUMENT_CHOICES if each != "unknown")
SPROCKETS: Final = Part(
    "sprockets",
    "Sprockets that stay",
    "What they were cut for, and whether the chain runs on them.",
    lists=(
        List(
            "sprockets",
            "Sprockets",
            "sprocket",
            (
                _count("teeth", "Teeth", "17"),
                Field("outside", "Outside diameter", "151.2 mm"),
                Field("caliper", "Root or caliper diameter", "121.8 mm"),
                _choice("instrument", "With", _INSTRUMENTS),
                Field("stamp", "Number stamped", "80B17"),
                Field("chain", "Cut for, if known", "16A-1"),
            ),
            hint="Teeth alone: taken as cut for the chain of the case. What is measured also tells which chain it is.",
        ),
    ),
)
LENGTH: Final = Part(
    "length",
    "Chain length over two wheels",
    "How many pitches, and the centers that they want.",
    (
        Group(
            "",
            (
                _count("teeth[0]", "Teeth, one wheel", "17"),
                _count("teeth[1]", "Teeth, other wheel", "51"),
                Field("centers", "Centers", "800 mm"),
                _count("pitches", "Pitches, if settled", "120"),
                Field("take_up", "Take-up along the centers", "20 mm"),
                _number("slack", "Slack given, as a share", "0.002"),
                _tick("fixed_centers", "Centers cannot be adjusted"),
                _tick("offset_link", "An offset link is allowed"),
            ),
        ),
    ),
)
PULL: Final = Part(
    "pull",
    "Conveyor pull",
    "The pull round the loop, run by run, and what the chain must stand.",
    (
        Group(
            "Conveyor",
            (
                _choice("conveyor", "Sort of conveyor", get_args(Conveyor)),
                Field("speed", "Speed", "15 m/min"),
                _count("strands", "Strands", "2"),
                Field("chain_mass", "Mass of all strands with slats", "48 kg/m"),
            ),
        ),
        Group(
            "Material on a loaded meter, said one way",
            (
                Field("material.flow", "Flow", "80 t/h"),
                Field("material.per_length", "Mass per length", "40 kg/m"),
                Field("material.unit_mass", "Unit load", "120 kg"),
                Field("material.spacing", "Unit loads every", "1.5 m"),
            ),
        ),
        Group(
            "Buckets",
            (
                Field("material.bucket_volume", "Volume of a bucket", "2 l"),
                _number("material.buckets_per_m", "Buckets per meter", "3"),
                Field("material.density", "Density", "750 kg/m3"),
                _number("material.fill", "Filled to, as a share", "1"),
            ),
            folded=True,
        ),
        Group(
            "Friction of the chain on its track, said one way",
            (
                Field("friction", "Pair or coefficient", "steel, dry", Kind.FRICTION, tuple(friction.TRACK)),
                Field("friction.journal_diameter", "Rollers: they turn on", "25 mm"),
                Field("friction.roller_diameter", "Rollers: tread", "70 mm"),
                _number("friction.bearing_friction", "Rollers: friction in the bush", "0.2"),
                _choice("friction.track", "Rollers: track", ("smooth", "rough")),
            ),
        ),
        Group(
            "Material pushed through a trough",
            (
                _choice("bulk", "Material of the table", tuple(friction.BULK)),
                _number("material_friction", "Its friction on the trough", "0.6"),
            ),
            folded=True,
        ),
        Group(
            "Factors",
            (
                _number("service_factor", "Service factor", "by the conveyor"),
                _number("speed_factor", "Speed factor", "by the speed"),
                _number("safety_factor", "Strength over pull", "by the speed"),
                _number("start_factor", "Friction at the start", "1.5"),
                Field("takeup_force", "Force of the take-up", "2 kN"),
                _number("efficiency", "Efficiency of the drive", "0.85"),
                Field("motor", "Motor", "5.5 kW"),
                Field("people_near", "People come near", "not said", Kind.YES_NO),
            ),
            folded=True,
        ),
        Group(
            "Head sprocket and hanging chain",
            (
                Field("sprocket.pitch", "Pitch of the head sprocket", "160 mm"),
                _count("sprocket.teeth", "Its teeth", "8"),
                Field("slack.span", "Chain hangs over", "1 m"),
                Field("slack.sag", "Sag", "60 mm"),
            ),
            folded=True,
        ),
        Group(
            "Limits of the chain's maker",
            (
                Field("chain.designation", "Chain, if not that of the case", "M112x160"),
                Field("chain.working_load", "Working load", "20 kN"),
                Field("chain.allowed_pressure", "Allowed pressure", "25 N/mm2"),
            ),
            folded=True,
        ),
    ),
    (
        List(
            "runs",
            "Runs, in the sense of travel from the slack side of the head",
            "run",
            (
                Field("name", "Name", "return"),
                Field("length", "Straight: length", "18 m"),
                Field("slope", "Angle, rise or fall", "rise 9 m", Kind.SLOPE),
                _tick("loaded", "Loaded"),
                Field("wrap", "Curve: wrap", "90 deg"),
                _number("loss", "Curve: loss", "0.1"),
                Field("friction", "Own friction", "0.2", Kind.FRICTION, tuple(friction.TRACK)),
            ),
            hint="A run is straight (a length) or a curve (a wrap, or a loss: 0.1 for a tail wheel).",
            ordered=True,
        ),
    ),
)
DRIVE: Final = Part(
    "drive",
    "Drive rating",
    "What a roller chain drive carries at this speed; of a conveyor leave it empty.",
    (
        Group(
            "",
            (
                _choice("kind", "Chain", ("roller", "offset sidebar"), "roller"),
                Field("power", "Power", "7.5 kW"),
                Field("rpm", "Small wheel turns", "900 rpm"),
                _count("teeth", "Teeth, small wheel", "21"),
                _count("large_teeth", "Teeth, large wheel", "63"),
                _count("strands", "Strands", "1"),
                _choice("driven", "Driven machine", get_args(Driven)),
                _choice("driver", "Motor or engine", get_args(Driver)),
            ),
        ),
        Group(
            "Factors and the maker's rating",
            (
                _number("service_factor", "Service factor", "by the machines"),
                Field("pitch", "Pitch, if not that of the case", "25.4 mm"),
                Field("chain.working_load", "Working load, offset sidebar", "20 kN"),
                Field("rating", "Rating by the maker", "15 kW"),
                _number("rating_teeth", "Rating is for teeth", "17"),
                _choice("rating_limit", "Rating ends by", ("plates", "impact")),
                _number("hours", "Hours wanted", "15000"),
                _number("length_pitches", "Length in pitches", "120"),
            ),
            folded=True,
        ),
    ),
)
WEAR: Final = Part(
    "wear",
    "Wear",
    "How far the chain has grown, its limit, and when it gets there.",
    (
        Group(
            "",
            (
                Field("installed", "New on", "2023-05-01", Kind.DAY),
                _count("pitches", "Pitches of a strand", "240"),
                _count("teeth", "Teeth, largest wheel", "51"),
                Field("limit", "Limit, if settled", "2 %"),
                _choice("service", "Service", ("drive", "conveyor")),
                Field("take_up.travel", "Take-up travels", "300 mm"),
                Field("take_up.used", "Of it is used", "120 mm"),
                _tick("fixed_centers", "Centers cannot be adjusted"),
            ),
        ),
    ),
    (
        List(
            "readings",
            "Dated readings of the length",
            "reading",
            (
                Field("on", "Day", "2025-03-01", Kind.DAY),
                Field("length", "Length", "40 7/16 in"),
                _count("over", "Over pitches", "10"),
                _choice("instrument", "With", _INSTRUMENTS),
                _choice("technique", "Technique", tuple(each.value for each in Technique if each.value != "unknown")),
                _choice("link", "From link", tuple(each.value for each in Link if each.value != "unknown")),
                Field("strand", "Strand", "left"),
            ),
            hint="Lock the machine out, pull the strand straight, measure over many pitches.",
        ),
        List(
            "parts",
            "Parts that wear",
            "part",
            (
                _choice("part", "Part", tuple(each for each in wear_limits.PARTS if "," not in each)),
                Field("new", "New", "19 mm"),
                Field("worn", "Now", "18.4 mm"),
                _choice("instrument", "With", _INSTRUMENTS),
            ),
        ),
    ),
)
VERDICT: Final = Part(
    "verdict",
    "Replacement to judge",
    "Empty: the chain of the case itself.",
    (
        Group(
            "",
            (
                Field("candidate", "Chain that is offered", "16B-1"),
                Field("working_load", "Its working load", "20 kN"),
                Field("allowed_pressure", "Its allowed pressure", "25 N/mm2"),
                _number("years", "Years it must last", "5"),
            ),
        ),
    ),
)
FORMS: Final = (LENGTH, PULL, DRIVE, WEAR, VERDICT)
"""Parts that stand in the case as one form of the room `duty`."""
PARTS: Final = (SPROCKETS, PULL, DRIVE, LENGTH, WEAR, VERDICT)
"""All parts, as the page shows them."""
