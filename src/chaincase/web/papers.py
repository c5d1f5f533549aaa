"""Papers of a case as bytes, for pages and API."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Final, Literal

from chaincase.case.findings import Findings
from chaincase.case.form import Case
from chaincase.documents import compose_papers
from chaincase.documents.compose import compose
from chaincase.documents.dossier import dossier_pdf
from chaincase.documents.dossier_bundle import dossier_zip
from chaincase.documents.inspection import inspection_pdf
from chaincase.documents.letter import letter_html, letter_pdf, letter_text
from chaincase.documents.paper import Paper
from chaincase.documents.photographs import Photo, photo
from chaincase.documents.sheet import blank_heading, measuring_sheet, sheet_pdf
from chaincase.documents.sheet_workbook import sheet_xlsx
from chaincase.documents.tag import tag_pdf
from chaincase.errors import BadInput
from chaincase.register.faults import Missing
from chaincase.web.server import Server
from chaincase.web.service import standing

TYPES: Final[Mapping[str, str]] = {
    "pdf": "application/pdf",
    "zip": "application/zip",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "txt": "text/plain; charset=utf-8",
    "html": "text/html; charset=utf-8",
}
Level = Literal["quote", "make"]


@dataclass(frozen=True, slots=True)
class Wanted:
    """How a paper is wanted.

    Attributes
    ----------
    paper : str
        us-letter or a4.
    level : str
        What a dossier is to be good for: quote or make.
    signed : str
        Who writes a letter.
    address : str
        Opens the case; printed as a square code.
    """

    paper: Paper = "us-letter"
    level: Level = "quote"
    signed: str = ""
    address: str = ""


@dataclass(frozen=True, slots=True)
class Made:
    """A paper: file name, content and media type."""

    name: str
    content: bytes
    media_type: str


@dataclass(frozen=True, slots=True)
class _Asked:
    server: Server
    case: Case
    found: Findings
    day: date
    wanted: Wanted


def make(server: Server, case: str, kind: str, ending: str, wanted: Wanted) -> Made:
    """Give a paper of a case as it stands.

    Parameters
    ----------
    kind, ending : str
        One of `MAKERS`: sheet.pdf, sheet.xlsx, letter.pdf, letter.txt, letter.html, dossier.pdf, dossier.zip, tag.pdf,
        inspection.pdf.

    Raises
    ------
    Missing
        If there is no such case.
    BadInput
        If there is no such paper, or the case cannot be read.
    """
    maker = MAKERS.get(f"{kind}.{ending}")
    if maker is None:
        raise BadInput(f"there is no paper {kind}.{ending}", where="paper", right=f"use {', '.join(MAKERS)}")
    form, found = standing(server, case).known()
    asked = _Asked(server, form, found, today(), wanted)
    return Made(f"{form.case}-{kind}.{ending}", maker(asked), TYPES[ending])


def blank_sheet(kind: str, paper: Paper = "us-letter") -> Made:
    """Give the measuring sheet of a kind of chain, of no case.

    Raises
    ------
    BadInput
        If there is no such kind.
    """
    made = sheet_pdf(measuring_sheet(kind, blank_heading(today())), paper=paper)
    return Made(f"sheet-{kind.replace(' ', '-')}.pdf", made, TYPES["pdf"])


def address_of(server: Server, case: str) -> str:
    """Give the address that opens a case from elsewhere; empty where only this computer can open it."""
    return "" if server.settings.local else f"{server.settings.address}/phone/{case}"


def today() -> date:
    """Give the day for a paper (UTC)."""
    return datetime.now(UTC).date()


def _sheet(asked: _Asked) -> bytes:
    made = compose_papers.case_sheet(asked.case, asked.found, asked.day, address=asked.wanted.address)
    return sheet_pdf(made, paper=asked.wanted.paper)


def _sheet_workbook(asked: _Asked) -> bytes:
    return sheet_xlsx(compose_papers.case_sheet(asked.case, asked.found, asked.day, address=asked.wanted.address))


def _letter(write: Callable[..., bytes]) -> Callable[[_Asked], bytes]:
    def make_letter(asked: _Asked) -> bytes:
        how = asked.wanted
        made = compose_papers.case_letter(
            asked.case, asked.found, asked.server.catalog, asked.day, address=how.address, signed=how.signed
        )
        return write(made, how.paper)

    return make_letter


def _dossier(asked: _Asked) -> bytes:
    catalog, how = asked.server.catalog, asked.wanted
    photos = tuple(_photos(asked))
    made = compose(asked.case, asked.found, catalog, asked.day, level=how.level, photos=photos)
    return dossier_pdf(made, paper=how.paper)


def _bundle(asked: _Asked) -> bytes:
    catalog, how, photos = asked.server.catalog, asked.wanted, tuple(_photos(asked))
    return dossier_zip(asked.case, asked.found, catalog, asked.day, level=how.level, photos=photos, paper=how.paper)


def _tag(asked: _Asked) -> bytes:
    return tag_pdf(compose_papers.case_tag(asked.case, asked.found, asked.day, address=asked.wanted.address))


def _inspection(asked: _Asked) -> bytes:
    made = compose_papers.case_inspection(asked.case, asked.found, asked.server.catalog, asked.day)
    return inspection_pdf(made, paper=asked.wanted.paper)


def _photos(asked: _Asked) -> Iterator[Photo]:
    """Give the photographs that the case names and the register has."""
    for each in asked.case.photographs:
        try:
            data = asked.server.register.photographs.content(each.sha256)
        except Missing:
            continue
        yield photo(data, each.file, each.shows)


MAKERS: Final[Mapping[str, Callable[[_Asked], bytes]]] = {
    "sheet.pdf": _sheet,
    "sheet.xlsx": _sheet_workbook,
    "letter.pdf": _letter(lambda letter, paper: letter_pdf(letter, paper=paper)),
    "letter.txt": _letter(lambda letter, _: letter_text(letter).encode()),
    "letter.html": _letter(lambda letter, _: letter_html(letter).encode()),
    "dossier.pdf": _dossier,
    "dossier.zip": _bundle,
    "tag.pdf": _tag,
    "inspection.pdf": _inspection,
}
"""Every paper of a case."""
