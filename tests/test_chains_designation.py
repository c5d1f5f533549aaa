"""The grammar of chain designations: how each number system's numbers are read, keyed and spelled."""

import pytest

from chaincase.chains.designation import CYRILLIC, LATIN, key, parse_designation, spellings
from chaincase.chains.numbering import RULES, Rollers, System

S = System
# text, system, base, strands, heavy
READ = [
    ("16B-2", S.ISO_606, "16B", 2, False),
    ("16B", S.ISO_606, "16B", 1, False),
    ("16b-1", S.ISO_606, "16B", 1, False),
    ("08A-1", S.ISO_606, "08A", 1, False),
    ("04C-1", S.ISO_606, "04C", 1, False),
    ("12AH-2", S.ISO_606, "12AH", 2, True),
    ("081", S.ISO_606, "081", 1, False),
    ("085-2", S.ISO_606, "085", 2, False),
    ("DIN 8187 03-1", S.ISO_606, "03", 1, False),
    ("60H-2", S.B29_1, "60H", 2, True),
    ("80", S.B29_1, "80", 1, False),
    ("80-2", S.B29_1, "80", 2, False),
    ("80–2", S.B29_1, "80", 2, False),
    ("ANSI 80H-2", S.B29_1, "80H", 2, True),
    ("ASME B29.1 100", S.B29_1, "100", 1, False),
    ("ANSI 100", S.B29_1, "100", 1, False),
    ("ANSI80", S.B29_1, "80", 1, False),
    ("35", S.B29_1, "35", 1, False),
    ("240-10", S.B29_1, "240", 10, False),
    ("208A", S.ISO_1275, "208A", 1, False),
    ("C208AL", S.ISO_1275, "C208AL", 1, False),
    ("C212AHL", S.ISO_1275, "C212AHL", 1, True),
    ("C2060H", S.B29_100, "C2060H", 1, True),
    ("2040", S.B29_100, "2040", 1, False),
    ("C2082", S.B29_100, "C2082", 1, False),
    ("A2040", S.B29_100, "A2040", 1, False),
    ("CA2060H", S.B29_100, "CA2060H", 1, True),
    ("2010", S.ISO_3512, "2010", 0, False),
    ("ISO 3512 5628", S.ISO_3512, "5628", 0, False),
    ("W78", S.WELDED_MILL, "W78", 0, False),
    ("WR78", S.WELDED_MILL, "WR78", 0, False),
    ("WR-78", S.WELDED_MILL, "WR78", 0, False),
    ("wh 124", S.WELDED_MILL, "WH124", 0, False),
    ("WD104", S.WELDED_DRAG, "WD104", 0, False),
    ("WDR102", S.WELDED_DRAG, "WDR102", 0, False),
    ("S188", S.B29_12, "S188", 0, False),
    ("S102B", S.B29_12, "S102B", 0, False),
    ("S102-1/2", S.B29_12, "S102-1/2", 0, False),
    ("S102.5", S.B29_12, "S102-1/2", 0, False),
    ("S102,5", S.B29_12, "S102-1/2", 0, False),
    ("S102½", S.B29_12, "S102-1/2", 0, False),
    ("S 102 1/2", S.B29_12, "S102-1/2", 0, False),
    ("102 1/2", S.B29_12, "102-1/2", 0, False),
    ("C102-1/2", S.B29_11, "C102-1/2", 0, False),
    ("C55", S.B29_11, "C55", 0, False),
    ("C188", S.B29_11, "C188", 0, False),
    ("H78", S.B29_14, "H78", 0, False),
    ("667X", S.PINTLE, "667X", 0, False),
    ("88C", S.PINTLE, "88C", 0, False),
    ("4103", S.PINTLE, "4103", 0, False),
    ("CS720S", S.B29_21, "CS720S", 0, False),
    ("720S", S.B29_21, "720S", 0, False),
    ("N730S", S.B29_21, "N730S", 0, False),
    ("X458", S.B29_22, "X458", 0, False),
    ("9118", S.B29_22, "9118", 0, False),
    ("M56-F-100", S.ISO_1977, "M56", 0, False),
    ("M112x160 flanged roller", S.ISO_1977, "M112", 0, False),
    ("M112×160", S.ISO_1977, "M112", 0, False),
    ("DIN 8167-1 M 112", S.ISO_1977, "M112", 0, False),
    ("BS ISO 1977 M20", S.ISO_1977, "M20", 0, False),
    ("MC56x100", S.ISO_1977, "MC56", 0, False),
    ("М112", S.GOST_588, "М112", 0, False),
    ("МС56", S.GOST_588, "МС56", 0, False),
    ("М112-2-100-1 GOST 588-81", S.GOST_588, "М112", 0, False),
    ("ГОСТ 588-81 М112", S.GOST_588, "М112", 0, False),
    ("FV90", S.DIN_8165, "FV90", 0, False),
    ("13 kN", S.BS_4116, "13 kN", 0, False),
    ("3000 lbf", S.BS_4116, "3000 lbf", 0, False),
    ("ПР-19.05-31.8", S.GOST_13568, "ПР-19.05-31.8", 1, False),
    ("2ПР-19,05-64", S.GOST_13568, "2ПР-19.05-64", 2, False),
    ("ПР-12.7-10-1", S.GOST_13568, "ПР-12.7-10-1", 1, False),
    ("ПВ-9.525-11.5", S.GOST_13568, "ПВ-9.525-11.5", 1, False),
    ("ПРИ-78.1-360", S.GOST_13568, "ПРИ-78.1-360", 1, False),
    ("PR-19.05-31.8", S.GOST_13568, "PR-19.05-31.8", 1, False),
    ("GOST 4267 ПРД-31.75-23", S.GOST_4267, "ПРД-31.75-23", 1, False),
    ("Р1-80-106", S.GOST_589, "Р1-80-106", 0, False),
    ("R1-80-106", S.GOST_589, "R1-80-106", 0, False),
    ("LH0822", S.ISO_4347, "LH0822", 0, False),
    ("LL1044", S.ISO_4347, "LL1044", 0, False),
    ("BL1022", S.B29_8, "BL1022", 0, False),
    ("AL644", S.JIS_AL, "AL644", 0, False),
    ("S32", S.ISO_487, "S32", 0, False),
    ("S45-H", S.ISO_487, "S45H", 0, True),
    ("CA550", S.ISO_487, "CA550", 0, False),
    ("C550", S.ISO_487, "C550", 0, False),
    ("A620", S.ISO_487, "A620", 0, False),
    ("55V", S.ISO_487, "55V", 0, False),
    ("38.4R", S.ISO_487, "38.4R", 0, False),
    ("C13S", S.ISO_4348, "C13S", 0, False),
    ("38.1x82.6 single hinge", S.ISO_4348, "38.1x82.6 single hinge", 0, False),
    ("38.1x32.0 narrow single hinge", S.ISO_4348, "38.1x32.0 narrow single hinge", 0, False),
    ("steel 32", S.DETACHABLE, "steel 32", 0, False),
    ("malleable 110", S.DETACHABLE, "malleable 110", 0, False),
    ("ASME B29.6 25", S.DETACHABLE, "25", 0, False),
    ("ASME B29.7M 67H", S.DETACHABLE, "67H", 0, True),
    ("DIN 8152 LL0822", S.ISO_4347, "LL0822", 0, False),
    ("JIS B 1804 AL322", S.JIS_AL, "AL322", 0, False),
]


