"""Why a photograph is no ruler, in figures: the pinhole geometry of scale and tilt."""

import math

from chaincase.errors import BadInput


def photograph_error(
    camera_distance_mm: float, depth_difference_mm: float, tilt_deg: float = 0.0, *, length_mm: float = 0.0
) -> float:
    """Give the relative error of a length scaled off a photograph.

    The scale comes from something in the picture at a known distance from the lens, say a tape beside the
    chain. A pinhole shows a length l at distance Z as f l / Z. The part measured lies nearer to the lens by
    the depth difference D (farther where D is negative) and is turned out of the picture plane by the tilt
    t, so that it shows as

        f l cos t · Z' / (Z'² - (l sin t / 2)²),   Z' = Z - D,

    the difference of its two ends' images, while the scale takes it for f l / Z.

    Parameters
    ----------
    camera_distance_mm : float
        Distance Z from lens to what the scale was taken from [mm], above 0.
    depth_difference_mm : float
        By how much the part lies nearer to the lens [mm], below Z.
    tilt_deg : float
        Angle between the part and the picture plane [deg], between -90 and 90.
    length_mm : float
        Length of the part [mm]; 0 for one that is short against the distance.

    Returns
    -------
    float
        (seen - true) / true [-]; positive where it looks too long.

    Raises
    ------
    BadInput
        If the part or one of its ends does not lie in front of the lens.

    Source: derived from the pinhole camera, see above.

    A part 20 mm nearer than the tape, from half a meter, held 10 degrees askew:

    >>> round(photograph_error(500.0, 20.0, 10.0), 4)
    0.0258
    """
    if not 0.0 < camera_distance_mm < math.inf:
        raise BadInput(f"a camera distance of {camera_distance_mm} mm", right="give a distance above 0")
    if not -90.0 < tilt_deg < 90.0:
        raise BadInput(f"a tilt of {tilt_deg} degrees", right="give an angle between -90 and 90")
    distance = camera_distance_mm - depth_difference_mm
    tilt = math.radians(tilt_deg)
    reach = abs(length_mm * math.sin(tilt)) / 2.0
    if not distance > reach:
        raise BadInput(
            f"a part {depth_difference_mm} mm nearer than {camera_distance_mm} mm lies behind the lens",
            right="give a depth difference below the camera distance",
        )
    return camera_distance_mm * math.cos(tilt) * distance / (distance**2 - reach**2) - 1.0


def photograph_words() -> str:
    """Give the reason, for a person, why a reading off a photograph carries no weight."""
    near = 100.0 * photograph_error(500.0, 20.0)
    tilted = -100.0 * photograph_error(500.0, 0.0, 15.0)
    return (
        "taken off a photograph, kept as a note without weight: perspective changes the scale "
        "from part to part "
        f"(from 500 mm away, a part 20 mm nearer than the scale looks {near:.1f} % too long, "
        f"one tilted by 15 degrees {tilted:.1f} % too short)"
    )
