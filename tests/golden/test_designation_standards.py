"""What a designation says by itself, against the rule of the standard that issues it."""

import pytest

from chaincase.chains.designation import parse_designation, spellings


@pytest.mark.parametrize(("text", "strands"), [("16B-1", 1), ("16B-2", 2), ("16B-3", 3)])
def test_gost_13568_annex_a_2_2_strand_suffix(text: str, strands: int) -> None:
    """GOST 13568-97 A.2.2, the text of ISO 606:1994: a hyphen and the number of strands."""
    assert parse_designation(text).strands == strands


@pytest.mark.parametrize("text", ["081", "083", "084", "085"])
def test_gost_13568_annex_a_2_2_single_strand_only(text: str) -> None:
    """GOST 13568-97 A.2.2: these take no suffix, single strand only."""
    read = parse_designation(text)
    assert (read.strands, str(read), spellings(text)) == (1, text, (text,))


@pytest.mark.parametrize(
    ("text", "pitch"),
    [
        ("05B-1", 8.0),
        ("06B-1", 9.525),
        ("08A-1", 12.7),
        ("081", 12.7),
        ("085", 12.7),
        ("10A-1", 15.875),
        ("12A-1", 19.05),
        ("16B-2", 25.4),
        ("20A-1", 31.75),
        ("28A-1", 44.45),
        ("32A-1", 50.8),
        ("40B-1", 63.5),
        ("72B-1", 114.3),
    ],
)
def test_gost_13568_annex_a_pitches(text: str, pitch: float) -> None:
    """GOST 13568-97 Annex A, main dimensions (ISO 606:1994): sixteenths of an inch, 05B in millimeters."""
    assert parse_designation(text).pitch_mm == pitch


@pytest.mark.parametrize(("text", "pitch"), [("03B-1", 5.0), ("04B-1", 6.0), ("04C-1", 6.35), ("06C-1", 9.525)])
def test_smallest_pitches(text: str, pitch: float) -> None:
    """From memory: DIN 8187 and DIN 8188."""
    assert parse_designation(text).pitch_mm == pitch


@pytest.mark.parametrize(
    ("text", "pitch_in"),
    [("25", 1 / 4), ("35", 3 / 8), ("41", 1 / 2), ("40", 1 / 2), ("50", 5 / 8), ("80", 1), ("100", 1.25), ("240", 3)],
)
def test_asme_b29_1_number_code(text: str, pitch_in: float) -> None:
    """ASME B29.1: the left digits are the pitch in eighths of an inch, the last one the series."""
    assert parse_designation(text).pitch_mm == pytest.approx(pitch_in * 25.4, rel=1e-15)


def test_asme_b29_1_heavy_series_and_strands() -> None:
    """ASME B29.1: H after the number is the heavy series, -2 and -3 are the strands."""
    read = parse_designation("80H-3")
    assert (read.heavy, read.strands, read.number) == (True, 3, "80")


@pytest.mark.parametrize(("text", "pitch"), [("208A", 25.4), ("212B", 38.1), ("C216AL", 50.8), ("232B", 101.6)])
def test_din_8181_leading_two(text: str, pitch: float) -> None:
    """DIN 8181, foreword of the draft of 2000: a leading 2, then the base chain's pitch in sixteenths of an inch."""
    assert parse_designation(text).pitch_mm == pitch


@pytest.mark.parametrize(
    ("text", "pitch"),
    [("2040", 25.4), ("C2050", 31.75), ("C2060H", 38.1), ("C2082", 50.8), ("2100", 63.5), ("C2162H", 101.6)],
)
def test_asme_b29_100_pitches(text: str, pitch: float) -> None:
    """ASME B29.100, as independent public tables print it: 2 and the number of the base chain."""
    assert parse_designation(text).pitch_mm == pitch


