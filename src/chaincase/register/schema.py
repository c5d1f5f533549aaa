"""The tables of the register.

`event` is the journal: every change of everything, only ever added to, chained by hashes. All other tables but `job`,
`chunk`, `searchable` and the password hashes follow from it and can be made anew from it.
"""

from typing import Any, Final

import sqlalchemy as sa

NAMES: Final = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}
metadata = sa.MetaData(naming_convention=NAMES)
NUMBER: Final = sa.BigInteger().with_variant(sa.Integer, "sqlite")
"""As a key, SQLite then takes its own row number."""


def _text(name: str, *, default: str | None = "", **more: Any) -> sa.Column[str]:
    return sa.Column(name, sa.Text, nullable=False, server_default=default, **more)


event = sa.Table(
    "event",
    metadata,
    sa.Column("number", NUMBER, primary_key=True, autoincrement=False),
    sa.Column("id", sa.Text, nullable=False, unique=True),
    sa.Column("entity", sa.Text, nullable=False),
    sa.Column("key", sa.Text, nullable=False),
    sa.Column("seq", sa.Integer, nullable=False),
    sa.Column("by", sa.Text, nullable=False),
    sa.Column("at", sa.Text, nullable=False),
    sa.Column("client", sa.Text, nullable=False),
    sa.Column("client_at", sa.Text, nullable=False),
    sa.Column("kind", sa.Text, nullable=False),
    sa.Column("path", sa.Text, nullable=False),
    sa.Column("value", sa.Text),
    sa.Column("before", sa.Text),
    sa.Column("base", sa.BigInteger),
    sa.Column("undoes", sa.Text, nullable=False),
    sa.Column("outcome", sa.Text, nullable=False),
    sa.Column("previous", sa.Text, nullable=False),
    sa.Column("hash", sa.Text, nullable=False),
    sa.UniqueConstraint("entity", "key", "seq"),
)

head = sa.Table(
    "head",
    metadata,
    sa.Column("one", sa.Integer, sa.CheckConstraint("one = 1", name="one"), primary_key=True, autoincrement=False),
    sa.Column("number", sa.BigInteger, nullable=False),
    sa.Column("hash", sa.Text, nullable=False),
    sa.Column("at", sa.Text, nullable=False),
)

cases = sa.Table(
    "cases",
    metadata,
    sa.Column("key", sa.Text, primary_key=True),
    sa.Column("version", sa.Integer, nullable=False),
    sa.Column("moved", sa.BigInteger, nullable=False, unique=True),
    sa.Column("created", sa.Text, nullable=False),
    sa.Column("updated", sa.Text, nullable=False),
    _text("title"),
    _text("customer_name"),
    _text("plant"),
    _text("machine_name"),
    _text("state"),
    _text("customer"),
    _text("site"),
    _text("machine"),
    _text("position"),
    _text("assigned"),
    sa.Column("conflicts", sa.Integer, nullable=False, server_default="0"),
    sa.Column("gaps_quote", sa.Integer, nullable=False, server_default="0"),
    sa.Column("gaps_make", sa.Integer, nullable=False, server_default="0"),
    _text("gaps", default="[]"),
    _text("ready"),
    _text("designation"),
    sa.Column("probability", sa.Float),
    sa.Column("summarized", sa.Integer, nullable=False, server_default="0"),
    _text("summary_fault"),
    sa.Column("content", sa.Text, nullable=False),  # last, as SQLite reads through all before a column
    *(
        sa.Index(f"ix_cases_{name}_moved", name, "moved")
        for name in ("state", "customer", "site", "machine", "position", "assigned", "designation", "ready")
    ),
)

case_gap = sa.Table(
    "case_gap",
    metadata,
    sa.Column("gap", sa.Text, primary_key=True),
    sa.Column("moved", sa.BigInteger, primary_key=True, autoincrement=False),
    sa.Column("case", sa.Text, sa.ForeignKey("cases.key"), nullable=False, index=True),
)

