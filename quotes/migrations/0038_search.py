"""The index of the search; its triggers are set once all migrations were applied."""

from django.db import migrations

SQLITE = (
    "CREATE VIRTUAL TABLE search_text USING fts5"
    " (named, told, key UNINDEXED, title UNINDEXED, words UNINDEXED,"
    " prefix = '1 2 3', detail = 'column')",
    "CREATE TABLE search_word (word text NOT NULL PRIMARY KEY) WITHOUT ROWID",
    "CREATE TABLE search_stale (kind integer NOT NULL, row integer)",
)
POSTGRESQL = (
    "CREATE TABLE search_text (id bigint PRIMARY KEY, key text NOT NULL, title text NOT NULL,"
    " words text NOT NULL, named tsvector NOT NULL, tokens tsvector NOT NULL)",
    "CREATE INDEX search_text_named ON search_text USING gin (named)",
    "CREATE INDEX search_text_tokens ON search_text USING gin (tokens)",
    "CREATE TABLE search_word (word text NOT NULL PRIMARY KEY)",
    "CREATE TABLE search_stale (kind integer NOT NULL, row bigint)",
    # Arguments: the kind, the column of the key, the columns that tell.
    """
    CREATE FUNCTION search_note() RETURNS trigger LANGUAGE plpgsql AS $$
    DECLARE
        was jsonb;
        is_now jsonb;
    BEGIN
        IF TG_OP = 'TRUNCATE' THEN
            INSERT INTO search_stale (kind, row) VALUES (TG_ARGV[0]::int, NULL);
            RETURN NULL;
        END IF;
        IF TG_OP <> 'INSERT' THEN was := to_jsonb(OLD); END IF;
        IF TG_OP <> 'DELETE' THEN is_now := to_jsonb(NEW); END IF;
        IF TG_OP <> 'UPDATE' OR EXISTS (
            SELECT 1 FROM unnest(TG_ARGV[2:]) AS told
            WHERE was ->> told IS DISTINCT FROM is_now ->> told
        ) THEN
            INSERT INTO search_stale (kind, row)
            VALUES (TG_ARGV[0]::int, (coalesce(is_now, was) ->> TG_ARGV[1])::bigint);
        END IF;
        RETURN NULL;
    END $$
    """,
)
GONE_ON_SQLITE = (
    "DROP TABLE search_text",
    "DROP TABLE search_word",
    "DROP TABLE search_stale",
)
GONE_ON_POSTGRESQL = ("DROP FUNCTION search_note() CASCADE", *GONE_ON_SQLITE)


def make(apps, schema_editor):
    for sql in POSTGRESQL if schema_editor.connection.vendor == "postgresql" else SQLITE:
        schema_editor.execute(sql, params=None)


def drop(apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        for sql in GONE_ON_POSTGRESQL:
            schema_editor.execute(sql, params=None)
        return
    with schema_editor.connection.cursor() as cursor:
        cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        names = [name for (name,) in cursor.fetchall() if name.startswith("search_")]
    for name in names:
        schema_editor.execute(f"DROP TRIGGER {name}", params=None)
    for sql in GONE_ON_SQLITE:
        schema_editor.execute(sql, params=None)


class Migration(migrations.Migration):
    dependencies = [
        # All that the index reads, so that going back takes it away before the tables it watches.
        ("inventory", "0038_promises_that_hold"),
        ("quotes", "0037_sent_mail"),
        ("shop", "0023_kept_answers"),
    ]

    operations = [migrations.RunPython(make, drop)]
