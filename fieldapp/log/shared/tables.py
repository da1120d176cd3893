"""The same tables as a log's file has, in a schema for each kit; what the server itself refuses; who may do what.

Numbers have no gaps and follow the order of commits: whoever writes first takes the row of `counter`, and gives it back
with the entry. Prepared by the owner of the database; laptops serve as a role that may add and read.
"""

from collections.abc import Iterable
from typing import Final

import sqlalchemy as sa

from fieldapp.kit.kit import Kit
from fieldapp.log import tables
from fieldapp.log.mark import mark_of, mark_text

CHANNEL: Final = "raisebook"
"""Where the server tells that something was written: the payload is the kit's schema."""
OLDEST: Final = 150000
"""Server version 15.0, as PostgreSQL numbers its releases."""
MOST_PHOTO_BYTES: Final = 4 * 1024 * 1024
"""Of one photo: ten times what a usual one of 1600 pixels takes. Our choice. Test: tests/log/test_shared_trouble.py"""

_REFUSAL = "the log is never changed: withdraw the entry by another one"
_FUNCTIONS = (
    f"""CREATE OR REPLACE FUNCTION refuse() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN RAISE EXCEPTION '{_REFUSAL}' USING ERRCODE = 'restrict_violation'; END $$""",
    f"""CREATE OR REPLACE FUNCTION next_only() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN IF NEW.last <> OLD.last + 1 THEN RAISE EXCEPTION '{_REFUSAL}' USING ERRCODE = 'restrict_violation'; END IF;
    RETURN NEW; END $$""",
    f"""CREATE OR REPLACE FUNCTION in_turn() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN IF NEW.number IS DISTINCT FROM (SELECT last FROM counter) THEN
    RAISE EXCEPTION '{_REFUSAL}' USING ERRCODE = 'restrict_violation'; END IF; RETURN NEW; END $$""",
    f"""CREATE OR REPLACE FUNCTION not_forgotten() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN IF EXISTS (SELECT 1 FROM forgotten WHERE what = NEW.pseudonym) THEN
    RAISE EXCEPTION '{_REFUSAL}' USING ERRCODE = 'restrict_violation'; END IF; RETURN NEW; END $$""",
    f"""CREATE OR REPLACE FUNCTION not_erased() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN IF EXISTS (SELECT 1 FROM forgotten WHERE what = NEW.digest) THEN
    RAISE EXCEPTION '{_REFUSAL}' USING ERRCODE = 'restrict_violation'; END IF; RETURN NEW; END $$""",
    f"""CREATE OR REPLACE FUNCTION only_erased() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN IF NOT EXISTS (SELECT 1 FROM forgotten WHERE what = OLD.digest) THEN
    RAISE EXCEPTION '{_REFUSAL}' USING ERRCODE = 'restrict_violation'; END IF; RETURN OLD; END $$""",
    f"""CREATE OR REPLACE FUNCTION tell() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN PERFORM pg_notify('{CHANNEL}', TG_TABLE_SCHEMA); RETURN NULL; END $$""",
)
_NEVER = ("entries", "versions", "kit", "laptops", "forgotten")
"""Tables whose rows stay as they are."""
GUARDS: Final = (
    *(f"CREATE TRIGGER {table}_stay BEFORE UPDATE OR DELETE ON {table} FOR EACH ROW EXECUTE FUNCTION refuse()"
      for table in _NEVER),
    *(f"CREATE TRIGGER {table}_stay_all BEFORE TRUNCATE ON {table} FOR EACH STATEMENT EXECUTE FUNCTION refuse()"
      for table in (*_NEVER, "names", "counter")),
    "CREATE TRIGGER counter_counts BEFORE UPDATE ON counter FOR EACH ROW EXECUTE FUNCTION next_only()",
    "CREATE TRIGGER counter_stays BEFORE DELETE ON counter FOR EACH ROW EXECUTE FUNCTION refuse()",
    "CREATE TRIGGER entries_in_turn BEFORE INSERT ON entries FOR EACH ROW EXECUTE FUNCTION in_turn()",
    "CREATE TRIGGER names_not_forgotten BEFORE INSERT OR UPDATE ON names FOR EACH ROW EXECUTE FUNCTION not_forgotten()",
    *(f"CREATE TRIGGER {table}_told AFTER INSERT ON {table} FOR EACH STATEMENT EXECUTE FUNCTION tell()"
      for table in ("entries", "laptops", "forgotten")),
    "CREATE UNIQUE INDEX one_kit ON kit ((true))",
    "CREATE UNIQUE INDEX one_counter ON counter ((true))",
    "CREATE UNIQUE INDEX one_serial ON entries (laptop, serial) WHERE laptop <> '' AND imported = 0",
)
PHOTO_GUARDS: Final = (
    "CREATE TRIGGER photos_stay BEFORE UPDATE ON photos FOR EACH ROW EXECUTE FUNCTION refuse()",
    "CREATE TRIGGER photos_stay_all BEFORE TRUNCATE ON photos FOR EACH STATEMENT EXECUTE FUNCTION refuse()",
    "CREATE TRIGGER photos_not_erased BEFORE INSERT ON photos FOR EACH ROW EXECUTE FUNCTION not_erased()",
    "CREATE TRIGGER photos_only_erased BEFORE DELETE ON photos FOR EACH ROW EXECUTE FUNCTION only_erased()",
)
"""A photo stays what its name says, and goes only once it is among what was forgotten."""
RIGHTS: Final = ("GRANT USAGE ON SCHEMA {schema} TO {role}",
                 "GRANT SELECT ON ALL TABLES IN SCHEMA {schema} TO {role}",
                 "GRANT INSERT ON {schema}.entries, {schema}.laptops, {schema}.forgotten TO {role}",
                 "GRANT INSERT, DELETE ON {schema}.names, {schema}.photos TO {role}",
                 "GRANT UPDATE ON {schema}.counter TO {role}")
