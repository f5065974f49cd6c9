"""What all tables share: names of constraints, and the columns of a thing in a plan."""

from typing import cast

from sqlalchemy import ForeignKeyConstraint, MetaData, Table
from sqlmodel import Field, SQLModel

NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}


class Base(SQLModel):
    """Base of all tables."""

    metadata = MetaData(naming_convention=NAMES)


class PlanRow(Base):
    """
    One thing of a plan.

    `key` is its id in the plan; `position` keeps the order of entry. A withdrawn row is
    no part of the plan any more (a link taken away, an entry undone); no row is deleted.
    """

    project_id: int = Field(primary_key=True, foreign_key="project.id")
    key: str = Field(primary_key=True)
    position: int
    version: int = 1
    withdrawn: bool = False


def reference(column: str, table: str, *, back: bool = False) -> ForeignKeyConstraint:
    """
    Return a reference to a thing of the same project.

    It is checked at the end of the transaction, so that things may be written in any
    order and the planning core can say first, in words, what is missing. One that leads
    `back` to a table that refers to this one is left out where tables are put in order.
    """
    return ForeignKeyConstraint(
        ["project_id", column],
        [f"{table}.project_id", f"{table}.key"],
        deferrable=True,
        initially="DEFERRED",
        use_alter=back,
    )


def table_of(model: type[SQLModel]) -> Table:
    """Return the table behind a model."""
    return cast("Table", model.__table__)  # type: ignore[attr-defined]