@pytest.mark.parametrize(("text", "system", "base", "strands", "heavy"), READ)
def test_numbers(text: str, system: System, base: str, strands: int, heavy: bool) -> None:
    read = parse_designation(text)
    assert (read.system, read.base, read.strands, read.heavy, read.rest) == (system, base, strands, heavy, "")
    assert read.text == text


def test_every_number_system_is_tried() -> None:
    assert {row[1] for row in READ} == {rule.system for rule in RULES} == set(System)


@pytest.mark.parametrize(
    ("text", "rollers"),
    [
        ("M56-B-100", Rollers.BUSH),
        ("M56-S-100", Rollers.SMALL),
        ("M56-P-100", Rollers.LARGE),
        ("M56-F-100", Rollers.FLANGED),
        ("M56-F100", Rollers.FLANGED),
        ("S-M112-100", Rollers.SMALL),
        ("M56x100", Rollers.UNSAID),
        ("M56x100 bush", Rollers.BUSH),
        ("M56x100 small roller", Rollers.SMALL),
        ("M56x100 plain roller", Rollers.LARGE),
        ("M56x100 large rollers", Rollers.LARGE),
        ("FV90x100 large flanged roller", Rollers.FLANGED),
        ("M112-1-100-1", Rollers.BUSH),
        ("M112-2-100-1", Rollers.SMALL),
        ("M112-3-100-2", Rollers.LARGE),
        ("M112-4-100-3", Rollers.FLANGED),
        ("C208A", Rollers.SMALL),
        ("C208AL", Rollers.LARGE),
        ("C2040", Rollers.SMALL),
        ("C2042H", Rollers.LARGE),
        ("16B-1", Rollers.UNSAID),
    ],
)
def test_roller_forms(text: str, rollers: Rollers) -> None:
    assert parse_designation(text).rollers is rollers


