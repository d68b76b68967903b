"""What guards the tables of a new catalogue on a server, and what SQLite has by itself, in the server's own words.

Never edited, as `tables`: a change is a later step.
"""

__all__ = ["FUNCTIONS", "GUARDS", "OWN_TABLES"]

FUNCTIONS = """
CREATE FUNCTION json_valid(doc text) RETURNS boolean LANGUAGE plpgsql IMMUTABLE STRICT PARALLEL SAFE AS $$
BEGIN
    PERFORM doc::json;
    RETURN true;
EXCEPTION WHEN OTHERS THEN
    RETURN false;
END $$;
CREATE FUNCTION json_extract(doc text, path text) RETURNS text LANGUAGE sql IMMUTABLE STRICT PARALLEL SAFE AS $$
    SELECT doc::json #>> string_to_array(substr(path, 3), '.')
$$;
CREATE FUNCTION hex(bytes bytea) RETURNS text LANGUAGE sql IMMUTABLE STRICT PARALLEL SAFE AS $$
    SELECT upper(encode(bytes, 'hex'))
$$;
CREATE FUNCTION fresh_number(of_table text, of_column text) RETURNS bigint LANGUAGE plpgsql VOLATILE AS $$
DECLARE
    number bigint;
BEGIN
    EXECUTE format('SELECT coalesce(max(%I), 0) + 1 FROM %I', of_column, of_table) INTO number;
    RETURN number;
END $$;
CREATE FUNCTION refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '%', TG_ARGV[0] USING ERRCODE = 'check_violation';
END $$;
"""
"""What SQLite has by itself, under the same names; and what guards do."""

_THERE = "{0}.kind IN ('remnant', 'offcut') AND {0}.stage IN ('in stock', 'held')"
_NAMED = "(old.style, old.colour, old.lot, old.lab) IS DISTINCT FROM (new.style, new.colour, new.lot, new.lab)"
_ENTRY = ["number", "booking", "tag", "act", "at", "who", "job", "digest"]
_JOB_PHOTO = ["number", "job", "moment", "across", "down", "size_bytes", "sha256", "who", "at"]


def _same(columns: list[str]) -> str:
    return " AND ".join(f"new.{column} = old.{column}" for column in columns)


def _guard(name: str, table: str, when: str, told: str) -> str:
    return f"CREATE TRIGGER {name} BEFORE {when.format(table=table)} EXECUTE FUNCTION refuse('{told}');\n"


_STAYS = {
    "entry": ("entries", "the ledger only grows"),
    "agreement": ("agreements", "agreements only grow"),
    "job_photo": ("job_photos", "of a photograph of a job a line always stays"),
}
_STANDS = (
    _guard(
        "entries_stand",
        "entry",
        f"UPDATE ON {{table}} FOR EACH ROW WHEN (NOT (new.erased = 1 AND {_same(_ENTRY)}))",
        "an entry is never changed, but for what is erased about a person",
    ),
    _guard(
        "agreements_stand",
        "agreement",
        f"UPDATE ON {{table}} FOR EACH ROW WHEN (NOT (new.erased = 1 AND {_same(['number', 'job', 'at', 'plan'])}))",
        "an agreement is never changed, but for what is erased about a person",
    ),
    _guard(
        "job_photos_stand",
        "job_photo",
        f"UPDATE ON {{table}} FOR EACH ROW WHEN (NOT ({_same(_JOB_PHOTO)} AND new.words IN ('', old.words)"
        " AND (new.jpeg IS NULL AND old.gone_at IS NULL OR new.jpeg IS NOT DISTINCT FROM old.jpeg"
        " AND new.gone_at IS NOT DISTINCT FROM old.gone_at AND new.gone_who = old.gone_who)))",
        "a photograph of a job is never changed, but erased",
    ),
    _guard(
        "job_photos_show_one_home",
        "job_photo",
        "UPDATE OF house, customer ON {table} FOR EACH ROW"
        " WHEN (NOT (new.house IN ('', old.house) AND new.customer IN ('', old.customer)))",
        "whose home a photograph shows is never changed, but erased",
    ),
)
_NAMES = "".join(
    f"CREATE TRIGGER {name} AFTER {when} EXECUTE FUNCTION renew_names_mark();\n"
    for name, when in (
        ("piece_named", "INSERT ON piece FOR EACH ROW"),
        ("piece_renamed", f"UPDATE OF style, colour, lot, lab ON piece FOR EACH ROW WHEN ({_NAMED})"),
        ("piece_came_or_went", "UPDATE OF stage ON piece FOR EACH ROW WHEN (old.stage <> new.stage)"),
        ("piece_unnamed", "DELETE ON piece FOR EACH ROW"),
        ("style_named", "INSERT OR UPDATE OR DELETE ON style FOR EACH ROW"),
    )
)

