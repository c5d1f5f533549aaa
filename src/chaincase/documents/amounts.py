"""An amount of an answer of the room `duty`, printed for a person."""

from typing import Final

from chaincase.duty.result import Amount
from chaincase.units import show_force, show_length, show_mass, show_speed

_SHOW: Final = {"mm": show_length, "N": show_force, "kg": show_mass, "m/s": show_speed}


def shown(amount: Amount, unit: str = "") -> str:
    """Print an amount with its unit; lengths, forces, masses and speeds in both systems.

    >>> shown(31_800.0, "N"), shown(True), shown(0.5, "kW"), shown(3, "teeth")
    ('31.8 kN (7149 lbf)', 'yes', '0.5 kW', '3 teeth')
    >>> shown(1.06e-120)
    'under 0.0001'
    """
    if isinstance(amount, bool):
        return "yes" if amount else "no"
    if isinstance(amount, str):
        return amount
    show = _SHOW.get(unit)
    if show is not None:
        return show(amount)
    if not unit and 0.0 < amount < 1e-4:
        return "under 0.0001"  # a share that small is as good as none; its figures would only look exact
    number = str(amount) if isinstance(amount, int) else f"{amount:.4g}" if abs(amount) < 100 else f"{amount:.2f}"
    return f"{number} {unit}".rstrip().replace(" °", "°")
