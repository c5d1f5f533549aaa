"""Checks at the chain that tell a feature: how to do them, what they prove, and what they do not.

The words are ours. `source` is what stands behind the facts of a check: consistent public texts, common practice
without a source, or memory. None of these checks replaces a material analysis.
"""

from dataclasses import dataclass
from typing import Final

from chaincase.chains.features import FEATURES, feature_named

PUBLIC: Final = "several consistent public texts"
PRACTICE: Final = "common practice, no source"
MEMORY: Final = "from memory"

LOCKED_OUT: Final = (
    "Shut down, lock and tag every source of energy, relieve or restrain what gravity, take-up and load still hold, and"
    " verify, before you reach for the chain (29 CFR 1910.147(d)); local rules come first."
)
_REMOVED: Final = "Only on a link that is taken out and will not run again. Wear eye protection."


@dataclass(frozen=True, slots=True)
class FieldCheck:
    """One check.

    Attributes
    ----------
    feature : str
        Key of the feature that it tells something about.
    label : str
        What the check is called.
    how : str
        How to do it.
    proves, does_not_prove : str
        What the outcome says, and what one must not read into it.
    destructive : bool
        It harms or marks the part, which must not run again.
    caution : str
        What can hurt the person who does it.
    source : str
        What the facts rest on.
    """

    feature: str
    label: str
    how: str
    proves: str
    does_not_prove: str
    destructive: bool
    caution: str
    source: str


