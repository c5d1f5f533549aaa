"""The bench report: Markdown with a reliability diagram beside it."""

import math
import platform
import shutil
import subprocess
from collections.abc import Callable, Iterable, Sequence
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path

from chaincase.calibration import scores
from chaincase.calibration.bench import Result
from chaincase.calibration.circumstances import EXACT
from chaincase.calibration.diagram import reliability_svg
from chaincase.calibration.samples import FIT_SEEDS, PER_SEED
from chaincase.calibration.scores import Figure
from chaincase.calibration.sequential import DRAWING_FOUND, SURE, Course
from chaincase.calibration.targets import (
    Cases,
    Target,
    got_there,
    lead,
    log_of,
    ratio,
    right_of,
    stated_of,
    targets,
    unlisted_found,
    usual,
)
from chaincase.calibration.tasks import BASELINES, TWIN_SHARE, Case


def write_report(result: Result, path: Path) -> None:
    """Write the report to `path` and the diagram beside it, each whole or not at all."""
    picture = path.with_suffix(".svg")
    path.parent.mkdir(parents=True, exist_ok=True)
    _write(picture, diagram(result))
    _write(path, report(result, picture.name))


def _write(path: Path, text: str) -> None:
    part = path.with_name(path.name + ".part")
    part.write_text(text, encoding="utf-8")
    part.replace(path)


def diagram(result: Result) -> str:
    """Give the reliability diagram of all stated top probabilities, as SVG."""
    stated, right = stated_of(result.cases), right_of(result.cases)
    return reliability_svg(scores.reliability(stated, right), f"Stated and true, {len(stated)} samples")


def report(result: Result, picture: str = "bench.svg") -> str:
    """Give the report as Markdown; `picture` is the diagram's file beside it."""
    parts = [
        _HEAD,
        _circumstances(result),
        "## Targets\n\n" + _targets(result),
        "## Results\n\n" + _overall(result),
        _MEANING,
        f"![Reliability diagram]({picture})\n",
        _reliability_table(result.cases),
        "## Against plain methods\n\n" + _plain_methods(result.cases),
        "## By number of readings\n\n"
        + by_group(result.cases, lambda case: f"{min(case.readings, 8):d}{'+' * (case.readings >= 8)}"),
        "## By stamp\n\n" + by_group(result.cases, lambda case: "with a mark" if case.marks else "none"),
        "## By blunders\n\n" + by_group(result.cases, lambda case: str(case.slips) if case.slips < 2 else "2+"),
        "## By kind\n\n" + by_group(result.cases, lambda case: case.kind),
    ]
    if result.courses:
        parts.append("## Work until sure\n\n" + _work(result))
    if result.otherwise:
        parts.append("## If the assumptions are off\n\n" + _otherwise(result))
    return "\n".join(parts)


_HEAD = """# Bench: are the stated probabilities true?

Written by `chaincase bench`. Worn, measured and stamped chains are drawn from the packaged tables by a generator that
shares no physics and no constant with the method it tests; a tenth of them stand in no table. The truth is known, so
that every answer can be judged. The chains are simulated: the report says whether the method does what it claims
under the generator's assumptions (`chaincase.calibration`), not what share of real requests it answers.
"""

_MEANING = f"""
What each figure means; the brackets hold 95 % intervals:

- **right**: the largest stated probability, unlisted among them, is that of the truth.
- **right or tied**: right, or the truth is in the group that the answer itself says cannot be told apart.
- **log score**: mean natural logarithm of the probability given to the truth, 0 at best; no answer counts less than
  ln {scores.LOG_FLOOR:g}.
- **Brier score**: mean squared error over all probabilities of an answer, 0 at best, 2 at worst.
- **calibration error**: mean distance between stated and true share, over {scores.BINS} bins of equal mass of the
  largest stated probability; **by chance alone** is what answers get whose probabilities are exactly true. Resampling
  adds chance to chance, so that the interval lies high.
- **wrong when sure**: share of wrong answers among those stated with 99 % or more.
- **with near twins**: the tables hold copies of rows with one or two dimensions shifted by 2 to 6 %.
- **unlisted found**: area under the ROC curve of the probability of unlisted; 0.5 is guessing, 1 is perfect.
"""


def _circumstances(result: Result) -> str:
    first, last = result.seeds
    lines = (
        f"date: {datetime.now(UTC):%Y-%m-%d}",
        f"version: {version('chaincase')}, git revision {revision()}",
        f"machine: {machine()}, {result.workers} processes of one thread each, {result.seconds / 60:.1f} min",
        f"samples: {len(result.cases)} on {result.rows} rows, drawn uniformly over rows",
        f"seeds: {first} to {last}, {PER_SEED} samples each, numbered by seed and index",
        f"evidence: {_evidence_words(result.cases)}",
        f"refused: {len(result.refused)} samples whose writing can be read in two ways; a person is asked, none counts",
        f"near twins: {len(result.twins)} samples on {result.twin_rows} rows, {100 * TWIN_SHARE:.0f} % of rows twice",
        f"fitting: constants may be fitted on seeds {FIT_SEEDS[0]} to {FIT_SEEDS[-1]}; no figure here comes from those",
    )
    cut = ("the time was up before all was done: every part has the same share of what it was to have",)
    return "".join(f"- {line}\n" for line in (*lines, *(cut if result.stopped else ())))


