"""Sessions, tries, subjects, tokens, invitations and customers' links.

Revision ID: 0002
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables of `accounts` and `passes`."""
    _account_sessions()
    _account_subjects()
    _account_tokens()
    _account_tries()
    _customer_links()
    _invitations()


def _account_sessions() -> None:
    op.create_table(
        "account_sessions",
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("made", sa.BigInteger(), nullable=False),
        sa.Column("seen", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_account_sessions")),
    )
    op.create_index(op.f("ix_account_sessions_person"), "account_sessions", ["person"], unique=False)


def _account_subjects() -> None:
    op.create_table(
        "account_subjects",
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("subject", name=op.f("pk_account_subjects")),
    )
    op.create_index(op.f("ix_account_subjects_person"), "account_subjects", ["person"], unique=False)


def _account_tokens() -> None:
    op.create_table(
        "account_tokens",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("made", sa.BigInteger(), nullable=False),
        sa.Column("ends", sa.BigInteger(), nullable=False),
        sa.Column("revoked", sa.BigInteger(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_account_tokens")),
        sa.UniqueConstraint("digest", name=op.f("uq_account_tokens_digest")),
    )
    op.create_index(op.f("ix_account_tokens_person"), "account_tokens", ["person"], unique=False)


def _account_tries() -> None:
    op.create_table(
        "account_tries",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("failed", sa.Integer(), nullable=False),
        sa.Column("last", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_account_tries")),
    )


def _customer_links() -> None:
    op.create_table(
        "customer_links",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("case_id", sa.Text(), nullable=False),
        sa.Column("asked", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("by", sa.Text(), nullable=False),
        sa.Column("made", sa.BigInteger(), nullable=False),
        sa.Column("ends", sa.BigInteger(), nullable=False),
        sa.Column("revoked", sa.BigInteger(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customer_links")),
    )
    op.create_index(op.f("ix_customer_links_case_id"), "customer_links", ["case_id"], unique=False)


def _invitations() -> None:
    op.create_table(
        "invitations",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("email", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("by", sa.Text(), nullable=False),
        sa.Column("made", sa.BigInteger(), nullable=False),
        sa.Column("ends", sa.BigInteger(), nullable=False),
        sa.Column("used", sa.BigInteger(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_invitations")),
    )
