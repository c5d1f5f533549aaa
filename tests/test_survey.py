"""Surveys from file to file: columns, answers, summary, and going on after a stop."""

import json
from multiprocessing import active_children
from pathlib import Path

import pytest

from builders import evidence, reading
from chaincase.catalog.sheets import read_sheet
from chaincase.catalog.table import Catalog
from chaincase.cli.main import run
from chaincase.errors import BadInput, ChaincaseError
from chaincase.identifying.evidence import Evidence
from chaincase.identifying.identification import identify
from chaincase.survey import pool
from chaincase.survey.answering import COLUMNS, Answer, answer, short_step
from chaincase.survey.chunks import CHUNK_ROWS, Journal, Origin
from chaincase.survey.columns import Layout, Measure, read_layout
from chaincase.survey.run import survey
from chaincase.survey.samples import evidence_of
from chaincase.survey.tally import Tally
from survey_sheets import CHAINS, HEADER, ROWS, many, read_csv, read_xlsx, write_csv, write_xlsx

SAME = [
    evidence(
        reading("pitch", "12.72 mm"), reading("pin_diameter", "3.97 mm", ""), marks=("A40",), construction=("roller",)
    ),
    evidence(reading("pitch", "19.1 mm"), reading("pin_diameter", "5.95 mm", "")),
    evidence(
        reading("pitch", "15,9 mm", ""),
        reading("pin_diameter", "5.08 mm", ""),
        reading("inner_width", "9.4 mm", ""),
        construction=("roller", "single strand"),
    ),
    evidence(marks=("A?0",)),
]
"""What `ROWS` say, written as evidence by hand."""


class Stopped(Exception):
    """Stands for a kill in the middle."""