GUARDS = (
    "INSERT INTO names_kept VALUES (uuid_send(gen_random_uuid()));\n"
    "CREATE VIEW names_mark AS SELECT"
    " CASE WHEN current_setting('remnants.renamed', true) = pg_current_xact_id_if_assigned()::text"
    " THEN uuid_send(gen_random_uuid()) ELSE mark END AS mark FROM names_kept;\n"
    "CREATE FUNCTION renew_names_mark() RETURNS trigger LANGUAGE plpgsql AS $$\n"
    "BEGIN\n"
    "    IF current_setting('remnants.renamed', true) IS DISTINCT FROM pg_current_xact_id()::text THEN\n"
    "        UPDATE names_kept SET mark = uuid_send(gen_random_uuid());\n"
    "        PERFORM set_config('remnants.renamed', pg_current_xact_id()::text, true);\n"
    "    END IF;\n"
    "    RETURN NULL;\n"
    "END $$;\n"
    f"{_NAMES}"
    "CREATE FUNCTION store_gained() RETURNS trigger LANGUAGE plpgsql AS $$\n"
    "BEGIN\n"
    "    INSERT INTO store_change VALUES (new.version, new.style, substr(new.by_at, 1, 10), 1, new.area_mm2);\n"
    "    RETURN NULL;\n"
    "END $$;\n"
    f"CREATE TRIGGER store_gained AFTER INSERT ON piece FOR EACH ROW WHEN ({_THERE.format('new')})"
    " EXECUTE FUNCTION store_gained();\n"
    "CREATE FUNCTION store_changed() RETURNS trigger LANGUAGE plpgsql AS $$\n"
    "BEGIN\n"
    "    INSERT INTO store_change AS told\n"
    "    SELECT new.version, style, substr(new.by_at, 1, 10), sum(pieces), sum(area_mm2) FROM (\n"
    f"        SELECT old.style AS style, -1 AS pieces, -old.area_mm2 AS area_mm2 WHERE {_THERE.format('old')}\n"
    f"        UNION ALL SELECT new.style, 1, new.area_mm2 WHERE {_THERE.format('new')}) AS each_way GROUP BY style\n"
    "    ON CONFLICT (number, style) DO UPDATE\n"
    "    SET pieces = told.pieces + excluded.pieces, area_mm2 = told.area_mm2 + excluded.area_mm2;\n"
    "    RETURN NULL;\n"
    "END $$;\n"
    "CREATE TRIGGER store_changed AFTER UPDATE OF stage, kind, style, area_mm2 ON piece FOR EACH ROW WHEN (\n"
    f"    ({_THERE.format('old')}, old.style, old.area_mm2) IS DISTINCT FROM ({_THERE.format('new')}, new.style, new.area_mm2)\n"
    f"    AND (({_THERE.format('old')}) OR ({_THERE.format('new')}))) EXECUTE FUNCTION store_changed();\n"
    + "".join(
        _guard(f"{name}_stay", table, "DELETE ON {table} FOR EACH ROW", told)
        + _guard(f"{name}_stay_all", table, "TRUNCATE ON {table}", told)
        for table, (name, told) in _STAYS.items()
    )
    + "".join(_STANDS)
)
"""The mark of the names is another one after each transaction that changed any, and within such a one each time it is asked for:
kept by it is nothing that was read half way. It is written once a transaction, however many names that one brings."""

_LOOKING = (
    "fresh_number(text, text)",
    "renew_names_mark()",
    "store_gained()",
    "store_changed()",
    "worth_gained()",
    "worth_changed()",
)

OWN_TABLES = "".join(f"ALTER FUNCTION {name} SET search_path FROM CURRENT;\n" for name in _LOOKING)
"""A later step: what guards do by the names of tables they do with those beside them, whatever whoever writes has set. By hand
`UPDATE remnants.piece` was refused, as no table of such a name was found."""
