"""Search over everything: words are made here, alike for both engines, which only look them up.

A word is a run of letters and digits without case and accents. `WR-124` is found as `wr 124`, `wr124` and `124`; a
question finds what holds a word that starts with each of its words, last changed first.
"""

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

import sqlalchemy as sa

from chaincase.register.schema import searchable

_RUN = re.compile(r"[^\W_]+(?:[-./][^\W_]+)*")
_WORD = re.compile(r"[^\W_]+")
_HALVES = re.compile(r"\d+|[^\W\d_]+")
_LONGEST_WORD: Final = 40
_MOST_WORDS: Final = 4_000
_MOST_ASKED: Final = 12
_NEWEST: Final = 3_000
"""Rows that PostgreSQL looks through before it asks the index."""
_NOT_READ: Final = frozenset({"id", "sha256", "schema", "client"})


@dataclass(frozen=True, slots=True)
class Hit:
    """Something that holds the words asked for; `key` is its id."""

    kind: str
    key: str
    title: str
    updated: str


@dataclass(frozen=True, slots=True)
class Page:
    """What is kept to find a thing: the number of its last change in the journal, its title, and its words."""

    number: int
    kind: str
    key: str
    title: str
    updated: str
    words: str


def words_of(texts: Iterable[str]) -> str:
    """Give the words of texts, each once, in the order in which they come.

    >>> words_of(["Förderkette WR-124", "124"])
    'forderkette wr124 wr 124'
    """
    found: dict[str, None] = {}
    for text in texts:
        for run in _RUN.findall(_plain(text)):
            found |= dict.fromkeys(word[:_LONGEST_WORD] for word in _forms(run))
        if len(found) > _MOST_WORDS:
            break
    return " ".join(list(found)[:_MOST_WORDS])


def asked(text: str) -> tuple[str, ...]:
    """Give the words of a question.

    >>> asked("wr-124 CAFÉ")
    ('wr', '124', 'cafe')
    """
    words = dict.fromkeys(word[:_LONGEST_WORD] for word in _WORD.findall(_plain(text[:1000])))
    return tuple(words)[:_MOST_ASKED]


def tag(field: str, value: str) -> str:
    """Give a word that stands for a field with a value, so that text and filters are looked up in one go.

    >>> tag("gap", "features.material")
    'xgapfeaturesmaterial'
    """
    return ("x" + field + "".join(_WORD.findall(_plain(value))))[:_LONGEST_WORD]


