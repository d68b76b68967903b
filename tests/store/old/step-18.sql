-- A catalogue as step 18 of its tables left it; the shop is invented.
PRAGMA application_id = 1380273486;
BEGIN TRANSACTION;
CREATE TABLE customer (
    reference TEXT PRIMARY KEY CHECK (trim(reference) <> ''),
    name TEXT NOT NULL,
    phone TEXT NOT NULL,
    address TEXT NOT NULL,
    may_call INTEGER NOT NULL CHECK (may_call IN (0, 1)),
    forgotten_at TEXT
) STRICT;
INSERT INTO "customer" VALUES('erased-1','','','',0,'2031-05-03T14:20:00Z');
CREATE TABLE "entry" (
    number INTEGER PRIMARY KEY,
    booking INTEGER NOT NULL CHECK (booking <= number),
    tag TEXT NOT NULL REFERENCES piece (tag),
    act TEXT NOT NULL CHECK (
        act IN ('received', 'held', 'released', 'cut', 'moved', 'counted', 'corrected', 'discarded', 'undone',
            'photographed', 'photograph taken away')),
    facts TEXT NOT NULL CHECK (json_valid(facts)),
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL,
    why TEXT NOT NULL,
    job TEXT NOT NULL,
    erased INTEGER NOT NULL DEFAULT 0 CHECK (erased IN (0, 1))
, salts TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(salts)), digest BLOB NOT NULL DEFAULT x'' CHECK (length(digest) IN (0, 32))) STRICT;
INSERT INTO "entry" VALUES(1,1,'R-0001','received','{"parent":"","piece":{"tag":"R-0001","kind":"remnant","style":"Velder Loop","colour":"Oatmeal","lot":"4471-B","rings":"[[[0.0,0.0],[1016.0,0.0],[1016.0,1676.4],[0.0,1676.4]],[[76.2,76.2],[228.6,76.2],[228.6,228.6],[76.2,228.6]]]","pile_deg":0.0,"motif_x_mm":101.6,"motif_y_mm":177.8,"place":"Bay 3","room":"","worn":1,"lab":null,"customer":""}}','catalogue','2026-11-29T10:42:54Z','was in the catalogue before it had a ledger','',0,'{"piece.place":"4f456a589ac5fce4fff1df350d46740b","why":"cc325c754203ecb4979c8572219a0708"}',X'35C890765B9A540E4A88E6CB4F66CE4B6C8F521B77BD2F20D035EFAF80AAF6D2');
INSERT INTO "entry" VALUES(2,2,'L-0001','received','{"parent":"","piece":{"tag":"L-0001","kind":"laid","style":"Fell Twist","colour":"Slate","lot":"","rings":"[[[0.0,0.0],[1016.0,0.0],[1016.0,508.0],[508.0,508.0],[508.0,1524.0],[0.0,1524.0]]]","pile_deg":90.0,"motif_x_mm":null,"motif_y_mm":null,"place":"","room":"closet","worn":0,"lab":"[55.0, 2.5, -3.0, \"A/2\"]","customer":""}}','catalogue','2026-11-29T10:42:54Z','was in the catalogue before it had a ledger','',0,'{"piece.room":"d3ade8db790d87d76c57126e7c708c85","why":"a5ac9d6cf5796614268823f1cf7dc8bd"}',X'5F993708ECB55A0FE6572AF9363C0E467D0AE7A79A60E1E9C1E1BD835892B69F');
INSERT INTO "entry" VALUES(3,3,'R-0101','received','{"parent":"","piece":{"tag":"R-0101","kind":"remnant","style":"Marl Plain","colour":"Oatmeal","lot":"4471-B","rings":"[[[0.0,0.0],[1524.0,0.0],[1524.0,1016.0],[762.0,1016.0],[762.0,2032.0],[0.0,2032.0]]]","pile_deg":0.0,"motif_x_mm":null,"motif_y_mm":null,"place":"Bay 3","room":"","worn":0,"customer":"","hidden":null,"lab":null}}','Ana','2031-05-03T14:20:00Z','as it came','',0,'{"piece.place":"a4bab2a0ff7e8c5179a7b079b80ef53f","why":"bd192c546ba259819436228e70ac6400"}',X'4D5AE968D763D1F83777C9F404D0B2AD04FC743487D361142DD653FE2FDEACBD');
INSERT INTO "entry" VALUES(4,3,'R-0102','received','{"parent":"","piece":{"tag":"R-0102","kind":"remnant","style":"Marl Plain","colour":"Oatmeal","lot":"4471-B","rings":"[[[0.0,0.0],[1524.0,0.0],[1524.0,1016.0],[762.0,1016.0],[762.0,2032.0],[0.0,2032.0]]]","pile_deg":0.0,"motif_x_mm":null,"motif_y_mm":null,"place":"Bay 4","room":"","worn":0,"customer":"","hidden":null,"lab":null}}','Ana','2031-05-03T14:20:00Z','as it came','',0,'{"piece.place":"108edc75479e2f7630c50842445faac2","why":"543fb5890214d720fc82e4394975aa0b"}',X'CA63A309DF33829FB9487910A142EF219043C5C230DEB28AB575B6360A00524D');
INSERT INTO "entry" VALUES(5,5,'R-0101','moved','{"place":"erased","room":"","customer":"erased-1"}','Bo','2031-05-03T14:20:00Z','','',1,'{"place":"1c17b5863ddd3bda697a582fa0fe49629f5c26b835053422a09a685204801967","room":"dc90992caf266c5221a8d81471c6afbc374d2ea81aaf0512d5628c842bde2d1e","customer":"0c1c53fc210e0fa3f8764f5d31ab2f761243d73070c2211fad5c8e81a1981b7c","why":"afd73d97fe1402bceda2011175eed70ae2c23fa3f049398698de6cc5c1518d5a"}',X'41D8B29ECEBCFFE5E6C3EDAA61DF5B6B7696972E5E53CEB537132FF3F4071209');
INSERT INTO "entry" VALUES(6,6,'R-0102','moved','{"place":"cellar","room":"south","customer":""}','Ana','2031-05-03T14:20:00Z','','',0,'{"place":"b1c15fc178c2223ddb54c84530dadf0e","room":"5d250609d82d90a5d72a3e9fe445f878"}',X'B454ED6E3ECFA5806E6661AC3DEF65CA3A3098108ECD50E924D1B18FA0D5BAA0');
INSERT INTO "entry" VALUES(7,7,'R-0102','undone','{"number":6}','Ana','2031-05-03T14:20:00Z','','',0,'{}',X'564535BC0739B997BF61E1D61C4D2C09158EF36C97E7B3CEB57E932EA68D12FD');
CREATE TABLE job (
    name TEXT PRIMARY KEY CHECK (trim(name) <> ''),
    stage TEXT NOT NULL CHECK (stage IN ('held', 'cut', 'released')),
    file TEXT NOT NULL CHECK (json_valid(file)),
    plan TEXT NOT NULL CHECK (json_valid(plan)),
    donors TEXT NOT NULL CHECK (json_valid(donors)),
    hold_until TEXT,
    who TEXT NOT NULL,
    at TEXT NOT NULL
) STRICT;
CREATE TABLE link (
    digest TEXT PRIMARY KEY,
    use TEXT NOT NULL CHECK (use IN ('first-manager', 'invite', 'device')),
    person INTEGER REFERENCES person (id),
    ends_at TEXT NOT NULL,
    CHECK ((use = 'first-manager') = (person IS NULL))
) STRICT;
CREATE TABLE migration (
    number INTEGER PRIMARY KEY,
    name TEXT NOT NULL,
    done_at TEXT NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%SZ', 'now'))
) STRICT
;
INSERT INTO "migration" VALUES(1,'styles and pieces','2031-05-03T14:20:00Z');
INSERT INTO "migration" VALUES(2,'mass and thickness of styles','2031-05-03T14:20:00Z');
INSERT INTO "migration" VALUES(3,'people and where they are signed in','2031-05-03T14:20:00Z');
INSERT INTO "migration" VALUES(4,'mark of the names on hand','2031-05-03T14:20:00Z');
INSERT INTO "migration" VALUES(5,'ledger, requests, jobs, customers','2026-11-29T10:42:54Z');
INSERT INTO "migration" VALUES(6,'mark of the names on hand, by states too','2026-11-29T10:42:54Z');
INSERT INTO "migration" VALUES(7,'labels of what is on hand','2026-11-29T10:42:54Z');
INSERT INTO "migration" VALUES(8,'staircases of odd pieces, and marks of what was written','2026-11-29T10:42:54Z');
INSERT INTO "migration" VALUES(9,'photographs of pieces','2026-11-29T10:42:54Z');
INSERT INTO "migration" VALUES(10,'how each entry changed what is in store','2026-11-29T10:42:54Z');
INSERT INTO "migration" VALUES(11,'when pieces came in, and cuts that count','2026-11-29T10:42:54Z');
INSERT INTO "migration" VALUES(12,'photographs have entries','2026-11-29T10:42:54Z');
INSERT INTO "migration" VALUES(13,'seals of what waits on devices','2026-11-29T10:42:54Z');
INSERT INTO "migration" VALUES(14,'laid pieces that nobody sees','2026-11-29T10:42:54Z');
INSERT INTO "migration" VALUES(15,'rules that the shop set','2026-11-29T10:42:54Z');
INSERT INTO "migration" VALUES(16,'forms sent when a session was over','2026-11-29T10:42:54Z');
INSERT INTO "migration" VALUES(17,'entries are chained','2026-11-29T10:42:54Z');
INSERT INTO "migration" VALUES(18,'chained entries stand','2026-11-29T10:42:54Z');
CREATE TABLE names_mark (mark BLOB NOT NULL) STRICT;
INSERT INTO "names_mark" VALUES(X'02519FF374C00431204C2FD958552C3E');
CREATE TABLE person (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL COLLATE NOCASE UNIQUE CHECK (length(name) BETWEEN 1 AND 80),
    role TEXT NOT NULL CHECK (role IN ('look', 'work', 'manage')),
    unit TEXT NOT NULL DEFAULT 'ft',
    theme TEXT NOT NULL DEFAULT 'device',
    active INTEGER NOT NULL DEFAULT 1 CHECK (active IN (0, 1)),
    passphrase TEXT
, seal BLOB NOT NULL DEFAULT x'') STRICT;
CREATE TABLE photo (
    number INTEGER PRIMARY KEY,
    tag TEXT NOT NULL REFERENCES piece (tag),
    jpeg BLOB,
    across INTEGER NOT NULL CHECK (across > 0),
    down INTEGER NOT NULL CHECK (down > 0),
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL,
    gone_who TEXT NOT NULL DEFAULT '',
    gone_at TEXT,
    CHECK ((jpeg IS NULL) = (gone_at IS NOT NULL))
) STRICT;
CREATE TABLE piece (
    id INTEGER PRIMARY KEY,
    tag TEXT NOT NULL UNIQUE CHECK (trim(tag) <> ''),
    kind TEXT NOT NULL CHECK (kind IN ('remnant', 'offcut', 'kept', 'laid')),
    style TEXT NOT NULL REFERENCES style (name),
    colour TEXT NOT NULL,
    lot TEXT NOT NULL,
    rings TEXT NOT NULL CHECK (json_valid(rings)),
    pile_deg REAL NOT NULL,
    motif_x_mm REAL,
    motif_y_mm REAL,
    place TEXT NOT NULL,
    room TEXT NOT NULL,
    worn INTEGER NOT NULL CHECK (worn BETWEEN 0 AND 4),
    lab TEXT CHECK (lab IS NULL OR json_valid(lab)),
    across_mm REAL NOT NULL CHECK (across_mm > 0),
    along_mm REAL NOT NULL CHECK (along_mm > 0),
    area_mm2 REAL NOT NULL CHECK (area_mm2 > 0), customer TEXT NOT NULL DEFAULT '', stage TEXT NOT NULL DEFAULT 'in stock'
    CHECK (stage IN ('in stock', 'held', 'missing', 'used up', 'discarded', 'withdrawn')), version INTEGER NOT NULL DEFAULT 0, hold_until TEXT, hold_job TEXT
    CHECK ((hold_job IS NULL) = (hold_until IS NULL) AND (stage <> 'held' OR hold_job IS NOT NULL)), parent TEXT NOT NULL DEFAULT '', seen_at TEXT NOT NULL DEFAULT '', by_who TEXT NOT NULL DEFAULT '', by_at TEXT NOT NULL DEFAULT '', by_why TEXT NOT NULL DEFAULT '', by_job TEXT NOT NULL DEFAULT '', staircase BLOB, touched BLOB NOT NULL DEFAULT x'', hidden INTEGER CHECK (hidden IN (0, 1)),
    CHECK ((motif_x_mm IS NULL) = (motif_y_mm IS NULL))
) STRICT;
INSERT INTO "piece" VALUES(1,'R-0001','remnant','Velder Loop','Oatmeal','4471-B','[[[0.0,0.0],[1016.0,0.0],[1016.0,1676.4],[0.0,1676.4]],[[76.2,76.2],[228.6,76.2],[228.6,228.6],[76.2,228.6]]]',0.0,101.6,177.8,'Bay 3','',1,NULL,1016.0,1676.4,1679997.0,'','in stock',1,NULL,NULL,'','2026-11-29T10:42:54Z','catalogue','2026-11-29T10:42:54Z','was in the catalogue before it had a ledger','',X'0200000000000000C8030C0070941900C0800F0078171600',X'596B39E0309E3A64',NULL);
INSERT INTO "piece" VALUES(2,'L-0001','laid','Fell Twist','Slate','','[[[0.0,0.0],[1016.0,0.0],[1016.0,508.0],[508.0,508.0],[508.0,1524.0],[0.0,1524.0]]]',90.0,NULL,NULL,'','closet',0,'[55.0, 2.5, -3.0, "A/2"]',1524.0,1016.0,1032256.0,'','in stock',2,NULL,NULL,'','2026-11-29T10:42:54Z','catalogue','2026-11-29T10:42:54Z','was in the catalogue before it had a ledger','',X'020000000000000060C00700C0800F002041170060C00700',X'6857596D8F3A1930',NULL);
INSERT INTO "piece" VALUES(3,'R-0101','remnant','Marl Plain','Oatmeal','4471-B','[[[0.0,0.0],[1524.0,0.0],[1524.0,1016.0],[762.0,1016.0],[762.0,2032.0],[0.0,2032.0]]]',0.0,NULL,NULL,'erased','',0,NULL,1524.0,2032.0,2322576.0,'erased-1','in stock',5,NULL,NULL,'','2031-05-03T14:20:00Z','Bo','2031-05-03T14:20:00Z','','',X'020000000000000090A00B0080011F0020411700C0800F00',X'177EFF33D750DBD4',NULL);
INSERT INTO "piece" VALUES(4,'R-0102','remnant','Marl Plain','Oatmeal','4471-B','[[[0.0,0.0],[1524.0,0.0],[1524.0,1016.0],[762.0,1016.0],[762.0,2032.0],[0.0,2032.0]]]',0.0,NULL,NULL,'Bay 4','',0,NULL,1524.0,2032.0,2322576.0,'','in stock',7,NULL,NULL,'','2031-05-03T14:20:00Z','Ana','2031-05-03T14:20:00Z','','',X'020000000000000090A00B0080011F0020411700C0800F00',X'F521B26BFFB0E78A',NULL);
CREATE TABLE request (
    key TEXT PRIMARY KEY,
    asked TEXT NOT NULL,
    answer TEXT NOT NULL CHECK (json_valid(answer)),
    who TEXT NOT NULL,
    at TEXT NOT NULL
) STRICT;
CREATE TABLE session (
    id INTEGER PRIMARY KEY,
    digest TEXT NOT NULL UNIQUE,
    person INTEGER NOT NULL REFERENCES person (id),
    kind TEXT NOT NULL CHECK (kind IN ('browser', 'device', 'key')),
    label TEXT NOT NULL,
    made_at TEXT NOT NULL,
    seen_at TEXT NOT NULL,
    ends_at TEXT NOT NULL
) STRICT;
CREATE TABLE shop_rule (
    name TEXT PRIMARY KEY CHECK (trim(name) <> ''),
    value REAL NOT NULL,
    who TEXT NOT NULL CHECK (trim(who) <> ''),
    at TEXT NOT NULL
) STRICT;
CREATE TABLE store_change (
    number INTEGER NOT NULL,
    style TEXT NOT NULL,
    day TEXT NOT NULL,
    pieces INTEGER NOT NULL,
    area_mm2 REAL NOT NULL,
    PRIMARY KEY (number, style)
) STRICT, WITHOUT ROWID;
INSERT INTO "store_change" VALUES(1,'Velder Loop','2026-11-29',1,1.67999664000000013038e+06);
INSERT INTO "store_change" VALUES(3,'Marl Plain','2031-05-03',1,2322576.0);
INSERT INTO "store_change" VALUES(4,'Marl Plain','2031-05-03',1,2322576.0);
CREATE TABLE style (
    name TEXT PRIMARY KEY CHECK (trim(name) <> ''),
    construction TEXT NOT NULL CHECK (construction IN ('cut', 'loop', 'cut-and-loop', 'woven', 'needled')),
    roll_width_mm REAL CHECK (roll_width_mm > 0),
    repeat_across_mm REAL CHECK (repeat_across_mm > 0),
    repeat_along_mm REAL CHECK (repeat_along_mm > 0),
    repeat_drop REAL CHECK (repeat_drop >= 0 AND repeat_drop < 1),
    row_mm REAL CHECK (row_mm > 0),
    colours TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(colours)), mass_g_m2 REAL CHECK (mass_g_m2 > 0), pile_height_mm REAL CHECK (pile_height_mm > 0), backing_mm REAL CHECK (backing_mm > 0),
    CHECK ((repeat_across_mm IS NULL) = (repeat_along_mm IS NULL) AND (repeat_along_mm IS NULL) = (repeat_drop IS NULL))
) STRICT;
INSERT INTO "style" VALUES('Velder Loop','loop',NULL,304.8,457.2,0.5,6.35,'[]',NULL,NULL,NULL);
INSERT INTO "style" VALUES('Fell Twist','cut',NULL,NULL,NULL,NULL,NULL,'[]',NULL,NULL,NULL);
INSERT INTO "style" VALUES('Marl Plain','loop',NULL,NULL,NULL,NULL,NULL,'[]',NULL,NULL,NULL);
CREATE TABLE unsent (
    number INTEGER PRIMARY KEY,
    digest TEXT NOT NULL UNIQUE,
    person INTEGER NOT NULL REFERENCES person (id),
    path TEXT NOT NULL,
    fields TEXT NOT NULL CHECK (json_valid(fields)),
    files INTEGER NOT NULL CHECK (files IN (0, 1)),
    shown INTEGER NOT NULL DEFAULT 0 CHECK (shown IN (0, 1)),
    ends_at TEXT NOT NULL
) STRICT;
CREATE TABLE wrong_try (who TEXT NOT NULL, at TEXT NOT NULL) STRICT;
CREATE INDEX piece_by_tag_any_case ON piece (tag COLLATE NOCASE);
CREATE INDEX session_person ON session (person);
CREATE INDEX wrong_try_who ON wrong_try (who, at);
CREATE INDEX piece_on_hand ON piece (style, across_mm, along_mm) WHERE stage IN ('in stock', 'held');
CREATE INDEX piece_by_place ON piece (place);
CREATE INDEX piece_by_customer ON piece (customer) WHERE customer <> '';
CREATE INDEX piece_by_parent ON piece (parent) WHERE parent <> '';
CREATE INDEX piece_label_on_hand ON piece (style, colour, lot, area_mm2) WHERE stage IN ('in stock', 'held');
CREATE INDEX piece_on_shelf ON piece (style, tag, touched) WHERE stage IN ('in stock', 'held');
CREATE INDEX photo_by_tag ON photo (tag);
CREATE INDEX entry_by_tag ON entry (tag, number);
CREATE INDEX entry_by_booking ON entry (booking);
CREATE INDEX entry_received ON entry (tag, at) WHERE act = 'received';
CREATE INDEX entry_cut ON entry (tag, number, at) WHERE act = 'cut';
CREATE INDEX entry_undone ON entry (number) WHERE act = 'undone';
CREATE TRIGGER piece_named AFTER INSERT ON piece BEGIN UPDATE names_mark SET mark = randomblob(16); END;
CREATE TRIGGER piece_unnamed AFTER DELETE ON piece BEGIN UPDATE names_mark SET mark = randomblob(16); END;
CREATE TRIGGER style_named AFTER INSERT ON style BEGIN UPDATE names_mark SET mark = randomblob(16); END;
CREATE TRIGGER style_renamed AFTER UPDATE ON style BEGIN UPDATE names_mark SET mark = randomblob(16); END;
CREATE TRIGGER style_unnamed AFTER DELETE ON style BEGIN UPDATE names_mark SET mark = randomblob(16); END;
CREATE TRIGGER piece_came_or_went AFTER UPDATE OF stage ON piece
WHEN old.stage <> new.stage BEGIN UPDATE names_mark SET mark = randomblob(16); END;
CREATE TRIGGER piece_renamed AFTER UPDATE OF style, colour, lot, lab ON piece
WHEN (old.style, old.colour, old.lot, old.lab) IS NOT (new.style, new.colour, new.lot, new.lab)
BEGIN UPDATE names_mark SET mark = randomblob(16); END;
CREATE TRIGGER store_gained AFTER INSERT ON piece WHEN new.kind IN ('remnant', 'offcut') AND new.stage IN ('in stock', 'held') BEGIN
    INSERT INTO store_change VALUES (new.version, new.style, substr(new.by_at, 1, 10), 1, new.area_mm2);
