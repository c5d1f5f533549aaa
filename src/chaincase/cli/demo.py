"""`chaincase demo`: the main job on three invented cases, from evidence to dossier."""

import json
from datetime import date
from importlib import resources
from pathlib import Path
from typing import Any

import click

from chaincase.case.findings import find
from chaincase.case.form import Case
from chaincase.catalog.table import Catalog
from chaincase.cli import case_words, words
from chaincase.cli.case_file import write_case
from chaincase.documents.atomic import write_whole
from chaincase.documents.compose import compose
from chaincase.documents.dossier import write_dossier


@click.command()
@click.option(
    "-o", "--output", type=click.Path(path_type=Path, file_okay=False), default=Path("demo-out"), show_default=True,
    help="Folder for the cases, evidence files and dossiers.",
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
    opened, catalog = Case.of(case, where=case["case"]), Catalog.standard()
    found = find(opened, catalog)
    written = output / f"{case['case']}-evidence.json"
    write_whole(written, (json.dumps(case["evidence"], indent=2, ensure_ascii=False) + "\n").encode())
    kept = output / f"{case['case']}.json"
    write_case(opened, kept)
    today = date.today()  # noqa: DTZ011 - the day of whoever runs it
    composed = compose(opened, found, catalog, today)
    dossier = write_dossier(composed, output / f"{case['case']}-dossier.pdf", paper=paper)
    click.secho(f"{case['case']}: {case['title']}, {case['plant']}", bold=True)
    click.echo(f"{case['notes']}\n")
    if found.identity is not None:
        click.echo(words.identification(found.identity))
    click.echo()
    click.echo("\n".join(case_words.in_short(found)))
    click.echo(f"\nCase:     {kept}\nEvidence: {written}\nDossier:  {dossier}\n")
