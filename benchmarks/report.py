"""What was measured, as a page, with what misses its target."""

import os
import platform
from collections.abc import Mapping, Sequence

from growth import FIRST, NEXT, NO_PITCH, PITCH, STAMP, Timings
from recall import DETERMINED, WORTH, Recall
from surveying import Surveyed

from chaincase.identifying.proposal import FULL

_MILLION = 1_000_000


def page(
    load: float,
    demo: float,
    sampled: float,
    timings: Sequence[Timings],
    recall: Recall,
    surveyed: Surveyed,
    pulls: Mapping[str, float],
) -> str:
    largest = timings[-1]
    next_at = max((each for each in timings if each.rows <= 10_000), key=lambda each: each.rows)
    targets = [
        ("loading the package", load * 1e3, 500.0),
        ("one whole answer on the packaged tables, demo cases", demo, 30.0),
        (f"next readings, {next_at.rows:,} rows (the target is for 5,000)", next_at.ours[NEXT], 50.0),
    ]
    if largest.rows == _MILLION:
        targets += [(f"{PITCH}, a million rows", largest.ours[PITCH], 10.0)]
        targets += [(f"{NO_PITCH}, a million rows", largest.ours[NO_PITCH], 40.0)]
    whole = (surveyed.rows, surveyed.samples) == (100_000, 10_000)
    seconds = f"survey of {surveyed.samples:,} samples against {surveyed.rows:,} rows, CSV to XLSX"
    targets += [(seconds, surveyed.seconds * 1e3, 20_000.0 if whole else float("inf"))]
    lines = [
        "# Speed",
        "",
        "Written by `make bench`; figures change by a factor of two with what else the machine does.",
        f"Machine: {_machine()}. Medians, one process unless something else is said, caches warm.",
        "",
        "| what | measured | target | |",
        "|---|---|---|---|",
        *(_target(*each) for each in targets),
        *([_memory(surveyed)] if surveyed.megabytes else []),
        "",
        f"The same whole answer over simulated samples: {sampled:.0f} ms.",
        "",
        f"The pull along a path of ten runs: {pulls['every_quantity_varied']:,.0f} paths a second with every quantity",
        f"varied, {pulls['sweep_of_three_factors']:,.0f} in a sweep of three factors (target 100,000). The survey took",
        f"{surveyed.cpu:.0f} s of the processors, reading the tables and the samples included.",
        "",
        "## Growth with the catalog",
        "",
        f"Milliseconds. A case is a simulated sample of four to six readings. `{FIRST}` is the very first case on a",
        "catalog, which codes the columns that it needs; they are kept. The peers look for the same readings in ten",
        "dimensions of the same rows, in the same run. They know neither wear nor mistakes nor empty cells and give no",
        "probabilities: they say what the machine can do.",
        "",
        *_table(timings),
        "",
        "![growth of cost with rows](speed.svg)",
        "",
        "## Recall of the first stage",
        "",
        *_recall(recall),
        "",
    ]
    return "\n".join(lines)


def _machine() -> str:
    try:
        memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
        size = f", {memory:.0f} GB of memory"
    except (ValueError, OSError, AttributeError):
        size = ""
    return f"{os.cpu_count()} cores, {platform.machine()}{size}, Python {platform.python_version()}"


def _target(what: str, measured: float, target: float) -> str:
    verdict = (
        "" if target == float("inf") else "met" if measured <= target else f"missed, {measured / target:.1f} times"
    )
    limit = "" if target == float("inf") else _duration(target)
    return f"| {what} | {_duration(measured)} | {limit} | {verdict} |"


def _duration(milliseconds: float) -> str:
    return f"{milliseconds / 1e3:.1f} s" if milliseconds >= 1e4 else f"{milliseconds:.3g} ms"


def _memory(surveyed: Surveyed) -> str:
    verdict = "met" if surveyed.megabytes <= 1000 else "missed"
    return f"| its memory, all processes | {surveyed.megabytes:.0f} MB | 1000 MB | {verdict} |"


def _table(timings: Sequence[Timings]) -> list[str]:
    head = ["", *(f"{each.rows:,} rows" for each in timings)]
    ours = [(name, [each.ours[name] for each in timings]) for name in (PITCH, NO_PITCH, STAMP, NEXT, FIRST)]
    peers = [(f"*{name}*", [each.peers[name] for each in timings]) for name in timings[0].peers]
    rows = [f"| {name} | " + " | ".join(f"{value:.3g}" for value in values) + " |" for name, values in [*ours, *peers]]
    return ["| " + " | ".join(head) + " |", "|---" * len(head) + "|", *rows]


def _recall(recall: Recall) -> list[str]:
    asked, share = recall.share(DETERMINED)
    every, all_share = recall.share(0)
    few = {
        count: (recall.samples[count], recall.proposed[count] / recall.samples[count])
        for count in sorted(recall.samples)
    }
    return [
        f"Simulated samples of listed chains, {recall.rows:,} rows. The first stage proposes up to {FULL.rows:,} rows",
        f"for the whole likelihood. Of {asked:,} samples with {DETERMINED} usable readings or more it proposed the",
        f"true row in {share:.3%}, of all {every:,} in {all_share:.2%}. With one or two readings",
        "thousands of rows are as likely as the true one; what is not proposed is counted in `other`.",
        *_missed(recall),
        "",
        "| usable readings | samples | true row proposed |",
        "|---|---|---|",
        *(f"| {readings} | {count:,} | {found:.2%} |" for readings, (count, found) in few.items()),
    ]


def _missed(recall: Recall) -> list[str]:
    """Say what scoring every row would have made of the true rows that were not proposed."""
    asked, share = recall.share_of_likely()
    verdict = "met" if share >= 0.9999 else "missed"
    likely, most = sum(chance > WORTH for chance in recall.missed), max(recall.missed, default=0.0)
    return [
        "",
        f"Scoring every row gives {asked:,} of these true rows a probability above {WORTH:g}; of them the first stage",
        f"proposed {share:.3%} (target 99.99 %: {verdict}). Of the {len(recall.missed)} true rows that it did not",
        f"propose, scoring every row gives {likely} more than that, the likeliest {most:.2g}: readings of the others",
        "speak against their own chain, or more than a thousand rows fit as well.",
    ]