FIELD_CHECKS: Final[tuple[FieldCheck, ...]] = (
    FieldCheck(
        "material",
        "magnet",
        "Wipe the chain and hold a small strong magnet to sidebar, pin end, bush and roller, each by itself.",
        "A pull as on plain steel: carbon or alloy steel, or a hardenable stainless (400 series, precipitation"
        " hardening). No pull: austenitic stainless (300 series), another metal, or plastic.",
        "A weak pull, or one at edges and riveted heads only, does not rule out 300-series stainless: cold work makes"
        " it"
        " slightly magnetic. One part says nothing about the others: stainless chain often has magnetic pins and"
        " bushes."
        " No pull does not tell 304 from 316 or from cheaper non-magnetic grades.",
        False,
        f"{LOCKED_OUT} Keep strong magnets away from a pacemaker.",
        f"{PUBLIC}; magnetic pins and bushes, and 304 against 316: {MEMORY}",
    ),
    FieldCheck(
        "material",
        "rust at rubbed spots",
        "Look where chain rubs on rail, sprocket or guide, after it stood still in the damp.",
        "Red rust there: carbon or alloy steel, or a coating that is worn through.",
        "No rust does not prove stainless steel: the chain may be oiled or dry. Red spots on stainless can be iron dust"
        " from outside.",
        False,
        LOCKED_OUT,
        MEMORY,
    ),
    FieldCheck(
        "material",
        "copper sulfate drop",
        "Scrape a hidden spot bright, free of grease and coating; put on a drop of copper sulfate solution, wait half a"
        " minute, look, rinse and wipe dry.",
        "A copper-red film: carbon or low-alloy steel. No film on bright metal: stainless steel.",
        "The grade of stainless. On a coating that is not scraped off it tests the coating.",
        False,
        f"{LOCKED_OUT} The solution harms eyes, skin and water: goggles and gloves, one drop, collect the rinse. Not on"
        " chain that touches food.",
        MEMORY,
    ),
    FieldCheck(
        "material",
        "spark test",
        "Grind lightly on a removed part, beside pieces of known steel, in dim light; compare length, color and forks"
        " of the sparks.",
        "Long white sparks with few forks: mild steel; more forks: medium carbon; bushy and close to the wheel: high"
        " carbon. Few, orange, without forks: 300-series stainless; alike with forks at the ends: 400 series. Very"
        " short:"
        " cast iron.",
        "The exact grade; a hardened or decarburized skin and a coating mislead. Proof needs an analysis.",
        True,
        f"{_REMOVED} Sparks light dust, vapor and grease: hot work permit, clear area, face shield, guard on the"
        " grinder. Fumes of zinc and cadmium coatings are poisonous: do not grind coated parts.",
        f"{PUBLIC} (spark pictures); zinc and cadmium fumes: {MEMORY}",
    ),
    FieldCheck(
        "material",
        "portable X-ray fluorescence analysis",
        "Have a trained person read sidebar, pin, bush and roller with a hand-held analyzer, on bright metal.",
        "The alloying elements, and so the family and mostly the grade of steel, part by part.",
        "Carbon content and heat treatment: it does not see carbon.",
        False,
        f"{LOCKED_OUT} Ionizing radiation: trained and authorized persons only.",
        f"{PUBLIC} (that proof needs it); carbon: {MEMORY}",
    ),
    FieldCheck(
        "heat_treatment",
        "hardness file",
        "On a removed part draw the corner of a new file, or of a set of hardness files, over the pin body and the"
        " bush;"
        " compare with the sidebar.",
        "The file skates: a hard skin, hardened pin or bush. It bites: soft or worn through the hardened skin.",
        "The depth of hardening, or whether a pin is case or induction hardened. A chrome-plated soft pin also feels"
        " hard.",
        True,
        f"{_REMOVED} A file nick in a running pin is where it breaks.",
        MEMORY,
    ),
    FieldCheck(
        "heat_treatment",
        "portable hardness tester",
        "On a removed part grind a small flat bright spot and take five impacts beside each other; read the middle one."
        " Sidebars and pins apart.",
        "Hardness of the surface. Usual figures: hardened case 55 to 62 HRC, induction hardened 50 to 58, through"
        " hardened 38 to 48, sidebars 25 to 45.",
        "Thin or small parts read low. It says nothing about the core below a hardened skin.",
        True,
        _REMOVED,
        MEMORY,
    ),
    FieldCheck(
        "heat_treatment",
        "heat colors",
        "Look on cleaned metal for straw, brown or blue colors.",
        "The part has been hot since it was hardened, by friction, fire or a torch, and may have lost hardness.",
        "No colors do not prove it was never hot: rust and wear remove them.",
        False,
        f"{LOCKED_OUT} Chain that was overheated can break without warning: have it replaced, not tested under load.",
        MEMORY,
    ),
    FieldCheck(
        "coating",
        "color",
        "Clean a spot that nothing rubs, between the sidebars, and look at it in daylight.",
        "Bright bluish or yellow with a sheen and white rust: zinc plated. Dull gray, thick, with runs or flowers:"
        " hot-dip galvanized. Warm silver: nickel. Mat gray: zinc flake. Black to brown under oil: black oxide or"
        " phosphate.",
        "Stainless and nickel, zinc flake and paint look alike. Worn chain may have lost its coating everywhere.",
        False,
        LOCKED_OUT,
        MEMORY,
    ),
    FieldCheck(
        "coating",
        "scraped spot",
        "On a hidden spot of a sidebar, not on pins, scrape through the surface with a blade and look at the edge;"
        " hold a"
        " magnet to it.",
        "Another color below: a coating. Same silver color below, no pull: solid stainless. Strong pull under a silver"
        " skin: coated steel or 400-series stainless; the copper sulfate drop on the bare spot tells them apart.",
        "Whether pins, bushes and rollers are coated too.",
        False,
        f"{LOCKED_OUT} Chips of old coating can hold cadmium or chromate: gloves, do not blow them off. The spot rusts:"
        " oil it.",
        MEMORY,
    ),
    FieldCheck(
        "hard_facing",
        "weld beads on sliding faces",
        "Look along sidebar edges, barrels and attachment faces for raised weld ripples or strips of other metal;"
        " compare"
        " with a place that does not slide.",
        "Beads or strips: hard-faced there. Note where, how many and how high.",
        "A smooth face does not prove that there was none: it may be worn off. Look at the least worn link.",
        False,
        LOCKED_OUT,
        MEMORY,
    ),
    FieldCheck(
        "hard_facing",
        "file on the bead",
        "On a removed link draw a file over the bead and over the bar beside it.",
        "It skates on the bead and bites beside it: hard-facing and not just a repair weld.",
        "The alloy of the bead.",
        True,
        _REMOVED,
        MEMORY,
    ),
    FieldCheck(
        "lubrication",
        "recess or grease nipple in the pin end",
        "Wipe both ends of several pins and the sidebars beside them; probe a recess with a soft wire.",
        "A nipple, or a bore that the wire follows into the pin with a cross hole at the joint: lubricated through the"
        " pin.",
        "A shallow cone is only the center hole from turning the pin. A clean end of one pin says nothing about the"
        " others. A nipple does not prove that anybody greases it.",
        False,
        f"{LOCKED_OUT} Never put a finger or wire to a moving chain; grease under pressure penetrates skin.",
        f"{MEMORY}; center hole: {PRACTICE}",
    ),
    FieldCheck(
        "seals",
        "ring between the sidebars",
        "Look into the gap between inner and outer sidebar at several joints, with a lamp; push the strand sideways.",
        "A rubber, plastic or steel ring in the gap: sealed joint.",
        "An empty gap does not prove that there never was one: torn seals fall out. Look for a groove or a bright"
        " ring.",
        False,
        LOCKED_OUT,
        MEMORY,
    ),
    FieldCheck(
        "roller",
        "turn and look at the rollers",
        "Turn each roller by hand, push it along the bush, hold a magnet to it, look at its bore and its rim.",
        "Flange and side of it; no pull: plastic, bronze or stainless; play: how worn; balls, needles or a sleeve in"
        " the"
        " bore: a bearing.",
        "A roller that does not turn is not therefore fixed: it may have seized. Bearings behind a cover do not show.",
        False,
        LOCKED_OUT,
        MEMORY,
    ),
    FieldCheck(
        "pin_retention",
        "both ends of the pins",
        "Look at both ends of pins of plain, attachment and connecting links; photograph them square on.",
        "Riveted, cottered, headed, T-head, flats or a step in the sidebar against turning, and the side of the head.",
        "The connecting link is often held in another way than the rest. Press direction does not always show.",
        False,
        LOCKED_OUT,
        PRACTICE,
    ),
    FieldCheck(
        "length_tolerance",
        "tags and marks at strand ends",
        "Look for tags, paint or numbers at the connecting links; tape the same number of pitches on both strands,"
        " under"
        " the same tension.",
        "Tags or paired numbers: strands were delivered matched.",
        "Equal length today does not prove that they were matched, nor unequal length that they were not: wear"
        " differs.",
        False,
        LOCKED_OUT,
        PRACTICE,
    ),
    FieldCheck(
        "temperature",
        "thermometer from outside the guards",
        "Read the chain and what it carries with a contact-free thermometer from outside the guards, in full run and"
        " just"
        " after cleaning.",
        "The temperature at that time; heat colors say that it once was hotter.",
        "The highest temperature of the year. Bright metal reads too low on such thermometers.",
        False,
        "Guards stay on and closed: nobody reaches to a running chain.",
        PRACTICE,
    ),
    FieldCheck(
        "medium",
        "what sticks to the chain",
        "Scrape what sticks to chain and trough into a bag, note where from; ask for the safety data sheets of"
        " product and"
        " cleaning agents.",
        "What the chain runs in. White crust: zinc rust or salt; green: copper alloys; pits under deposits: chlorides.",
        "What it is cleaned with once a year.",
        False,
        f"{LOCKED_OUT} Treat unknown deposits as harmful: gloves, eye protection, no dust.",
        PRACTICE,
    ),
)


def field_checks_for(feature: str, *, destructive: bool = True) -> tuple[FieldCheck, ...]:
    """Give the checks that tell something about a feature, the easiest first.

    Parameters
    ----------
    feature : str
        Key of the feature.
    destructive : bool
        Whether those count that harm a part.

    Raises
    ------
    BadInput
        If there is no such feature.

    >>> [check.label for check in field_checks_for("coating")]
    ['color', 'scraped spot']
    """
    key = feature_named(feature).key
    return tuple(check for check in FIELD_CHECKS if check.feature == key and (destructive or not check.destructive))


def unchecked() -> tuple[str, ...]:
    """Give the features that no check tells anything about.

    >>> unchecked()
    ()
    """
    checked = {check.feature for check in FIELD_CHECKS}
    return tuple(feature.key for feature in FEATURES if feature.key not in checked)