@pytest.mark.parametrize(
    ("text", "base", "rest"),
    [
        ("16B-1 K1 every 4th", "16B", "K1 every 4th"),
        ("16B-1, K1", "16B", "K1"),
        ("80-2-SK1", "80", "SK1"),
        ("WR78 (heat treated)", "WR78", "heat treated"),
        ("ISO 1977 M20 (related)", "M20", "related"),
        ("M56-X-100", "M56", "X-100"),
    ],
)
def test_what_follows_is_kept_unread(text: str, base: str, rest: str) -> None:
    read = parse_designation(text)
    assert (read.base, read.rest) == (base, rest)


@pytest.mark.parametrize(
    ("text", "standard"),
    [
        ("ANSI 80", "ANSI"),
        ("ASME B29.100 C2060H", "ASME B29.100"),
        ("IS 15530:2004 M20", "IS 15530:2004"),
        ("GB/T 5269 C208A", "GB/T 5269"),
        ("М112-2-100-1 ГОСТ 588-81", "ГОСТ 588-81"),
        ("ISO 606 - 16B-2", "ISO 606"),
        ("16B-2", ""),
    ],
)
def test_the_standard_beside_the_number(text: str, standard: str) -> None:
    assert parse_designation(text).standard == standard


def test_letters_and_digits() -> None:
    read = [parse_designation(text) for text in ("C212AHL", "S102-1/2", "WDR102", "16B-2", "М112")]
    assert [(d.series, d.number) for d in read] == [
        ("CA", "212"),
        ("S", "102.5"),
        ("WDR", "102"),
        ("B", "16"),
        ("М", "112"),
    ]


def test_one_spelling_is_written() -> None:
    texts = [
        "16b",
        "081",
        "ANSI 80",
        "80 - 2",
        "80-2",
        "M112-F-160",
        "M 112",
        "S102.5",
        "BL422",
        "2ПР-19,05-64",
        "085-2",
    ]
    shown = ["16B-1", "081", "80", "80", "80-2", "M112x160 flanged roller", "M112", "S102-1/2", "BL422"]
    assert [str(parse_designation(text)) for text in texts] == [*shown, "2ПР-19.05-64", "085-2"]