def _evidence_words(cases: Cases) -> str:
    """Say how much there was to go by, counted from the samples and not from what the generator states."""
    readings = sum(case.readings for case in cases)
    slips = sum(case.slips for case in cases)
    marked = sum(case.marks > 0 for case in cases)
    unlisted = sum(not case.listed for case in cases)
    return (
        f"{readings / len(cases):.1f} readings on the mean, {100 * slips / readings:.1f} % of them blunders; "
        f"{100 * marked / len(cases):.1f} % of samples with a mark, {100 * unlisted / len(cases):.1f} % unlisted"
    )


def revision() -> str:
    """Give the short git revision of the source, "unknown" outside a repository."""
    git = shutil.which("git")
    if git is None:
        return "unknown"
    here = Path(__file__).parent
    command = [git, "-C", str(here), "describe", "--always", "--dirty", "--abbrev=10"]
    found = subprocess.run(command, capture_output=True, text=True, check=False)  # noqa: S603 (fixed arguments)
    return found.stdout.strip() or "unknown"


def machine() -> str:
    """Give the class of the machine: architecture, system and Python, no names."""
    return f"{platform.machine()}, {platform.system()}, Python {platform.python_version()}"


def _targets(result: Result) -> str:
    rows = [
        [each.name, f"{'at least' if each.above else 'at most'} {each.limit:g}", number(each.figure), _reached(each)]
        for each in targets(result)
    ]
    return _table(["figure", "target", "this run", "reached"], rows)


def _reached(target: Target) -> str:
    return "yes" if target.reached else "**no**"


def _otherwise(result: Result) -> str:
    head = [
        "generator",
        "samples",
        "log score, 3 to 6 readings",
        "right",
        "mean stated",
        "calibration error",
        "by chance",
        "wrong when sure",
        "ROC area",
    ]
    rows = [[words, *_held(cases)] for words, cases in result.otherwise.items() if cases]
    return _OTHERWISE + "\n" + _table(head, rows) + _at_best(result)


def _at_best(result: Result) -> str:
    """Say what the log score would be with new chains, measured exactly: how much of the loss no method can avoid."""
    figure = scores.mean(log_of(usual(result.otherwise.get(EXACT, ()))))
    return _AT_BEST.format(figure=number(figure), exact=EXACT) if figure.n else ""


_AT_BEST = """
With {exact}, the log score over 3 to 6 readings is still {figure},
though the method goes on to reckon with all three. Most of what is lost is lost where the evidence does not hold the
answer: nobody said which roller a conveyor chain has, how many strands there are or how a leaf chain is laced, and it
was not measured; or the one size in which an unlisted chain differs was not measured. Another reading helps there.
"""


def _held(cases: Cases) -> list[str]:
    stated, right = stated_of(cases), right_of(cases)
    return [
        str(len(cases)),
        number(scores.mean(log_of(usual(cases)))),
        percent(scores.share(right)),
        f"{100 * sum(stated) / len(stated):.1f} %",
        number(scores.calibration_error(stated, right)),
        f"{scores.calibration_floor(stated):.3f}",
        percent(scores.wrong_when_sure(stated, right)),
        number(unlisted_found(cases)),
    ]


_OTHERWISE = """Nobody has counted how worn chain arrives or how often it is mismeasured. The same seeds, with the
generator's own figures multiplied; the method and its constants stay as they are, its prior for unlisted among them.
"""


def _overall(result: Result) -> str:
    columns = {"packaged tables": _figures(result.cases)}
    if result.twins:
        columns["with near twins"] = _figures(result.twins)
    names = list(columns["packaged tables"])
    rows = [[name, *(columns[column][name] for column in columns)] for name in names]
    return _table(["figure", *columns], rows)


def _figures(cases: Cases) -> dict[str, str]:
    stated, right = stated_of(cases), right_of(cases)
    listed = [case for case in cases if case.listed]
    unlisted = [case for case in cases if not case.listed]
    return {
        "samples": str(len(cases)),
        "right": percent(scores.share(right)),
        "right, of listed chains": percent(scores.share(right_of(listed))),
        "right, of unlisted chains": percent(scores.share(right_of(unlisted))),
        "right or tied": percent(scores.share([case.verdict.in_tie for case in cases])),
        "mean stated probability": percent(scores.mean(stated)),
        "log score": number(scores.mean(log_of(cases))),
        "log score, 3 to 6 readings": number(scores.mean(log_of(usual(cases)))),
        "Brier score": number(scores.mean([case.verdict.brier for case in cases])),
        "calibration error": number(scores.calibration_error(stated, right)),
        "calibration error by chance alone": f"{scores.calibration_floor(stated):.3f}",
        "wrong when sure": percent(scores.wrong_when_sure(stated, right)),
        "unlisted found": number(unlisted_found(cases)),
    }