def texts_in(value: Any) -> Iterator[str]:
    """Give all texts and numbers in JSON data, but no ids and hashes."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, each in value.items():
            if key not in _NOT_READ:
                yield from texts_in(each)
    elif isinstance(value, list):
        for each in value:
            yield from texts_in(each)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield f"{value:g}"


def keep(connection: sa.Connection, pages: Sequence[Page]) -> None:
    """Keep the words of things, in place of what was kept of them before."""
    forget(connection, [(page.kind, page.key) for page in pages])
    keep_new(connection, pages)


def keep_new(connection: sa.Connection, pages: Sequence[Page]) -> None:
    """Keep the words of things of which nothing was kept before."""
    if not pages:
        return
    rows = [{name: getattr(page, name) for name in Page.__slots__} for page in pages]
    connection.execute(sa.insert(searchable), rows)
    if connection.dialect.name == "sqlite":
        connection.execute(sa.text("INSERT INTO searchable_words (rowid, words) VALUES (:number, :words)"), rows)


def forget(connection: sa.Connection, things: Sequence[tuple[str, str]]) -> None:
    """Drop the words of things (kind and key)."""
    lite = connection.dialect.name == "sqlite"
    known = sa.select(searchable.c.number, searchable.c.words)
    for kind, key in things:
        old = connection.execute(known.where(searchable.c.kind == kind, searchable.c.key == key)).first()
        if old is None:
            continue
        if lite:
            drop = "INSERT INTO searchable_words (searchable_words, rowid, words) VALUES ('delete', :number, :words)"
            connection.execute(sa.text(drop), {"number": old.number, "words": old.words})
        connection.execute(sa.delete(searchable).where(searchable.c.number == old.number))


@dataclass(frozen=True, slots=True)
class Source:
    """Where a question is looked up: what to select from, the number found there, and the condition, if it is left."""

    table: sa.FromClause
    number: sa.ColumnElement[Any]
    condition: sa.ColumnElement[bool]


def sources(
    dialect: str, words: Sequence[str], tags: Sequence[str] = (), after: int | None = None
) -> tuple[Source, ...]:
    """Give where to look for all words begun and all tags whole; the second is only asked if the first has too few.

    SQLite goes through the numbers downwards and stops when the page is full. PostgreSQL's index of words gives all
    that is found at once, which is slow for a word of every case; so it looks through the newest first, and a word that
    is rare there is looked up in the index.
    """
    return (_lite(words, tags),) if dialect == "sqlite" else _newest_and_all(words, tags, after)


def _lite(words: Sequence[str], tags: Sequence[str]) -> Source:
    table = sa.table("searchable_words", sa.column("rowid"), sa.column("searchable_words"))
    said = " AND ".join([*(f'"{word}"*' for word in words), *(f'"{each}"' for each in tags)])
    return Source(table, table.c.rowid, table.c.searchable_words.match(said))


def _newest_and_all(words: Sequence[str], tags: Sequence[str], after: int | None) -> tuple[Source, Source]:
    table = sa.table("searchable", sa.column("number"), sa.column("vector"))
    said = " & ".join([*(f"'{word}':*" for word in words), *(f"'{each}'" for each in tags)])
    question = sa.cast(said, _TsQuery())
    before = sa.true() if after is None else table.c.number < after
    newest = sa.select(table).where(before).order_by(table.c.number.desc()).limit(_NEWEST).subquery("newest")
    found = (
        sa.select(table.c.number)
        .where(table.c.vector.op("@@")(question), before)
        .cte("found")
        .prefix_with("MATERIALIZED")
    )
    return (
        Source(newest, newest.c.number, newest.c.vector.op("@@")(question)),
        Source(found, found.c.number, sa.true()),
    )


def hits(connection: sa.Connection, text: str, *, kinds: Sequence[str] = (), limit: int = 50) -> tuple[Hit, ...]:
    """Give what holds the words of a question, last changed first; nothing for a question without words."""
    words = asked(text)
    found: Sequence[Any] = ()
    for source in sources(connection.dialect.name, words) if words else ():
        page = searchable.alias("page")
        wanted = sa.select(page.c.kind, page.c.key, page.c.title, page.c.updated)
        wanted = wanted.select_from(sa.join(source.table, page, page.c.number == source.number)).where(source.condition)
        if kinds:
            wanted = wanted.where(page.c.kind.in_(kinds))
        found = connection.execute(wanted.order_by(source.number.desc()).limit(limit)).all()
        if len(found) == limit:
            break
    return tuple(Hit(*row) for row in found)


class _TsQuery(sa.types.UserDefinedType[str]):
    """PostgreSQL's question, for a cast."""

    cache_ok = True

    def get_col_spec(self, **_kw: Any) -> str:
        """Give its name."""
        return "TSQUERY"


def _plain(text: str) -> str:
    spread = unicodedata.normalize("NFKD", text.encode("utf-8", "replace").decode())
    return "".join(c for c in spread.casefold() if not unicodedata.category(c).startswith("M"))


def _forms(run: str) -> Iterator[str]:
    """Give the words of a run such as `wr-124`, `16b-2`: as one, and its parts."""
    parts = _WORD.findall(run)
    if len(parts) > 1:
        yield "".join(parts)
    for part in parts:
        yield part
        halves = _HALVES.findall(part)
        if len(halves) > 1:
            yield from halves