"""All that a laptop needs: no rights to change or delete an entry, nor to switch a trigger off."""

counter = sa.Table("counter", sa.MetaData(), sa.Column("last", sa.Integer, nullable=False))
photos = sa.Table(
    "photos", sa.MetaData(),
    sa.Column("digest", sa.Text, sa.CheckConstraint("digest = encode(sha256(content), 'hex')"), primary_key=True,
              comment="SHA-256 of the content, in hexadecimal figures"),
    sa.Column("content", sa.LargeBinary, sa.CheckConstraint(f"octet_length(content) <= {MOST_PHOTO_BYTES}"),
              nullable=False, comment="JPEG"))


def schema_of(kit: Kit) -> str:
    """The schema of a kit: its letters, and the beginning of the digest over its places.

    Two laptops that have the kit's folder find the same one.
    """
    mark = mark_of(kit)
    return f"kit_{mark.prefix.lower()}_{mark.places[:12]}"


def prepare(connection: sa.Connection, kit: Kit, *, role: str = "") -> None:
    """Make the tables of a kit that has none yet, and let `role` serve it; harmless a second time.

    `connection` is the owner's, in a transaction given by the caller, and sees the kit's schema.
    """
    schema = schema_of(kit)
    connection.execute(sa.text(f"CREATE SCHEMA IF NOT EXISTS {schema}"))
    if tables.version_of(connection) == 0:
        tables.metadata.create_all(connection)
        counter.create(connection)
        connection.execute(sa.insert(counter).values(last=0))
        connection.execute(sa.insert(tables.versions), [
            {"version": number, "words": words} for number, (words, _step) in enumerate(tables.MIGRATIONS, start=1)])
        connection.execute(sa.insert(tables.kit).values(mark=mark_text(mark_of(kit))))
        _put(connection, (*_FUNCTIONS, *GUARDS))
    if not has_photos(connection):
        photos.create(connection)
        _put(connection, (*_FUNCTIONS, *PHOTO_GUARDS))
    if role:
        quoted = connection.dialect.identifier_preparer.quote(role)
        _put(connection, [right.format(schema=schema, role=quoted) for right in RIGHTS])


def _put(connection: sa.Connection, statements: Iterable[str]) -> None:
    for statement in statements:
        connection.execute(sa.text(statement))


def has_photos(connection: sa.Connection) -> bool:
    """False where an older program made the tables: photos stayed on the laptop that took them."""
    return sa.inspect(connection).has_table(photos.name)


def next_number(connection: sa.Connection) -> int:
    """The next number, given back if the transaction is; others wait for it meanwhile."""
    taken = sa.update(counter).values(last=counter.c.last + 1).returning(counter.c.last)
    return int(connection.execute(taken).scalar_one())


def take_turn(connection: sa.Connection) -> int:
    """Keep others from writing until the end of the transaction; the last number."""
    return int(connection.execute(sa.select(counter.c.last).with_for_update()).scalar_one())