def test_numbers_sort_by_size_and_not_by_their_digits() -> None:
    texts = ["100", "80-2", "16B-1", "80", "08B-1", "M112", "M56x100", "M56", "80H"]
    in_order = ["08B-1", "16B-1", "80", "80-2", "80H", "100", "M56", "M56x100", "M112"]
    assert [d.text for d in sorted(map(parse_designation, texts))] == in_order
    assert len({parse_designation("80"), parse_designation("80")}) == 1


@pytest.mark.parametrize(
    "same",
    [
        ("16B-2", "16b 2", "16B/2", "16 B - 2", "16B–2", "16В-2"),
        ("S102-1/2", "S102.5", "S102,5", "S102 1/2", "S102½", "S 102 ½", "s102–1/2", "S1021/2", "S102 1⁄2"),
        ("M112-F-160", "М112-F-160", "m112 f 160"),
        ("M112x160", "M112×160", "М112Х160", "м112х160"),
        ("ПР-19.05-31.8", "пр-19,05-31,8", "ПP 19.05 31.8"),
        ("WR78", "WR-78", "wr 78"),
        ("ПР-63.5-354", "ПР-63,5-354"),
        ("W?124", "w? 124"),
        ("*124", "* 124"),
    ],
)
def test_spellings_of_one_number_have_one_key(same: tuple[str, ...]) -> None:
    assert len({key(text) for text in same}) == 1


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("16B", "16A"),
        ("S102", "S102-1/2"),
        ("S102B", "S102-1/2"),
        ("W?24", "W24"),
        ("W*24", "W?24"),
        ("ПР", "MP"),
        ("38.45", "38½"),
    ],
)
def test_different_numbers_have_different_keys(one: str, other: str) -> None:
    assert key(one) != key(other)


def test_only_true_look_alikes_become_latin() -> None:
    assert key(CYRILLIC) == key(CYRILLIC.lower()) == LATIN
    assert key("ПИДЛГЖЯ") == "ПИДЛГЖЯ"


@pytest.mark.parametrize(
    ("text", "ways"),
    [
        ("16B-1", ("16B-1", "16B")),
        ("16B", ("16B", "16B-1")),
        ("16B-2", ("16B-2",)),
        ("081", ("081",)),
        ("60H-1", ("60H-1", "60H")),
        ("ANSI 80", ("ANSI 80", "80-1", "80")),
        ("ANSI 80-2", ("ANSI 80-2", "80-2")),
        ("DIN 8187 03-1", ("DIN 8187 03-1", "03-1", "03")),
        ("C2060H", ("C2060H",)),
        ("M112x160 flanged roller", ("M112x160 flanged roller", "M112", "M112x160", "M112-160", "M112-F-160")),
        ("M112x160", ("M112x160", "M112", "M112-160")),
        ("М112", ("М112", "M112")),
        ("S102-1/2", ("S102-1/2", "S102 1/2", "S102.5", "102-1/2", "102 1/2", "102.5")),
        ("S188", ("S188",)),
        ("C102-1/2", ("C102-1/2",)),
        ("LH0823", ("LH0823", "BL423")),
        ("BL1022", ("BL1022", "LH2022")),
        ("LL0822", ("LL0822",)),
        ("AL422", ("AL422",)),
        ("ПРИ-78.1-360", ("ПРИ-78.1-360", "PRI-78.1-360", "ПРИ-78,1-360", "PRI-78,1-360")),
        ("2ПР-19.05-64", ("2ПР-19.05-64", "2PR-19.05-64", "2ПР-19,05-64", "2PR-19,05-64")),
        ("Р1-80-106", ("Р1-80-106", "P1-80-106", "R1-80-106")),
        ("X458", ("X458", "458")),
        ("steel 32", ("steel 32", "32")),
        ("ANSI no number", ("ANSI no number", "no number")),
        ("", ("",)),
    ],
)
def test_ways_to_write_a_number(text: str, ways: tuple[str, ...]) -> None:
    assert spellings(text) == ways