@pytest.mark.parametrize(
    ("text", "pitch", "lacing"),
    [
        ("LH0822", 12.7, (2, 2)),
        ("LH1634", 25.4, (3, 4)),
        ("LL2466", 38.1, (6, 6)),
    ],
)
def test_iso_4347_clause_3(text: str, pitch: float, lacing: tuple[int, int]) -> None:
    """ISO 4347:2015 clause 3: pitch in sixteenths, then plates in the outer and in the inner pitch."""
    read = parse_designation(text)
    assert (read.pitch_mm, read.lacing) == (pitch, lacing)


def test_iso_4347_clause_3_lh_is_bl() -> None:
    """ISO 4347:2015 clause 3: LH is the BL series of ASME B29.8, which counts eighths."""
    assert spellings("LH1634") == ("LH1634", "BL834")
    assert spellings("BL834") == ("BL834", "LH1634")
    assert parse_designation("BL834").pitch_mm == parse_designation("LH1634").pitch_mm == 25.4


def test_asme_b29_8_lacing() -> None:
    """ASME B29.8-2002 clause 1: the right digit counts the articulating pitch, the one before it the pin-link pitch."""
    assert parse_designation("BL1223").lacing == (2, 3)


@pytest.mark.parametrize(
    ("text", "strands", "pitch", "load"),
    [("ПР-19.05-31.8", 1, 19.05, "31.8"), ("2ПР-25.4-114", 2, 25.4, "114"), ("4ПР-50.8-900", 4, 50.8, "900")],
)
def test_gost_13568_own_sizes(text: str, strands: int, pitch: float, load: str) -> None:
    """GOST 13568-97 Tables 1 and 2: strands, type, pitch in millimeters, breaking load in kilonewtons."""
    read = parse_designation(text)
    assert (read.strands, read.pitch_mm, read.number) == (strands, pitch, load)


def test_gost_589_designation() -> None:
    """GOST 589-85 clause 1.1: type, pitch in millimeters, breaking load in kilonewtons."""
    read = parse_designation("Р2-80-106")
    assert (read.series, read.pitch_mm, read.number) == ("Р2", 80.0, "106")


@pytest.mark.parametrize(
    ("text", "rollers"),
    [
        ("М112-1-100-1", "bush"),
        ("М112-2-100-1", "small roller"),
        ("М112-3-100-1", "large roller"),
        ("М112-4-100-1", "flanged roller"),
    ],
)
def test_gost_588_types(text: str, rollers: str) -> None:
    """GOST 588-81 clause 1.1: 1 bush, 2 roller, 3 plain large rollers, 4 flanged. Order of the parts from memory."""
    read = parse_designation(text)
    assert (read.rollers.value, read.pitch_mm) == (rollers, 100.0)


def test_din_8167_order_form() -> None:
    """Common practice of DIN 8167 and ISO 1977, as two public pages print it: size, roller letter, pitch."""
    read = parse_designation("M56-F-100")
    assert (read.base, read.rollers.value, read.pitch_mm) == ("M56", "flanged roller", 100.0)


@pytest.mark.parametrize(("text", "pitch"), [("2010", 63.5), ("2814", 88.9), ("4020", 127.0), ("5628", 177.8)])
def test_asme_b29_10m_number_rule(text: str, pitch: float) -> None:
    """ASME B29.10M, from memory: the first two digits are the nominal pitch in eighths of an inch."""
    read = parse_designation(text)
    assert (read.pitch_mm, read.pitch_is_nominal) == (pitch, True)


@pytest.mark.parametrize(("text", "pitch"), [("X348", 76.2), ("X458", 101.6), ("9118", 228.6)])
def test_asme_b29_22_number_rule(text: str, pitch: float) -> None:
    """ASME B29.22, from memory: the first digit is the nominal pitch in inches."""
    read = parse_designation(text)
    assert (read.pitch_mm, read.pitch_is_nominal) == (pitch, True)


@pytest.mark.parametrize(
    "text", ["W124", "WD104", "S188", "C55", "H78", "667X", "CA550", "C13S", "FV90", "steel 32", "720S"]
)
def test_numbers_that_say_no_pitch(text: str) -> None:
    """Common practice, no source: these are drawing numbers, their pitch stands in a table."""
    assert parse_designation(text).pitch_mm is None
