"""The growth of cost with rows, drawn on two logarithmic scales."""

from collections.abc import Sequence
from pathlib import Path

from growth import NEXT, NO_PITCH, PITCH, STAMP, Timings


def draw(timings: Sequence[Timings], path: Path) -> None:
    import matplotlib as mpl

    mpl.use("svg")
    mpl.rcParams["svg.hashsalt"] = "speed"  # the same figure for the same data
    from matplotlib import pyplot as plt

    figure, axes = plt.subplots(figsize=(8, 5))
    rows = [each.rows for each in timings]
    for name, marker in zip((PITCH, NO_PITCH, STAMP, NEXT), "osD^", strict=True):
        axes.loglog(rows, [each.ours[name] for each in timings], marker=marker, color="#1f4e79", label=name)
    for name, style in zip(timings[0].peers, ((0, (1, 1)), "--", "-.", ":"), strict=False):
        axes.loglog(rows, [each.peers[name] for each in timings], linestyle=style, color="#8a8a8a", label=name)
    axes.set_xlabel("rows of the catalog")
    axes.set_ylabel("milliseconds")
    axes.grid(which="both", linewidth=0.3)
    axes.legend(fontsize="small", frameon=False)
    figure.tight_layout()
    figure.savefig(path, metadata={"Date": None, "Creator": None})
