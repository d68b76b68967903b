"""How much of anything is taken at most: one table for the command line, the pages and the programs' interface.

`docs/reference/limits.md` is made from this file: from each figure and the text below it, which tells first what is counted, then
what the figure is good for. A limit is far beyond what a shop has; what is over it was meant otherwise, or was made to do harm.
"""

__all__ = [
    "ALIKE_PIECES",
    "BODIES_BYTES",
    "BODY_SECONDS",
    "CARPETS",
    "CELLS",
    "CELL_CHARACTERS",
    "COLOURS",
    "COLUMNS",
    "CONNECTIONS",
    "CONNECTIONS_EACH",
    "CORNERS",
    "COUNTED_CHARACTERS",
    "CUTOUTS",
    "DOORWAYS",
    "DOOR_BOOK_BYTES",
    "DOOR_BOOK_FILES",
    "DRAWING_BYTES",
    "DRAWING_CORNERS",
    "DRAWING_DEPTH",
    "DRAWING_ENTITIES",
    "DRAWING_POINTS",
    "DRAWN_CHARACTERS",
    "DRAWN_LINES",
    "DRAWN_POINTS",
    "FAULTS_TOLD",
    "FILE_BYTES",
    "FIT_SECONDS",
    "FLAT_PHOTOS",
    "FORM_BYTES",
    "FORM_PARTS",
    "HEAD_SECONDS",
    "IDLE_SECONDS",
    "JOB_CHARACTERS",
    "JOB_PHOTOS",
    "KEY_CHARACTERS",
    "LATE_CHARACTERS",
    "LATE_FORMS",
    "LENGTH_CHARACTERS",
    "NAME_CHARACTERS",
    "NOTES_TOLD",
    "PASSPHRASE_CHARACTERS",
    "PATCHES",
    "PERSON_CHARACTERS",
    "PHOTOS",
    "PHOTO_BYTES",
    "PHOTO_CHARACTERS",
    "PHOTO_PIXELS",
    "PHOTO_PIXELS_WHOLE",
    "PHOTO_SCANS",
    "PIECES",
    "PIECES_A_ROW",
    "PIECES_FOUND",
    "PRICES",
    "QUESTIONS",
    "QUESTIONS_EACH",
    "READ_MEMORY",
    "READ_SECONDS",
    "ROLLS",
    "ROLL_WIDTHS",
    "ROOMS",
    "ROOMS_FILE_BYTES",
    "SENTENCE",
    "SENT_BYTES",
    "SENT_CORNERS",
    "SENT_DAMAGES",
    "SENT_DRAWING_BYTES",
    "SENT_OUTLINES",
    "SENT_PARTS",
    "SENT_PATCHES",
    "STAIRS",
    "STEPS",
    "STRANGER_BYTES",
    "STYLES",
    "TAGS_PRINTED",
    "TEXT_CHARACTERS",
    "TOLD_CHARACTERS",
    "TOLD_PIECES",
    "TURNS",
    "UNPACKED_BYTES",
    "WHY_CHARACTERS",
    "WINDERS",
    "WORDS_CHARACTERS",
    "WORKBOOK_BYTES",
    "WORK_MEMORY",
    "WORK_SECONDS",
]

MIB = 1024 * 1024

FAULTS_TOLD = 50
"""Faults told one by one. How many more there are is told in their place; the same slip often stands in every row."""

NOTES_TOLD = 50
"""Notes told one by one of what was read but may not be what was meant. How many more there are is told in their place."""

FILE_BYTES = 512 * MIB
"""Bytes of a file that is read. Over a million pieces."""

PIECES = 1_000_000
"""Pieces in a stock file, and rows of a spreadsheet."""

PIECES_A_ROW = 500
"""Pieces that one row of a spreadsheet gives by its quantity."""

STYLES = 100_000
"""Styles in a stock file."""

COLOURS = 1_000
"""Colours of a style."""

NAME_CHARACTERS = 200
"""Characters of a tag or a name."""

TEXT_CHARACTERS = 500
"""Characters of any other text, such as a place."""

SENTENCE = 1_000
"""Characters of a question in one line."""