def stop_after(rows: int):
    def progress(done: int, total: int) -> None:
        if done >= rows:
            raise Stopped

    return progress


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Answer rows at once: how a survey goes on does not depend on what the answers are."""

    def echo(rows: list[tuple[int, list[str]]], layout: Layout, catalog: Catalog) -> list[Answer]:
        return [
            Answer(cells[0], "=A|\n", row / 1000, "é", 1e-6, 0.0, "", "|".join(cells), tuple(cells[1:2]))
            for row, cells in rows
        ]

    monkeypatch.setattr(pool, "answers", echo)


def stopped_in_the_middle(source: Path, output: Path, rows: int) -> None:
    with pytest.raises(Stopped):
        survey(source, output, CHAINS, workers=1, progress=stop_after(rows))


@pytest.fixture
def samples(tmp_path: Path) -> Path:
    return write_csv(tmp_path / "samples.csv", HEADER, *ROWS)


def test_csv_in_csv_out(samples: Path, tmp_path: Path):
    found = survey(samples, tmp_path / "out.csv", CHAINS)
    answers = read_csv(tmp_path / "out.csv")
    assert tuple(answers[0]) == (*COLUMNS, "machine")
    assert [each["sample"] for each in answers] == ["S1", "S2", "S3", "S4"]
    assert [each["machine"] for each in answers] == ["E1", "E1", "E2", "E2"]
    assert answers[0]["designation"] == "A40"
    assert {answers[1]["designation"], answers[1]["second"]} == {"A60", "L60"}
    assert answers[2]["designation"] == "A50"
    assert found.samples == 4
    assert found.notices == ()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out.csv", "samples.csv"]


def test_csv_in_xlsx_out_has_typed_cells_and_a_summary(samples: Path, tmp_path: Path):
    survey(samples, tmp_path / "out.csv", CHAINS)
    survey(samples, tmp_path / "out.xlsx", CHAINS)
    for ours, text in zip(read_xlsx(tmp_path / "out.xlsx"), read_csv(tmp_path / "out.csv"), strict=True):
        assert isinstance(ours["probability"], float)
        for name, value in ours.items():
            assert value == (pytest.approx(float(text[name])) if isinstance(value, float) else text[name])
    summary = read_xlsx(tmp_path / "out.xlsx", "summary")
    assert list(summary[0]) == ["machine", "designation", "count", "mean_probability", "unsettled", "unlisted"]
    assert sum(int(str(line["count"]).removesuffix(".0")) for line in summary) == 4


def test_xlsx_in_gives_the_same_as_csv_in(samples: Path, tmp_path: Path):
    book = write_xlsx(tmp_path / "samples.xlsx", HEADER, *ROWS)
    survey(samples, tmp_path / "from_csv.csv", CHAINS)
    survey(book, tmp_path / "from_xlsx.csv", CHAINS, sheet="samples")
    assert (tmp_path / "from_csv.csv").read_bytes() == (tmp_path / "from_xlsx.csv").read_bytes()


def test_numbers_of_a_workbook_are_read_as_numbers(tmp_path: Path):
    book = write_xlsx(tmp_path / "samples.xlsx", ("sample", "pitch (mm)", "pitch.over"), (7, 127, 10), (8, 15.9, 1.0))
    survey(book, tmp_path / "out.csv", CHAINS)
    answers = read_csv(tmp_path / "out.csv")
    assert [each["sample"] for each in answers] == ["7", "8"]
    assert [each["designation"] for each in answers] == ["A40", "A50"]


def test_a_row_says_what_identify_says_of_the_same_evidence(samples: Path, tmp_path: Path):
    survey(samples, tmp_path / "out.csv", CHAINS)
    for line, same in zip(read_csv(tmp_path / "out.csv"), SAME, strict=True):
        found = identify(same, CHAINS)
        first, *others = found.candidates
        assert line["designation"] == first.designation
        assert float(line["probability"]) == pytest.approx(first.probability, abs=1e-6)
        for second in others[:1]:  # none is shown where the first has all of the mass
            assert line["second"] == second.designation
            assert float(line["second_probability"]) == pytest.approx(second.probability, abs=1e-6)
        assert float(line["unlisted"]) == pytest.approx(found.unlisted, abs=1e-6)
        settled = first.probability >= 0.95
        assert line["next"] == ("" if settled or not found.next else short_step(found.next[0]))


def test_the_evidence_of_a_row(samples: Path):
    sheet = read_sheet(samples)
    layout = read_layout(sheet)
    rows = [cells for number, cells in sheet.rows() if number > 1]
    for cells, same in zip(rows, SAME, strict=True):
        assert evidence_of(cells, layout).model_dump() == same.model_dump()


def test_fields_and_mark_of_a_row():
    header = ("sample", "mark", "mark.legibility", "pitch", "pitch.over", "pitch.technique", "pitch.link", "pin")
    layout = Layout(
        header,
        1,
        0,
        -1,
        (("text", 1), ("legibility", 2)),
        (Measure("pitch", 3, "", (("over", 4), ("technique", 5), ("link", 6))),),
        (),
    )
    found = evidence_of(["S", " W?124 ", "corroded", "16 1/4 in", "4", "same edge", "outer"], layout)
    assert found == Evidence.of(
        {
            "marks": [{"text": "W?124", "legibility": "corroded"}],
            "readings": [
                {"dimension": "pitch", "value": "16 1/4 in", "over": "4", "technique": "same edge", "link": "outer"}
            ],
        }
    )


def test_headers_are_understood_as_people_write_them(tmp_path: Path):
    header = ("Sample ID", "Barrel Diameter [in]", "Pin-diameter . Instrument", "PIN DIAMETER", "Stamp", "Note", "Site")
    layout = read_layout(read_sheet(write_csv(tmp_path / "s.csv", [], header, ["1"])))
    assert layout.measures == (
        Measure("bush_diameter", 1, "in"),
        Measure("pin_diameter", 3, "", (("instrument", 2),)),
    )
    assert (layout.row, layout.sample, layout.mark) == (2, 0, (("text", 4),))
    assert layout.passed == (("site", 6), ("notes", 5))


def test_unknown_columns_are_told_and_left_out(tmp_path: Path):
    header = ("sample", "pitch", "customer", "weight", "pitch.color")
    source = write_csv(tmp_path / "s.csv", header, ("1", "12.7 mm", "a", "3 kg", "red"))
    notices = survey(source, tmp_path / "out.csv", CHAINS).notices
    assert [notice.split(", ", 2)[2] for notice in notices] == [
        "column C 'customer' means nothing here and was left out",
        "column D 'weight' means nothing here and was left out",
        "column E 'pitch.color' means nothing here and was left out",
    ]


def test_odd_ids_are_told(tmp_path: Path):
    rows = [("A", "12.7 mm"), ("", "12.7 mm"), ("A", "15.9 mm"), ("B", "12.7 mm")]
    found = survey(write_csv(tmp_path / "s.csv", ("sample", "pitch"), *rows), tmp_path / "out.csv", CHAINS)
    assert found.notices == ("samples without an id: row 3", "samples of the same id: 'A' in rows 2 and 4")
    assert [each["sample"] for each in read_csv(tmp_path / "out.csv")] == ["A", "", "A", "B"]


def test_warnings_name_the_columns_of_the_sheet():
    layout = Layout(
        ("sample", "Pitch", "Pitch.Instrument"), 1, 0, -1, (), (Measure("pitch", 1, "", (("instrument", 2),)),), ()
    )
    said = answer(2, ["S", "12.7 mm", "photograph"], layout, CHAINS).warnings
    assert said.startswith("Pitch (pitch 12.7 mm) carries no weight")


def test_a_settled_chain_needs_no_next_step(samples: Path, tmp_path: Path):
    survey(samples, tmp_path / "out.csv", CHAINS)
    answers = read_csv(tmp_path / "out.csv")
    assert float(answers[0]["probability"]) > 0.95
    assert answers[0]["next"] == ""
    assert answers[1]["next"].endswith(", digital caliper")


def test_the_summary_counts_per_machine_and_chain():
    tally = Tally(("site", "machine", "notes"))
    tally.add(Answer("1", "W124", 0.9, "W110", 0.1, 0.0, "pitch", "", ("North", "E1", "")))
    tally.add(Answer("2", "W124", 0.98, "W110", 0.01, 0.01, "", "", ("North", "E1", "wet")))
    tally.add(Answer("3", "W110", 0.2, "W124", 0.1, 0.7, "", "", ("North", "E1", "")))
    tally.add(Answer("4", "", None, "", None, None, "", "not read: row 5", ("North", "E2", "")))
    tally.add(Answer("5", "W110", 0.01, "W124", 0.01, 0.97, "", "", ("North", "E2", "")))
    assert tally.machine_columns == ("site", "machine")
    assert [
        (g.machine[1], g.designation, g.count, g.mean_probability, g.unsettled, g.unlisted) for g in tally.groups()
    ] == [
        ("E1", "W124", 2, 0.94, 1, 0),
        ("E1", "W110", 1, 0.2, 1, 1),
        ("E2", "W110", 1, 0.01, 0, 1),
        ("E2", "", 1, None, 0, 0),
    ]


def test_several_processes_give_what_one_gives(tmp_path: Path):
    source = write_csv(tmp_path / "s.csv", *many(6 * CHUNK_ROWS + 3))
    told: list[tuple[int, int]] = []
    survey(source, tmp_path / "one.csv", CHAINS, workers=1)
    survey(source, tmp_path / "two.csv", CHAINS, workers=2, progress=lambda done, total: told.append((done, total)))
    assert (tmp_path / "one.csv").read_bytes() == (tmp_path / "two.csv").read_bytes()
    samples = 6 * CHUNK_ROWS + 3
    assert [each["sample"] for each in read_csv(tmp_path / "two.csv")] == [row[0] for row in many(samples)[1:]]
    assert told[0] == (0, samples)
    assert told[-1] == (samples, samples)
    assert [done for done, _ in told] == sorted(done for done, _ in told)


def test_a_worker_that_is_killed_ends_the_survey_and_the_next_run_goes_on(tmp_path: Path):
    samples = 8 * CHUNK_ROWS
    source = write_csv(tmp_path / "s.csv", *many(samples))

    def kill_all(done: int, total: int) -> None:
        for worker in active_children() if done else ():
            worker.kill()

    with pytest.raises(ChaincaseError, match="give the command again to go on"):
        survey(source, tmp_path / "out.csv", CHAINS, workers=2, progress=kill_all)
    assert not (tmp_path / "out.csv").exists()
    found = survey(source, tmp_path / "out.csv", CHAINS, workers=1)
    assert 0 < found.kept < samples
    assert len(read_csv(tmp_path / "out.csv")) == samples


@pytest.mark.usefixtures("quick")
def test_a_stopped_survey_goes_on_where_it_was(tmp_path: Path):
    source = write_csv(tmp_path / "s.csv", *many(100))
    survey(source, tmp_path / "whole.csv", CHAINS, workers=1)
    stopped_in_the_middle(source, tmp_path / "out.csv", 50)
    assert not (tmp_path / "out.csv").exists()
    computed: list[int] = []
    found = survey(source, tmp_path / "out.csv", CHAINS, workers=1, progress=lambda done, _: computed.append(done))
    assert found.kept == 50
    assert computed == [50, 75, 100]
    assert (tmp_path / "out.csv").read_bytes() == (tmp_path / "whole.csv").read_bytes()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out.csv", "s.csv", "whole.csv"]


@pytest.mark.parametrize("cut", [1, 40, 2000])
@pytest.mark.usefixtures("quick")
def test_a_line_that_was_cut_off_is_done_again(cut: int, tmp_path: Path):
    source = write_csv(tmp_path / "s.csv", *many(100))
    survey(source, tmp_path / "whole.csv", CHAINS, workers=1)
    stopped_in_the_middle(source, tmp_path / "out.csv", 70)
    journal = tmp_path / "out.csv.part" / "answers.jsonl"
    journal.write_bytes(journal.read_bytes()[:-cut])
    assert survey(source, tmp_path / "out.csv", CHAINS, workers=1).kept < 70
    assert (tmp_path / "out.csv").read_bytes() == (tmp_path / "whole.csv").read_bytes()


@pytest.mark.usefixtures("quick")
def test_a_changed_input_starts_anew_and_says_so(tmp_path: Path):
    rows = many(60)
    source = write_csv(tmp_path / "s.csv", *rows)
    stopped_in_the_middle(source, tmp_path / "out.csv", 50)
    write_csv(source, *rows[:-1], ("S59", "E2", "other", "19.05 mm"))
    found = survey(source, tmp_path / "out.csv", CHAINS, workers=1)
    assert found.kept == 0
    assert found.notices == ("the input changed since the survey that was stopped; it was done anew",)
    assert "other" in read_csv(tmp_path / "out.csv")[-1]["warnings"]


@pytest.mark.usefixtures("quick")
def test_a_changed_catalog_starts_anew_and_says_so(tmp_path: Path):
    source = write_csv(tmp_path / "s.csv", *many(60))
    stopped_in_the_middle(source, tmp_path / "out.csv", 25)
    found = survey(source, tmp_path / "out.csv", CHAINS + CHAINS, workers=1)
    assert found.notices == ("the catalog changed since the survey that was stopped; it was done anew",)


def test_a_second_survey_of_the_same_output_is_refused(tmp_path: Path):
    origin = Origin("a", "b", "c", 10)
    with Journal(tmp_path / "out.csv", origin), pytest.raises(BadInput, match="another survey is writing"):
        Journal(tmp_path / "out.csv", origin)


def test_empty_rows_are_no_samples_and_bad_rows_are_answered(tmp_path: Path):
    rows = [("A", "12.7 mm"), ("", " "), ("B", "four"), ("C", "")]
    source = write_csv(tmp_path / "s.csv", ("sample", "Pitch"), *rows)
    found = survey(source, tmp_path / "out.csv", CHAINS)
    first, second, third = read_csv(tmp_path / "out.csv")
    assert first["designation"] == "A40"
    assert second["warnings"].startswith("not read: row 4, column B 'Pitch': character 1: 'four' has no number here")
    assert (second["sample"], second["designation"], second["probability"]) == ("B", "", "")
    assert third["warnings"].startswith("not read: row 5: there is no mark, construction or reading")
    assert found.groups[-1].designation == ""
    assert found.groups[-1].count == 2


def test_the_command_says_how_it_went(samples: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    with samples.open("a", encoding="utf-8") as file:
        file.write("S5,E2,,,four,,,\n")
    assert run(["survey", str(samples), "-o", str(tmp_path / "out.xlsx")]) == 0
    said = capsys.readouterr().out
    assert said.startswith("5 samples in ")
    assert "1 not read" in said
    assert "machine E1:" in said
    assert run(["survey", str(samples), "-o", str(tmp_path / "out.csv"), "--json", "--workers", "1"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["schema"] == "chaincase/survey-summary-1"
    assert sum(group["count"] for group in answer["groups"]) == answer["samples"] == 5
