"""`chaincase demo`: the main job on three invented cases, from evidence to dossier."""

import json
from datetime import date
from importlib import resources
from pathlib import Path
from typing import Any

import click

from chaincase.catalog.table import Catalog
from chaincase.cli import words
from chaincase.documents.compose import Heading, compose
from chaincase.documents.dossier import write_dossier
from chaincase.identifying.evidence import Evidence
from chaincase.identifying.identification import identify

_MARKED = "Invented for a demonstration"


@click.command()
@click.option(
    "-o", "--output", type=click.Path(path_type=Path, file_okay=False), default=Path("demo-out"), show_default=True,
    help="Folder for the evidence files and dossiers.",
)  # fmt: skip
@click.option("--paper", type=click.Choice(["us-letter", "a4"]), default="us-letter", show_default=True)
def demo(output: Path, paper: str) -> None:
    """Identify three worn chains of an invented plant and write a dossier for each."""
    output.mkdir(parents=True, exist_ok=True)
    for case in cases():
        _show(case, output, paper)


def cases() -> list[dict[str, Any]]:
    """Give the invented cases, the easiest first."""
    folder = resources.files("chaincase.demo") / "cases"
    files = sorted((file for file in folder.iterdir() if file.name.endswith(".json")), key=lambda file: file.name)
    return [json.loads(file.read_text(encoding="utf-8")) for file in files]


def _show(case: dict[str, Any], output: Path, paper: Any) -> None:
    evidence = Evidence.of(case["evidence"], where=case["case"])
    answer = identify(evidence, Catalog.standard())
    heading = Heading(case["title"], case["case"], case["plant"], date.today(), marked=_MARKED)  # noqa: DTZ011
    written = output / f"{case['case']}-evidence.json"
    written.write_text(json.dumps(case["evidence"], indent=2, ensure_ascii=False) + "\n", encoding="utf-8")
    dossier = write_dossier(
        compose(heading, evidence, answer, Catalog.standard()), output / f"{case['case']}-dossier.pdf", paper=paper
    )
    click.secho(f"{case['case']}: {case['title']}, {case['plant']}", bold=True)
    click.echo(f"{case['story']}\n")
    click.echo(words.identification(answer))
    click.echo(f"\nEvidence: {written}\nDossier:  {dossier}\n")