TOLD_PIECES = 9
"""Pieces of carpet told with a question, to count for its answer alone."""

TOLD_CHARACTERS = 8_192
"""Characters that tell them."""

WORDS_CHARACTERS = 500
"""Characters of words that pieces are found by, and of what a tag or label says. Names have some fifty together."""

LENGTH_CHARACTERS = 64
"""Characters of a length."""

PERSON_CHARACTERS = 80
"""Characters of the name of somebody who comes in."""

PASSPHRASE_CHARACTERS = 128
"""Characters of a passphrase."""

CORNERS = 4_000
"""Corners of an outline, of a piece's cutouts together, of a path that is walked."""

CUTOUTS = 500
"""Cutouts of a piece, islands of a room."""

CELL_CHARACTERS = 131_072
"""Characters in a cell of a spreadsheet. An outline of 4,000 corners fits in."""

WORKBOOK_BYTES = 32 * MIB
"""Bytes of a workbook (.xlsx, .ods)."""

UNPACKED_BYTES = 256 * MIB
"""Bytes of a workbook once it is unpacked, and no part of it over two hundred times what it takes packed."""

COLUMNS = 1_000
"""Cells in a row of a spreadsheet, blank ones behind the last with text left aside."""

CELLS = 20_000_000
"""Cells in a spreadsheet that hold text. A million pieces with twenty columns."""

PATCHES = 2_000
"""Patches in a job, each as often as its `count` says."""

KEY_CHARACTERS = 100
"""Characters of the key under which a request is done once."""

WHY_CHARACTERS = 200
"""Characters of the reason for an entry that is told on a page."""

TURNS = 360
"""Turns that a patch allows."""

ROOMS = 2_000
"""Rooms in a rooms file and of a job, and those found in a drawing."""

DOORWAYS = 100
"""Doorways of a room, paths that are walked in it."""

STAIRS = 500
"""Flights of stairs in a rooms file."""

STEPS = 1_000
"""Steps of a flight of stairs."""

WINDERS = 100
"""Turning steps of a flight of stairs."""

PRICES = 100
"""Prices in a rooms file."""

ROLLS = 50
"""Rolls that there are for an order."""

CARPETS = 12
"""Carpets that an order for a house names, beside the one that its file tells itself."""

ROLL_WIDTHS = 20
"""Widths of roll to compare."""

DRAWING_BYTES = 64 * MIB
"""Bytes of a drawing of rooms (DXF)."""

DRAWING_CORNERS = 100
"""Corners of the rooms in a drawing on the average. An arc counts with the corners that it is read as."""

DRAWING_ENTITIES = 50_000
"""Lines, arcs, texts and other entities of a drawing, as often as blocks are placed. An office floor has some thousand."""

DRAWING_DEPTH = 16
"""Blocks in blocks of a drawing, one in the other."""

DRAWING_POINTS = 500_000
"""Points of all lines of a drawing. A curve counts with those that it is flattened to."""

PHOTO_BYTES = 40_000_000
"""Bytes of a photograph at the command line."""

PHOTO_PIXELS = 80_000_000
"""Pixels of a photograph."""

PHOTO_PIXELS_WHOLE = 24_000_000
"""Pixels of a photograph that has to be read whole before it can be made smaller: a PNG, a WebP, a progressive JPEG."""

PHOTOS = 6
"""Photographs of a piece at a time."""

FLAT_PHOTOS = 4
"""Photographs of one person that are kept for a day to be measured in. One more takes the place of the oldest."""

JOB_PHOTOS = 6
"""Photographs of a job at a time, before the repair and as many after it."""

PHOTO_CHARACTERS = 200
"""Characters of the words that go with a photograph of a job."""

PHOTO_SCANS = 20
"""Scans of a progressive JPEG: how often its picture is gone over. Cameras and programs make some ten."""

SENT_BYTES = 12 * MIB
"""Bytes sent to a page or to the programs' interface at once. A photograph of 10 MB and what stands beside it."""

FORM_BYTES = MIB // 2
"""Bytes of a form without its files."""

