"""`chaincase sheet|letter|dossier|tag|inspection`: what the shop and the field hand hold in their hands."""

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

import click

from chaincase.case.findings import Findings, find
from chaincase.case.form import Case
from chaincase.catalog.sheets import read_text
from chaincase.catalog.table import Catalog
from chaincase.cli.identify import with_user_catalogs
from chaincase.documents import compose_papers as papers
from chaincase.documents.atomic import write_whole
from chaincase.documents.paper import Paper
from chaincase.errors import BadInput

Command = TypeVar("Command", bound=Callable[..., Any])

_CATALOG = click.option("--catalog", "catalogs", multiple=True, metavar="FILE", help="A user catalog to search too.")
_PAPER = click.option("--paper", type=click.Choice(["us-letter", "a4"]), default="us-letter", show_default=True)
_ADDRESS = click.option("--address", default="", help="Address that opens the case, printed as a square code.")


def _output(*endings: str) -> Callable[[Command], Command]:
    words = " or ".join(f"OUT{ending}" for ending in endings)
    return click.option(
        "-o", "--output", type=click.Path(path_type=Path), required=True, help=f"File to write: {words}."
    )


def _ending(output: Path, *endings: str) -> str:
    """Give the ending of an output's name.

    Raises
    ------
    BadInput
        If it is none of those that can be written.
    """
    if output.suffix.lower() not in endings:
        raise BadInput(f"the name ends in {output.suffix!r}", where=str(output), right=f"use {' or '.join(endings)}")
    return output.suffix.lower()


def _opened(file: Path, catalogs: tuple[str, ...]) -> tuple[Case, Findings, Catalog]:
    """Read a case and find what it says, telling on the way which keys meant nothing."""
    case, catalog = Case.parse(read_text(file), where=str(file)), with_user_catalogs(catalogs)
    for warning in case.warnings():
        click.echo(f"Mind: {warning}.", err=True)
    return case, find(case, catalog), catalog


def _today() -> date:
    return date.today()  # noqa: DTZ011 - the day on the paper is that of the desk


def _write(output: Path, content: bytes, what: str) -> None:
    click.echo(f"{what}: {write_whole(output, content)}")


@click.command()
@click.argument("kind", default="", required=False)
@click.option(
    "--case", "file", type=click.Path(path_type=Path), help="Case whose sheet it is; KIND may then be left out."
)
@click.option("--units", type=click.Choice(["in", "mm", "both"]), default="both", show_default=True)
@_PAPER
@_ADDRESS
@_CATALOG
@_output(".pdf", ".xlsx")
def sheet(
    kind: str, file: Path | None, units: Any, paper: Paper, address: str, catalogs: tuple[str, ...], output: Path
) -> None:
    """Write the measuring sheet of a KIND of chain, to print (PDF) or to fill in and mail back (XLSX)."""
    from chaincase.documents.sheet import blank_heading, measuring_sheet, sheet_pdf

    ending = _ending(output, ".pdf", ".xlsx")
    if file is not None:
        case, found, _ = _opened(file, catalogs)
        made = papers.case_sheet(case, found, _today(), kind=kind, units=units, address=address)
    elif kind:
        made = measuring_sheet(kind, blank_heading(_today()), units=units, address=address)
    else:
        raise click.UsageError("name the kind of chain, or a case with --case")
    if ending == ".pdf":
        content = sheet_pdf(made, paper=paper)
    else:
        from chaincase.documents.sheet_workbook import sheet_xlsx

        content = sheet_xlsx(made)
    _write(output, content, f"Measuring sheet, {made.kind.label}")


@click.command()
@click.argument("file", metavar="CASE", type=click.Path(path_type=Path))
@click.option("--signed", default="", help="Who writes.")
@_PAPER
@_ADDRESS
@_CATALOG
@_output(".pdf", ".txt", ".html")
def letter(file: Path, signed: str, paper: Paper, address: str, catalogs: tuple[str, ...], output: Path) -> None:
    """Write what is still open in the CASE as a letter to the customer: PDF, plain text, or HTML for a mail."""
    from chaincase.documents.letter import letter_html, letter_pdf, letter_text

    ending = _ending(output, ".pdf", ".txt", ".html")
    case, found, catalog = _opened(file, catalogs)
    made = papers.case_letter(case, found, catalog, _today(), address=address, signed=signed)
    write = {
        ".pdf": lambda: letter_pdf(made, paper=paper),
        ".txt": lambda: letter_text(made).encode(),
        ".html": lambda: letter_html(made).encode(),
    }
    number = len(made.questions)
    _write(output, write[ending](), f"Letter with {number} question{'' if number == 1 else 's'}")


@click.command()
@click.argument("file", metavar="CASE", type=click.Path(path_type=Path))
@click.option("--level", type=click.Choice(["quote", "make"]), default="quote", show_default=True, help="What for.")
@_PAPER
@_CATALOG
@_output(".pdf", ".zip")
def dossier(file: Path, level: Any, paper: Paper, catalogs: tuple[str, ...], output: Path) -> None:
    """Write the complete request of the CASE: PDF, or a ZIP with its tables and drawings too."""
    from chaincase.documents.compose import compose
    from chaincase.documents.dossier import dossier_pdf
    from chaincase.documents.photographs import photos_of

    ending = _ending(output, ".pdf", ".zip")
    case, found, catalog = _opened(file, catalogs)
    photos = tuple(photos_of(file.parent, tuple((each.file, each.shows) for each in case.photographs)))
    if ending == ".pdf":
        made = compose(case, found, catalog, _today(), level=level, photos=photos)
        content = dossier_pdf(made, paper=paper)
    else:
        from chaincase.documents.dossier_bundle import dossier_zip

        content = dossier_zip(case, found, catalog, _today(), level=level, photos=photos, paper=paper)
    number = sum(1 for gap in found.open_gaps if level == "make" or gap.level == "quote")
    state = "nothing is open" if found.ready(level) else f"{number} question{'' if number == 1 else 's'} still open"
    _write(output, content, f"Dossier to {level}, {state}")


@click.command()
@click.argument("file", metavar="CASE", type=click.Path(path_type=Path))
@click.option("--label", type=click.Choice(["4x6", "a6"]), default="4x6", show_default=True, help="4 by 6 in, or A6.")
@click.option("--send-to", default="", help="Address it goes to; left to fill in if not given.")
@_ADDRESS
@_CATALOG
@_output(".pdf")
def tag(file: Path, label: Any, send_to: str, address: str, catalogs: tuple[str, ...], output: Path) -> None:
    """Write the tag for the sample of the CASE that is sent in."""
    from chaincase.documents.tag import tag_pdf

    _ending(output, ".pdf")
    case, found, _ = _opened(file, catalogs)
    made = papers.case_tag(case, found, _today(), address=address, send_to=send_to)
    _write(output, tag_pdf(made, label=label), "Sample tag")


@click.command()
@click.argument("file", metavar="CASE", type=click.Path(path_type=Path))
@_PAPER
@_CATALOG
@_output(".pdf")
def inspection(file: Path, paper: Paper, catalogs: tuple[str, ...], output: Path) -> None:
    """Write what to measure on the chain that is delivered for the CASE, with limits."""
    from chaincase.documents.inspection import inspection_pdf

    _ending(output, ".pdf")
    case, found, catalog = _opened(file, catalogs)
    _write(
        output, inspection_pdf(papers.case_inspection(case, found, catalog, _today()), paper=paper), "Inspection sheet"
    )
