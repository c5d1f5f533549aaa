"""The first tables.

Revision ID: 0001
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

_ONLY_ADDED = "the journal is only ever added to"
_SQLITE = (
    f"CREATE TRIGGER event_no_update BEFORE UPDATE ON event BEGIN SELECT RAISE(ABORT, '{_ONLY_ADDED}'); END",
    f"CREATE TRIGGER event_no_delete BEFORE DELETE ON event BEGIN SELECT RAISE(ABORT, '{_ONLY_ADDED}'); END",
    # INSERT OR REPLACE would delete without a trigger.
    (
        "CREATE TRIGGER event_no_replace BEFORE INSERT ON event WHEN NEW.number <= (SELECT number FROM head) "  # noqa: S608
        f"BEGIN SELECT RAISE(ABORT, '{_ONLY_ADDED}'); END"
    ),
    (
        "CREATE VIRTUAL TABLE searchable_words USING fts5(words, content='searchable', content_rowid='number', "
        "tokenize='unicode61 remove_diacritics 0', detail='none', prefix='1 2 3 4 5 6 7 8 9 10')"
    ),
)
_POSTGRES = (
    (
        "CREATE FUNCTION event_only_added() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{_ONLY_ADDED}'; END $$"
    ),
    (
        "CREATE TRIGGER event_no_change BEFORE UPDATE OR DELETE OR TRUNCATE ON event "
        "FOR EACH STATEMENT EXECUTE FUNCTION event_only_added()"
    ),
    (
        "ALTER TABLE searchable ADD COLUMN vector tsvector "
        "GENERATED ALWAYS AS (array_to_tsvector(string_to_array(words, ' '))) STORED"
    ),
    "CREATE INDEX ix_searchable_vector ON searchable USING gin (vector)",
)


def upgrade() -> None:
    """Make the tables, the guards of the journal and the index of words."""
    _cases()
    _customer()
    _event()
    _head()
    _job()
    _person()
    _photograph()
    _searchable()
    _view()
    _case_gap()
    _chunk()
    _document()
    _site()
    _machine()
    _position()
    _installed()
    _wear()
    op.execute(f"INSERT INTO head VALUES (1, 0, '{'0' * 64}', '')")  # noqa: S608 - nothing comes from outside
    for statement in _SQLITE if op.get_bind().dialect.name == "sqlite" else _POSTGRES:
        op.execute(statement)


def _cases() -> None:
    op.create_table(
        "cases",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("moved", sa.BigInteger(), nullable=False),
        sa.Column("created", sa.Text(), nullable=False),
        sa.Column("updated", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), server_default="", nullable=False),
        sa.Column("customer_name", sa.Text(), server_default="", nullable=False),
        sa.Column("plant", sa.Text(), server_default="", nullable=False),
        sa.Column("machine_name", sa.Text(), server_default="", nullable=False),
        sa.Column("state", sa.Text(), server_default="", nullable=False),
        sa.Column("customer", sa.Text(), server_default="", nullable=False),
        sa.Column("site", sa.Text(), server_default="", nullable=False),
        sa.Column("machine", sa.Text(), server_default="", nullable=False),
        sa.Column("position", sa.Text(), server_default="", nullable=False),
        sa.Column("assigned", sa.Text(), server_default="", nullable=False),
        sa.Column("conflicts", sa.Integer(), server_default="0", nullable=False),
        sa.Column("gaps_quote", sa.Integer(), server_default="0", nullable=False),
        sa.Column("gaps_make", sa.Integer(), server_default="0", nullable=False),
        sa.Column("gaps", sa.Text(), server_default="[]", nullable=False),
        sa.Column("ready", sa.Text(), server_default="", nullable=False),
        sa.Column("designation", sa.Text(), server_default="", nullable=False),
        sa.Column("probability", sa.Float(), nullable=True),
        sa.Column("summarized", sa.Integer(), server_default="0", nullable=False),
        sa.Column("summary_fault", sa.Text(), server_default="", nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_cases")),
        sa.UniqueConstraint("moved", name=op.f("uq_cases_moved")),
    )
    op.create_index("ix_cases_assigned_moved", "cases", ["assigned", "moved"], unique=False)
    op.create_index("ix_cases_customer_moved", "cases", ["customer", "moved"], unique=False)
    op.create_index("ix_cases_designation_moved", "cases", ["designation", "moved"], unique=False)
    op.create_index("ix_cases_machine_moved", "cases", ["machine", "moved"], unique=False)
    op.create_index("ix_cases_position_moved", "cases", ["position", "moved"], unique=False)
    op.create_index("ix_cases_ready_moved", "cases", ["ready", "moved"], unique=False)
    op.create_index("ix_cases_site_moved", "cases", ["site", "moved"], unique=False)
    op.create_index("ix_cases_state_moved", "cases", ["state", "moved"], unique=False)


def _customer() -> None:
    op.create_table(
        "customer",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("moved", sa.BigInteger(), nullable=False),
        sa.Column("removed", sa.Boolean(), nullable=False),
        sa.Column("name", sa.Text(), server_default="", nullable=False),
        sa.Column("number", sa.Text(), server_default="", nullable=False),
        sa.Column("contact", sa.Text(), server_default="", nullable=False),
        sa.Column("note", sa.Text(), server_default="", nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customer")),
    )


def _event() -> None:
    op.create_table(
        "event",
        sa.Column("number", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("entity", sa.Text(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("by", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("client", sa.Text(), nullable=False),
        sa.Column("client_at", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("path", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=True),
        sa.Column("before", sa.Text(), nullable=True),
        sa.Column("base", sa.BigInteger(), nullable=True),
        sa.Column("undoes", sa.Text(), nullable=False),
        sa.Column("outcome", sa.Text(), nullable=False),
        sa.Column("previous", sa.Text(), nullable=False),
        sa.Column("hash", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_event")),
        sa.UniqueConstraint("entity", "key", "seq", name=op.f("uq_event_entity_key_seq")),
        sa.UniqueConstraint("id", name=op.f("uq_event_id")),
    )


def _head() -> None:
    op.create_table(
        "head",
        sa.Column("one", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("number", sa.BigInteger(), nullable=False),
        sa.Column("hash", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("one", name=op.f("pk_head")),
    )


def _job() -> None:
    op.create_table(
        "job",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("by", sa.Text(), nullable=False),
        sa.Column("created", sa.Text(), nullable=False),
        sa.Column("chunks", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_job")),
    )


def _person() -> None:
    op.create_table(
        "person",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("moved", sa.BigInteger(), nullable=False),
        sa.Column("removed", sa.Boolean(), nullable=False),
        sa.Column("email", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), server_default="", nullable=False),
        sa.Column("role", sa.Text(), server_default="", nullable=False),
        sa.Column("disabled", sa.Boolean(), nullable=False),
        sa.Column("password_hash", sa.Text(), server_default="", nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_person")),
        sa.UniqueConstraint("email", name=op.f("uq_person_email")),
    )


def _photograph() -> None:
    op.create_table(
        "photograph",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("moved", sa.BigInteger(), nullable=False),
        sa.Column("removed", sa.Boolean(), nullable=False),
        sa.Column("media_type", sa.Text(), server_default="", nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("size", sa.BigInteger(), nullable=False),
        sa.Column("name", sa.Text(), server_default="", nullable=False),
        sa.Column("case", sa.Text(), server_default="", nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photograph")),
    )
    op.create_index(op.f("ix_photograph_case"), "photograph", ["case"], unique=False)


def _searchable() -> None:
    op.create_table(
        "searchable",
        sa.Column("number", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("updated", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_searchable")),
        sa.UniqueConstraint("kind", "key", name=op.f("uq_searchable_kind_key")),
    )


def _view() -> None:
    op.create_table(
        "view",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("moved", sa.BigInteger(), nullable=False),
        sa.Column("removed", sa.Boolean(), nullable=False),
        sa.Column("owner", sa.Text(), server_default="", nullable=False),
        sa.Column("name", sa.Text(), server_default="", nullable=False),
        sa.Column("filter", sa.Text(), server_default="{}", nullable=False),
        sa.Column("order", sa.Text(), server_default="", nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_view")),
    )
    op.create_index(op.f("ix_view_owner"), "view", ["owner"], unique=False)


def _case_gap() -> None:
    op.create_table(
        "case_gap",
        sa.Column("gap", sa.Text(), nullable=False),
        sa.Column("moved", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("case", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["case"], ["cases.key"], name=op.f("fk_case_gap_case_cases")),
        sa.PrimaryKeyConstraint("gap", "moved", name=op.f("pk_case_gap")),
    )
    op.create_index(op.f("ix_case_gap_case"), "case_gap", ["case"], unique=False)


def _chunk() -> None:
    op.create_table(
        "chunk",
        sa.Column("job", sa.Text(), nullable=False),
        sa.Column("index", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("given", sa.Text(), nullable=False),
        sa.Column("result", sa.Text(), nullable=True),
        sa.Column("fault", sa.Text(), server_default="", nullable=False),
        sa.Column("worker", sa.Text(), server_default="", nullable=False),
        sa.Column("lease_until", sa.Text(), server_default="", nullable=False),
        sa.Column("tries", sa.Integer(), server_default="0", nullable=False),
        sa.ForeignKeyConstraint(["job"], ["job.id"], name=op.f("fk_chunk_job_job")),
        sa.PrimaryKeyConstraint("job", "index", name=op.f("pk_chunk")),
    )
    op.create_index("ix_chunk_state_lease_until", "chunk", ["state", "lease_until"], unique=False)


def _document() -> None:
    op.create_table(
        "document",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("moved", sa.BigInteger(), nullable=False),
        sa.Column("removed", sa.Boolean(), nullable=False),
        sa.Column("case", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), server_default="", nullable=False),
        sa.Column("kind", sa.Text(), server_default="", nullable=False),
        sa.Column("sha256", sa.Text(), server_default="", nullable=False),
        sa.Column("media_type", sa.Text(), server_default="", nullable=False),
        sa.Column("size", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["case"], ["cases.key"], name=op.f("fk_document_case_cases")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_document")),
    )
    op.create_index(op.f("ix_document_case"), "document", ["case"], unique=False)


def _site() -> None:
    op.create_table(
        "site",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("moved", sa.BigInteger(), nullable=False),
        sa.Column("removed", sa.Boolean(), nullable=False),
        sa.Column("customer", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), server_default="", nullable=False),
        sa.Column("address", sa.Text(), server_default="", nullable=False),
        sa.Column("note", sa.Text(), server_default="", nullable=False),
        sa.ForeignKeyConstraint(["customer"], ["customer.id"], name=op.f("fk_site_customer_customer")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_site")),
    )
    op.create_index(op.f("ix_site_customer"), "site", ["customer"], unique=False)


def _machine() -> None:
    op.create_table(
        "machine",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("moved", sa.BigInteger(), nullable=False),
        sa.Column("removed", sa.Boolean(), nullable=False),
        sa.Column("site", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), server_default="", nullable=False),
        sa.Column("number", sa.Text(), server_default="", nullable=False),
        sa.Column("tag", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), server_default="", nullable=False),
        sa.ForeignKeyConstraint(["site"], ["site.id"], name=op.f("fk_machine_site_site")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_machine")),
        sa.UniqueConstraint("tag", name=op.f("uq_machine_tag")),
    )
    op.create_index(op.f("ix_machine_site"), "machine", ["site"], unique=False)


def _position() -> None:
    op.create_table(
        "position",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("moved", sa.BigInteger(), nullable=False),
        sa.Column("removed", sa.Boolean(), nullable=False),
        sa.Column("machine", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), server_default="", nullable=False),
        sa.Column("note", sa.Text(), server_default="", nullable=False),
        sa.ForeignKeyConstraint(["machine"], ["machine.id"], name=op.f("fk_position_machine_machine")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_position")),
    )
    op.create_index(op.f("ix_position_machine"), "position", ["machine"], unique=False)


def _installed() -> None:
    op.create_table(
        "installed",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("moved", sa.BigInteger(), nullable=False),
        sa.Column("removed", sa.Boolean(), nullable=False),
        sa.Column("position", sa.Text(), nullable=False),
        sa.Column("designation", sa.Text(), server_default="", nullable=False),
        sa.Column("kind", sa.Text(), server_default="", nullable=False),
        sa.Column("pitch", sa.Text(), server_default="", nullable=False),
        sa.Column("teeth", sa.Integer(), nullable=True),
        sa.Column("pattern", sa.Text(), server_default="", nullable=False),
        sa.Column("strands", sa.Integer(), nullable=True),
        sa.Column("pitches", sa.Integer(), nullable=True),
        sa.Column("case", sa.Text(), nullable=True),
        sa.Column("since", sa.Text(), server_default="", nullable=False),
        sa.Column("until", sa.Text(), server_default="", nullable=False),
        sa.Column("note", sa.Text(), server_default="", nullable=False),
        sa.ForeignKeyConstraint(["case"], ["cases.key"], name=op.f("fk_installed_case_cases")),
        sa.ForeignKeyConstraint(["position"], ["position.id"], name=op.f("fk_installed_position_position")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_installed")),
    )
    op.create_index(op.f("ix_installed_case"), "installed", ["case"], unique=False)
    op.create_index(op.f("ix_installed_position"), "installed", ["position"], unique=False)


def _wear() -> None:
    op.create_table(
        "wear",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("moved", sa.BigInteger(), nullable=False),
        sa.Column("removed", sa.Boolean(), nullable=False),
        sa.Column("installed", sa.Text(), nullable=False),
        sa.Column("on", sa.Text(), server_default="", nullable=False),
        sa.Column("length", sa.Text(), server_default="", nullable=False),
        sa.Column("over", sa.Integer(), nullable=False),
        sa.Column("instrument", sa.Text(), server_default="", nullable=False),
        sa.Column("technique", sa.Text(), server_default="", nullable=False),
        sa.Column("strand", sa.Text(), server_default="", nullable=False),
        sa.Column("note", sa.Text(), server_default="", nullable=False),
        sa.ForeignKeyConstraint(["installed"], ["installed.id"], name=op.f("fk_wear_installed_installed")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_wear")),
    )
    op.create_index(op.f("ix_wear_installed"), "wear", ["installed"], unique=False)