searchable = sa.Table(
    "searchable",
    metadata,
    sa.Column("number", NUMBER, primary_key=True, autoincrement=False),
    sa.Column("kind", sa.Text, nullable=False),
    sa.Column("key", sa.Text, nullable=False),
    sa.Column("title", sa.Text, nullable=False),
    sa.Column("updated", sa.Text, nullable=False),
    sa.Column("words", sa.Text, nullable=False),
    sa.UniqueConstraint("kind", "key"),
)


def _record(name: str, *columns: sa.Column[Any]) -> sa.Table:
    return sa.Table(
        name,
        metadata,
        sa.Column("id", sa.Text, primary_key=True),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("moved", sa.BigInteger, nullable=False),
        sa.Column("removed", sa.Boolean, nullable=False),
        *columns,
    )


def _refers(name: str, to: str, *, nullable: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.Text, sa.ForeignKey(to), nullable=nullable, index=True)


customer = _record("customer", _text("name"), _text("number"), _text("contact"), _text("note"))
site = _record("site", _refers("customer", "customer.id"), _text("name"), _text("address"), _text("note"))
machine = _record(
    "machine",
    _refers("site", "site.id"),
    _text("name"),
    _text("number"),
    sa.Column("tag", sa.Text, nullable=False, unique=True),
    _text("note"),
)
position = _record("position", _refers("machine", "machine.id"), _text("name"), _text("note"))
installed = _record(
    "installed",
    _refers("position", "position.id"),
    _text("designation"),
    _text("kind"),
    _text("pitch"),
    sa.Column("teeth", sa.Integer),
    _text("pattern"),
    sa.Column("strands", sa.Integer),
    sa.Column("pitches", sa.Integer),
    _refers("case", "cases.key", nullable=True),
    _text("since"),
    _text("until"),
    _text("note"),
)
wear = _record(
    "wear",
    _refers("installed", "installed.id"),
    _text("on"),
    _text("length"),
    sa.Column("over", sa.Integer, nullable=False),
    _text("instrument"),
    _text("technique"),
    _text("strand"),
    _text("note"),
)
person = _record(
    "person",
    sa.Column("email", sa.Text, nullable=False, unique=True),
    _text("name"),
    _text("role"),
    sa.Column("disabled", sa.Boolean, nullable=False),
    _text("password_hash"),
)
view = _record("view", _text("owner", index=True), _text("name"), _text("filter", default="{}"), _text("order"))
photograph = _record(
    "photograph",
    _text("media_type"),
    sa.Column("width", sa.Integer, nullable=False),
    sa.Column("height", sa.Integer, nullable=False),
    sa.Column("size", sa.BigInteger, nullable=False),
    _text("name"),
    sa.Column("case", sa.Text, nullable=False, server_default="", index=True),
)
document = _record(
    "document",
    _refers("case", "cases.key"),
    _text("name"),
    _text("kind"),
    _text("sha256"),
    _text("media_type"),
    sa.Column("size", sa.BigInteger, nullable=False),
)

job = sa.Table(
    "job",
    metadata,
    sa.Column("id", sa.Text, primary_key=True),
    sa.Column("kind", sa.Text, nullable=False),
    sa.Column("by", sa.Text, nullable=False),
    sa.Column("created", sa.Text, nullable=False),
    sa.Column("chunks", sa.Integer, nullable=False),
)
chunk = sa.Table(
    "chunk",
    metadata,
    sa.Column("job", sa.Text, sa.ForeignKey("job.id"), primary_key=True),
    sa.Column("index", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("state", sa.Text, nullable=False),
    sa.Column("given", sa.Text, nullable=False),
    sa.Column("result", sa.Text),
    _text("fault"),
    _text("worker"),
    _text("lease_until"),
    sa.Column("tries", sa.Integer, nullable=False, server_default="0"),
    sa.Index("ix_chunk_state_lease_until", "state", "lease_until"),
)