def by_group(cases: Cases, group: Callable[[Case], str]) -> str:
    """Give one row of figures per group, groups in order of their names."""
    groups: dict[str, list[Case]] = {}
    for case in cases:
        groups.setdefault(group(case), []).append(case)
    rows = [[name, *_brief(groups[name])] for name in sorted(groups)]
    return _table(
        ["group", "samples", "right", "right or tied", "mean stated", "log score", "Brier score", "wrong when sure"],
        rows,
    )


def _brief(cases: Cases) -> list[str]:
    stated, right = stated_of(cases), right_of(cases)
    return [
        str(len(cases)),
        percent(scores.share(right)),
        percent(scores.share([case.verdict.in_tie for case in cases])),
        f"{100 * sum(stated) / len(stated):.1f} %",
        number(scores.mean(log_of(cases))),
        number(scores.mean([case.verdict.brier for case in cases])),
        percent(scores.wrong_when_sure(stated, right)),
    ]


def _reliability_table(cases: Cases) -> str:
    bins = scores.reliability(stated_of(cases), right_of(cases))
    return _table(
        ["stated", "right", "samples"], [[f"{100 * b.stated:.1f} %", percent(b.right), str(b.right.n)] for b in bins]
    )


def _plain_methods(cases: Cases) -> str:
    listed = [case for case in cases if case.listed]
    bare = [case for case in listed if not case.marks]
    rows = [["this tool", *(percent(scores.share(right_of(part))) for part in (cases, listed, bare))]]
    for i, name in enumerate(BASELINES):
        rows.append(
            [name, *(percent(scores.share([case.baselines[i] for case in part])) for part in (cases, listed, bare))]
        )
    ahead = lead(cases)
    note = (
        "Neither plain method can say that a chain stands in no table. This tool is ahead of the better nearest\n"
        f"neighbor without a stamp by {percent(ahead)} of all samples.\n"
    )
    return _table(["method", "right", "right, of listed", "right, of listed without a mark"], rows) + "\n" + note


def _work(result: Result) -> str:
    chains = result.courses
    columns = ([c.advised for c in chains], [c.in_order for c in chains], [c.any_step for c in chains])
    rows = [[name, *(figure(column) for column in columns)] for name, figure in _WORK_ROWS.items()]
    both = got_there(chains)
    ratios = [each.advised.minutes / each.in_order.minutes for each in both]
    total = ratio(both)
    return _WORK.format(
        n=len(chains),
        sure=100 * SURE,
        papers=100 * DRAWING_FOUND,
        table=_table(["", "advised readings", "sheet's order", "any advised step"], rows),
        both=len(both),
        ratio=f"median {number(scores.median(ratios))}, mean {number(scores.mean(ratios))}, sums {number(total)}",
    )


_WORK_ROWS: dict[str, Callable[[Sequence[Course]], str]] = {
    "reached 95 %": lambda courses: percent(scores.share([each.sure for each in courses])),
    "right at the end": lambda courses: percent(scores.share([each.right for each in courses])),
    "wrong though 95 % sure": lambda courses: percent(scores.share([not c.right for c in courses if c.sure])),
    "readings, mean": lambda courses: number(scores.mean([each.readings for each in courses])),
    "minutes, mean": lambda courses: number(scores.mean([each.minutes for each in courses])),
    "minutes, median": lambda courses: number(scores.median([each.minutes for each in courses])),
    "minutes to 95 %, mean": lambda courses: number(scores.mean([each.minutes for each in courses if each.sure])),
}

_WORK = """{n} chains, each measured three times by the same hand: by the readings that the answer advises, in the order
of the sheet, and by any step that the answer advises, until {sure:.0f} % are stated or nothing is left. Stamps are
found as often as the generator leaves them, papers in {papers:.0f} % of cases.

{table}
Minutes by advised readings over minutes in the sheet's order, for the {both} chains where both got there: {ratio}.
"""


def percent(figure: Figure) -> str:
    """Print a share with its interval.

    >>> percent(Figure(0.9, 0.85, 0.93, 200))
    '90.0 % [85.0, 93.0]'
    """
    if not figure.n:
        return "no case"
    return f"{100 * figure.value:.1f} % [{100 * figure.low:.1f}, {100 * figure.high:.1f}]"


def number(figure: Figure) -> str:
    """Print a figure with its interval.

    >>> number(Figure(0.5, 0.4, 0.6, 10))
    '0.500 [0.400, 0.600]'
    """
    if not figure.n or math.isnan(figure.value):
        return "no case"
    if not math.isfinite(figure.high):
        return f"{figure.value:.3f}"
    return f"{figure.value:.3f} [{figure.low:.3f}, {figure.high:.3f}]"


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join("| " + " | ".join(line) + " |" for line in lines) + "\n"