END;
CREATE TRIGGER store_changed AFTER UPDATE OF stage, kind, style, area_mm2 ON piece
WHEN (old.kind IN ('remnant', 'offcut') AND old.stage IN ('in stock', 'held'), old.style, old.area_mm2) IS NOT (new.kind IN ('remnant', 'offcut') AND new.stage IN ('in stock', 'held'), new.style, new.area_mm2) AND ((old.kind IN ('remnant', 'offcut') AND old.stage IN ('in stock', 'held')) OR (new.kind IN ('remnant', 'offcut') AND new.stage IN ('in stock', 'held')))
BEGIN
    INSERT INTO store_change SELECT new.version, style, substr(new.by_at, 1, 10), sum(pieces), sum(area_mm2) FROM (
        SELECT old.style AS style, -1 AS pieces, -old.area_mm2 AS area_mm2 WHERE old.kind IN ('remnant', 'offcut') AND old.stage IN ('in stock', 'held')
        UNION ALL SELECT new.style, 1, new.area_mm2 WHERE new.kind IN ('remnant', 'offcut') AND new.stage IN ('in stock', 'held')) WHERE true GROUP BY style
    ON CONFLICT (number, style) DO UPDATE SET pieces = pieces + excluded.pieces, area_mm2 = area_mm2 + excluded.area_mm2;
END;
CREATE TRIGGER entries_stay BEFORE DELETE ON entry BEGIN
    SELECT raise(ABORT, 'the ledger only grows');
END;
CREATE TRIGGER person_sealed AFTER INSERT ON person BEGIN UPDATE person SET seal = randomblob(32) WHERE id = new.id; END;
CREATE TRIGGER entries_stand BEFORE UPDATE ON entry
WHEN NOT (NEW.erased AND NEW.number = OLD.number AND NEW.booking = OLD.booking AND NEW.tag = OLD.tag
          AND NEW.act = OLD.act AND NEW.at = OLD.at AND NEW.who = OLD.who AND NEW.job = OLD.job
          AND NEW.digest = OLD.digest) BEGIN
    SELECT raise(ABORT, 'an entry is never changed, but for what is erased about a person');
END;
COMMIT;