FORM_PARTS = 600
"""Fields and files of a form that brings files."""

COUNTED_CHARACTERS = 20_000
"""Characters of the tags that are scanned or typed for one count on the pages. A few thousand tags."""

ALIKE_PIECES = 200
"""Pieces that are received alike at once at the dock. A delivery of one kind has some tens."""

TAGS_PRINTED = 500
"""Tags that a page prints at once. Those of a place with more than a hundred pieces are printed leaf by leaf."""

PIECES_FOUND = 200
"""Pieces that the programs' interface finds at once."""

SENT_PATCHES = 100
"""Patches, or rooms and stairs, that are asked of a page or the programs' interface at once. A house has some tens."""

SENT_PARTS = 400
"""Parts that the patches asked there at once may be joined from: each patch counts as often as its `max_parts` says."""

SENT_CORNERS = 2_000
"""Corners of all that is asked there at once. A circle counts with the corners that it is read as."""

SENT_DAMAGES = 10
"""Damaged places for which outlines are asked there at once. A floor has a few; each takes up to five seconds."""

SENT_DRAWING_BYTES = 2 * MIB
"""Bytes of a drawing, a table or a rooms file sent to a page. The outlines of a house take some tens of KB."""

SENT_OUTLINES = 40
"""Rooms in a drawing sent to a page. An order of more takes longer than a page should keep others waiting."""

ROOMS_FILE_BYTES = 128 * 1024
"""Bytes of a rooms file that stands in a page's form. A house takes a few KB."""

JOB_CHARACTERS = 64 * 1024
"""Characters of a job, or of its patches or rooms told so far, in a page's form. A hundred patches take ten thousand."""

LATE_CHARACTERS = 128 * 1024
"""Characters of a form that is kept for a day for whoever's session was over when it was sent. A count of thousands of tags."""

LATE_FORMS = 3
"""Such forms kept of one person at a time. The oldest goes first."""

QUESTIONS = 100
"""Questions that wait at a server to be worked out, or are being worked on."""

QUESTIONS_EACH = 4
"""Questions of one person that wait to be worked out, or are being worked on."""

FIT_SECONDS = 20
"""Seconds that a server searches for one answer. The best one found by then is shown, and marked as such."""

WORK_SECONDS = 60
"""Seconds after which work on a question is ended, whatever there is."""

WORK_MEMORY = 2048 * MIB
"""Bytes of memory, mapped or used, of a process that works on questions."""

READ_SECONDS = 20
"""Seconds that a server takes to read a photograph or a drawing that was sent."""

READ_MEMORY = 768 * MIB
"""Bytes of memory, mapped or used, of the process that reads them, one after the other."""

STRANGER_BYTES = 64 * 1024
"""Bytes of a request of somebody who isn't signed in. A name and a passphrase."""

DRAWN_LINES = 80
"""Lines of a name that a customer draws on the glass."""

DRAWN_POINTS = 1_500
"""Points of a name drawn on the glass. The page drops every other one where a finger passed more."""

DRAWN_CHARACTERS = 16_000
"""Characters of a name drawn on the glass, as it is sent."""

BODIES_BYTES = 240 * MIB
"""Bytes of requests that are still coming in, all together; one person's at most 48 MB of them."""

CONNECTIONS = 400
"""Connections that are open at once to a process that answers. One more takes the place of the one that idles longest."""

CONNECTIONS_EACH = 60
"""Connections from one address at once, unless a proxy stands in front. One more takes the place of its longest idle one."""

IDLE_SECONDS = 60
"""Seconds that a connection stays open on which nothing is asked."""

HEAD_SECONDS = 20
"""Seconds until a request is there whole, if it is no larger than a stranger's."""

BODY_SECONDS = 300
"""Seconds until a larger request is there whole, and until an answer was taken. A photograph from a phone with a poor signal."""

DOOR_BOOK_BYTES = MIB
"""Bytes of one file of the door book. Some seven thousand lines; then another is begun."""

DOOR_BOOK_FILES = 5
"""Files of the door book of what was done, as many of what was refused, and as many of what was handed out. The oldest goes."""
