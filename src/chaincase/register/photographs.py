"""Photographs: taken in without trust, made anew (`chaincase.decoding`), kept by the hash of what they then are."""

from collections.abc import Callable

import sqlalchemy as sa

from chaincase.decoding import Taken
from chaincase.errors import BadInput
from chaincase.register import schema
from chaincase.register.events import ShortText
from chaincase.register.faults import Missing
from chaincase.register.files import Files, hash_of
from chaincase.register.plants import LongText
from chaincase.register.records import Record, Records
from chaincase.register.store import Store

TakeIn = Callable[[bytes], Taken]
"""Makes a photograph anew: `taken_in`, or in a process apart `decoding.Apart`."""


class Photograph(Record):
    """A photograph; `id` is the SHA-256 of its file, `case` the one for which it was first kept."""

    media_type: ShortText
    width: int
    height: int
    size: int
    name: LongText = ""
    case: ShortText = ""

    @property
    def sha256(self) -> str:
        """The SHA-256 of the file."""
        return self.id


class Photographs(Records[Photograph]):
    """Photographs by the hash of their file."""

    def __init__(self, store: Store, files: Files, take_in: TakeIn) -> None:
        super().__init__(store, Photograph, schema.photograph)
        self._files = files
        self._take_in = take_in

    def put(self, data: bytes, *, by: str, name: str = "", case: str = "") -> Photograph:
        """Take a photograph in, and give what it then is; the same one again changes nothing.

        Raises
        ------
        BadInput
            As for `taken_in`.
        Full
            If no space is left.
        """
        content, media_type, width, height = self._take_in(data)
        fields = {"media_type": media_type, "width": width, "height": height, "size": len(content)}
        return self._keep(content, fields, by=by, name=shown_name(name), case=case)

    def _keep(self, content: bytes, fields: dict[str, object], *, by: str, name: str, case: str) -> Photograph:
        sha256 = hash_of(content)
        known = self.find(id=sha256)
        self._files.put(content)
        if known:
            return known[0]
        try:
            return self.add(by=by, id=sha256, name=name, case=case, **fields)
        except BadInput:  # another writer kept the same one under another name in this moment
            if found := self.find(id=sha256):
                return found[0]
            raise

    def content(self, sha256: str) -> bytes:
        """Give the file of a photograph.

        Raises
        ------
        Missing
            If there is none.
        """
        return self._files.get(self.get(sha256).id)

    def of(self, case: str) -> tuple[Photograph, ...]:
        """Give the photographs that were first kept for a case."""
        return self.find(case=case)


class Document(Record):
    """A paper made for a case, such as a dossier."""

    case: ShortText
    name: LongText
    kind: ShortText = ""
    sha256: ShortText
    media_type: ShortText = "application/pdf"
    size: int


class Documents(Records[Document]):
    """Papers of cases."""

    def __init__(self, store: Store, files: Files) -> None:
        super().__init__(store, Document, schema.document)
        self._files = files

    def put(
        self, case: str, name: str, data: bytes, *, kind: str, by: str, media_type: str = "application/pdf"
    ) -> Document:
        """Keep a paper of a case."""
        with self.store.read() as connection:
            if connection.execute(sa.select(schema.cases.c.key).where(schema.cases.c.key == case)).first() is None:
                raise Missing.of("case", case)
        sha256 = self._files.put(data)
        fields = {"name": shown_name(name), "kind": kind, "media_type": media_type, "size": len(data)}
        return self.add(by=by, case=case, sha256=sha256, **fields)

    def content(self, id: str) -> bytes:  # noqa: A002 - the field's name
        """Give the file of a paper."""
        return self._files.get(self.get(id).sha256)


def shown_name(name: str) -> str:
    r"""Give a file's name as it may be shown: its last part, without what cannot be printed; never used as a path.

    >>> shown_name("../../etc/passwd"), shown_name("C:\\pictures\\chain 1.jpg")
    ('passwd', 'chain 1.jpg')
    """
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    return "".join(c for c in last if c.isprintable() and not "\ud800" <= c <= "\udfff")[:200].strip(" .")
