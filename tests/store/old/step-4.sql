-- A catalogue as step 4 of its tables left it; the shop is invented.
PRAGMA application_id = 1380273486;
BEGIN TRANSACTION;
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
CREATE TABLE names_mark (mark BLOB NOT NULL) STRICT;
INSERT INTO "names_mark" VALUES(X'00');
CREATE TABLE person (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL COLLATE NOCASE UNIQUE CHECK (length(name) BETWEEN 1 AND 80),
    role TEXT NOT NULL CHECK (role IN ('look', 'work', 'manage')),
    unit TEXT NOT NULL DEFAULT 'ft',
    theme TEXT NOT NULL DEFAULT 'device',
    active INTEGER NOT NULL DEFAULT 1 CHECK (active IN (0, 1)),
    passphrase TEXT
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
    area_mm2 REAL NOT NULL CHECK (area_mm2 > 0),
    CHECK ((motif_x_mm IS NULL) = (motif_y_mm IS NULL))
) STRICT;
INSERT INTO "piece" VALUES(1,'R-0001','remnant','Velder Loop','Oatmeal','4471-B','[[[0.0,0.0],[1016.0,0.0],[1016.0,1676.4],[0.0,1676.4]],[[76.2,76.2],[228.6,76.2],[228.6,228.6],[76.2,228.6]]]',0.0,101.6,177.8,'Bay 3','',1,NULL,1016.0,1676.4,1679997.0);
INSERT INTO "piece" VALUES(2,'L-0001','laid','Fell Twist','Slate','','[[[0.0,0.0],[1016.0,0.0],[1016.0,508.0],[508.0,508.0],[508.0,1524.0],[0.0,1524.0]]]',90.0,NULL,NULL,'','closet',0,'[55.0, 2.5, -3.0, "A/2"]',1524.0,1016.0,1032256.0);
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
CREATE TABLE wrong_try (who TEXT NOT NULL, at TEXT NOT NULL) STRICT;
CREATE INDEX piece_by_style ON piece (style, across_mm, along_mm);
CREATE INDEX piece_by_tag_any_case ON piece (tag COLLATE NOCASE);
CREATE INDEX piece_by_name ON piece (style, colour, lot);
CREATE INDEX session_person ON session (person);
CREATE INDEX wrong_try_who ON wrong_try (who, at);
CREATE TRIGGER piece_named AFTER INSERT ON piece BEGIN UPDATE names_mark SET mark = randomblob(16); END;
CREATE TRIGGER piece_renamed AFTER UPDATE OF style, colour, lot, lab ON piece
BEGIN UPDATE names_mark SET mark = randomblob(16); END;
CREATE TRIGGER piece_unnamed AFTER DELETE ON piece BEGIN UPDATE names_mark SET mark = randomblob(16); END;
CREATE TRIGGER style_named AFTER INSERT ON style BEGIN UPDATE names_mark SET mark = randomblob(16); END;
CREATE TRIGGER style_renamed AFTER UPDATE ON style BEGIN UPDATE names_mark SET mark = randomblob(16); END;
CREATE TRIGGER style_unnamed AFTER DELETE ON style BEGIN UPDATE names_mark SET mark = randomblob(16); END;
COMMIT;
