"""The bench as a whole: few samples on the packaged tables."""

from pathlib import Path

import pytest

from chaincase.calibration import sequential
from chaincase.calibration.bench import Result, run_bench
from chaincase.calibration.judging import rows_by_name
from chaincase.calibration.report import report, write_report
from chaincase.calibration.tasks import BASELINES
from chaincase.catalog.table import Catalog, Row, Source, build
from chaincase.errors import BadInput
from chaincase.identifying.answer import Candidate, Identification, NextStep
from chaincase.identifying.evidence import Evidence


@pytest.fixture(scope="module")
def result() -> Result:
    return run_bench(8, range(5000, 5001), workers=1, twins=3, courses=1)


def test_a_run_has_what_was_asked_for(result: Result) -> None:
    assert (len(result.cases), len(result.twins), len(result.courses)) == (8, 3, 1)
    assert [(case.seed, case.index) for case in result.cases] == [(5000, i) for i in range(8)]
    assert result.twin_rows > 1.3 * result.rows
    assert all(len(case.baselines) == len(BASELINES) for case in result.cases)
    assert all(0.0 <= case.verdict.of_truth <= 1.0 for case in result.cases)


def test_two_processes_give_what_one_gives(result: Result) -> None:
    told: list[tuple[int, int]] = []
    both = run_bench(2, range(5000, 5001), workers=2, progress=lambda *done: told.append(done), twins=1, courses=0)
    assert both.cases == result.cases[:2]
    assert both.twins == result.twins[:1]
    assert told == [(1, 3), (2, 3), (3, 3)]


def test_report_is_written_whole_with_its_diagram(result: Result, tmp_path: Path) -> None:
    page = tmp_path / "docs" / "bench.md"
    write_report(result, page)
    text = page.read_text(encoding="utf-8")
    assert sorted(path.name for path in page.parent.iterdir()) == ["bench.md", "bench.svg"]
    assert "](bench.svg)" in text
    for words in ("seeds: 5000 to 5000", "1000 to 1999", "git revision", "calibration error", "By number of readings"):
        assert words in text
    assert str(tmp_path) not in text
    assert "nan" not in text


def test_report_without_twins_and_courses() -> None:
    run = run_bench(2, range(5000, 5001), workers=1, twins=0, courses=0)
    text = report(run)
    assert "Work until sure" not in text
    assert "| figure | packaged tables |\n" in text


@pytest.mark.parametrize(("samples", "seeds"), [(0, range(1)), (101, range(1))])
def test_too_few(samples: int, seeds: range) -> None:
    with pytest.raises(BadInput):
        run_bench(samples, seeds, workers=1)


SIZES = {"pitch": 66.27, "bush_diameter": 22.4, "pin_diameter": 12.7, "sidebar_height": 28.7, "sidebar_thickness": 6.4}


def courses(monkeypatch: pytest.MonkeyPatch, steps: tuple[NextStep, ...], enough: int) -> list[sequential.Courses]:
    """Take listed chains by every course with an answer that is sure after so many readings, or by a mark."""
    monkeypatch.setattr("chaincase.calibration.samples.UNLISTED", 0.0)
    catalog: Catalog = build(
        Source("t", "t", "", ""), [Row("W78", "welded steel", SIZES), Row("W2", "welded steel", SIZES)]
    )

    def identify(evidence: Evidence, _: Catalog) -> Identification:
        sure = 0.96 if len(evidence.readings) >= enough or evidence.marks else 0.5
        first = Candidate(designation="W78", table="t", probability=sure, kind="welded steel")
        return Identification(candidates=(first,), unlisted=0.0, other=1.0 - sure, next=steps)

    return [sequential.compare(1, i, catalog, identify, rows_by_name(catalog)) for i in range(40)]


def step(dimension: str | None, label: str, minutes: float) -> NextStep:
    return NextStep(
        dimension=dimension, label=label, instrument=None, where="", gain_bits=1.0, minutes=minutes, decides=""
    )


def test_all_courses_stop_when_sure(monkeypatch: pytest.MonkeyPatch) -> None:
    taken = courses(monkeypatch, (step("sidebar_height", "sidebar height", 1.5),), enough=1)
    for each in taken:
        assert (each.advised.readings, each.advised.minutes, each.advised.sure) == (1, 1.5, True)
        # The sheet begins with the pitch.
        assert (each.in_order.readings, each.in_order.minutes) == (1, 3.0)
        assert each.any_step == each.advised
    assert 0 < sum(each.advised.right for each in taken) < 40


def test_a_step_is_not_repeated_and_the_sheet_follows(monkeypatch: pytest.MonkeyPatch) -> None:
    each = courses(monkeypatch, (step("sidebar_height", "sidebar height", 1.5),), enough=99)[0]
    assert not each.advised.sure
    assert not each.in_order.sure
    assert each.advised.readings == each.in_order.readings == 7
    assert each.advised.minutes == each.in_order.minutes


def test_a_dimension_that_is_not_there_costs_time_and_gives_no_reading(monkeypatch: pytest.MonkeyPatch) -> None:
    each = courses(monkeypatch, (step("roller_diameter", "roller diameter", 1.5),), enough=99)[0]
    assert each.advised.readings == 7
    assert each.advised.minutes == each.in_order.minutes + 0.75


def test_stamps_and_papers_turn_up_as_often_as_in_the_generator(monkeypatch: pytest.MonkeyPatch) -> None:
    stamp = courses(monkeypatch, (step(None, "stamp", 10.0),), enough=99)
    found = [each for each in stamp if each.any_step.readings == 0]
    assert 10 <= len(found) <= 30
    assert all(each.any_step.minutes == 10.0 and each.any_step.sure for each in found)
    assert all(each.advised == each.in_order for each in stamp)
    papers = courses(monkeypatch, (step(None, "machine papers", 40.0),), enough=99)
    named = [each for each in papers if each.any_step.readings == 0]
    assert 2 <= len(named) <= 20
    assert all(each.any_step.right for each in named)
