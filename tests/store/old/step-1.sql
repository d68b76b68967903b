-- A catalogue as step 1 of its tables left it; the shop is invented.
PRAGMA application_id = 1380273486;
BEGIN TRANSACTION;
CREATE TABLE migration (
    number INTEGER PRIMARY KEY,
    name TEXT NOT NULL,
    done_at TEXT NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%SZ', 'now'))
) STRICT
;
INSERT INTO "migration" VALUES(1,'styles and pieces','2031-05-03T14:20:00Z');
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
CREATE TABLE style (
    name TEXT PRIMARY KEY CHECK (trim(name) <> ''),
    construction TEXT NOT NULL CHECK (construction IN ('cut', 'loop', 'cut-and-loop', 'woven', 'needled')),
    roll_width_mm REAL CHECK (roll_width_mm > 0),
    repeat_across_mm REAL CHECK (repeat_across_mm > 0),
    repeat_along_mm REAL CHECK (repeat_along_mm > 0),
    repeat_drop REAL CHECK (repeat_drop >= 0 AND repeat_drop < 1),
    row_mm REAL CHECK (row_mm > 0),
    colours TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(colours)),
    CHECK ((repeat_across_mm IS NULL) = (repeat_along_mm IS NULL) AND (repeat_along_mm IS NULL) = (repeat_drop IS NULL))
) STRICT;
INSERT INTO "style" VALUES('Velder Loop','loop',NULL,304.8,457.2,0.5,6.35,'[]');
INSERT INTO "style" VALUES('Fell Twist','cut',NULL,NULL,NULL,NULL,NULL,'[]');
CREATE INDEX piece_by_style ON piece (style, across_mm, along_mm);
CREATE INDEX piece_by_tag_any_case ON piece (tag COLLATE NOCASE);
CREATE INDEX piece_by_name ON piece (style, colour, lot);
COMMIT;
