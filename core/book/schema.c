#include "book/schema.h"

#define LAB                                                                                                  \
  "l REAL NOT NULL CHECK (l BETWEEN 0 AND 110), a REAL NOT NULL CHECK (a BETWEEN -200 AND 200),"             \
  " b REAL NOT NULL CHECK (b BETWEEN -200 AND 200)"
/* JSON is checked where it is written, and by dw_book_check: a CHECK may not call json_valid while the schema
 * is not trusted. */
#define OBJECT " TEXT NOT NULL DEFAULT '{}'"

/* 1: what is aimed for. */
static const char step_aims[] =
    "CREATE TABLE photo ("
    " id INTEGER PRIMARY KEY, sha256 TEXT NOT NULL UNIQUE CHECK (length(sha256) = 64), path TEXT NOT NULL,"
    " width INTEGER NOT NULL CHECK (width > 0), height INTEGER NOT NULL CHECK (height > 0),"
    " taken TEXT NOT NULL DEFAULT '', added TEXT NOT NULL, preview BLOB) STRICT;"
    "CREATE TABLE pattern ("
    " id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE, note TEXT NOT NULL DEFAULT '',"
    " created TEXT NOT NULL) STRICT;"
    "CREATE TABLE layer ("
    " id INTEGER PRIMARY KEY, pattern INTEGER NOT NULL REFERENCES pattern ON DELETE CASCADE,"
    " position INTEGER NOT NULL CHECK (position >= 0), name TEXT NOT NULL,"
    " see_through REAL CHECK (see_through BETWEEN 0 AND 1),"
    " UNIQUE (pattern, name), UNIQUE (pattern, position)) STRICT;"
    /* The newest row of a layer is its target; the older ones are its history. */
    "CREATE TABLE target ("
    " id INTEGER PRIMARY KEY, layer INTEGER NOT NULL REFERENCES layer ON DELETE CASCADE, " LAB ","
    " uncertainty REAL NOT NULL DEFAULT 0 CHECK (uncertainty >= 0),"
    " how TEXT NOT NULL CHECK (how IN ('photo', 'photos', 'numbers', 'layer')),"
    " photo INTEGER REFERENCES photo, detail" OBJECT ", created TEXT NOT NULL) STRICT;"
    "CREATE INDEX target_of_layer ON target (layer, id);"
    "CREATE INDEX target_of_photo ON target (photo) WHERE photo IS NOT NULL;"
    "CREATE TABLE tone ("
    " id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE, note TEXT NOT NULL DEFAULT '',"
    " invented INTEGER NOT NULL DEFAULT 0 CHECK (invented IN (0, 1)), created TEXT NOT NULL) "
    "STRICT;"
    "CREATE TABLE tone_color ("
    " id INTEGER PRIMARY KEY, tone INTEGER NOT NULL REFERENCES tone ON DELETE CASCADE, " LAB ","
    " photo INTEGER REFERENCES photo, detail" OBJECT ") STRICT;"
    "CREATE INDEX color_of_tone ON tone_color (tone);";

/* 2: what it is made from. */
static const char step_bottles[] =
    "CREATE TABLE bottle ("
    " id INTEGER PRIMARY KEY, slug TEXT NOT NULL UNIQUE, title TEXT NOT NULL,"
    " role TEXT NOT NULL CHECK (role IN ('color', 'brown', 'white', 'black', 'effect')),"
    " drop_ml REAL NOT NULL CHECK (drop_ml > 0), removed TEXT) STRICT;"
    /* The lot opened last is the one at hand. */
    "CREATE TABLE lot ("
    " id INTEGER PRIMARY KEY, bottle INTEGER NOT NULL REFERENCES bottle ON DELETE CASCADE,"
    " name TEXT NOT NULL, opened TEXT NOT NULL, UNIQUE (bottle, name)) STRICT;"
    "CREATE TABLE chip ("
    " id INTEGER PRIMARY KEY, thickness_mm REAL NOT NULL CHECK (thickness_mm > 0),"
    " backing REAL NOT NULL CHECK (backing BETWEEN 0 AND 1), " LAB ","
    " clipped INTEGER NOT NULL DEFAULT 0 CHECK (clipped IN (0, 1)),"
    " deviation REAL NOT NULL DEFAULT 0 CHECK (deviation >= 0), photo INTEGER REFERENCES photo,"
    " added TEXT NOT NULL) STRICT;"
    /* A chip without parts is clear base. */
    "CREATE TABLE chip_part ("
    " id INTEGER PRIMARY KEY, chip INTEGER NOT NULL REFERENCES chip ON DELETE CASCADE,"
    " lot INTEGER NOT NULL REFERENCES lot, loading REAL NOT NULL CHECK (loading > 0),"
    " UNIQUE (chip, lot)) STRICT;"
    "CREATE INDEX part_of_lot ON chip_part (lot);"
    /* A fit is the whole shelf as the chips of that day made it, and its report; the newest one is in use. */
    "CREATE TABLE fit ("
    " id INTEGER PRIMARY KEY, shelf TEXT NOT NULL, report" OBJECT ", created TEXT NOT NULL) STRICT;"
    "CREATE TABLE fit_bottle ("
    " id INTEGER PRIMARY KEY, fit INTEGER NOT NULL REFERENCES fit ON DELETE CASCADE,"
    " bottle INTEGER NOT NULL REFERENCES bottle ON DELETE CASCADE, UNIQUE (fit, bottle)) "
    "STRICT;"
    "CREATE INDEX fit_of_bottle ON fit_bottle (bottle);"
    /* What pours taught of a lot, on the spectra of a fit (NULL: the starter shelf); the newest
       row counts. */
    "CREATE TABLE strength ("
    " id INTEGER PRIMARY KEY, lot INTEGER NOT NULL REFERENCES lot ON DELETE CASCADE,"
    " fit INTEGER REFERENCES fit, strength REAL NOT NULL CHECK (strength > 0),"
    " deviation REAL NOT NULL CHECK (deviation >= 0), words TEXT NOT NULL, learned TEXT NOT "
    "NULL) STRICT;"
    "CREATE INDEX strength_of_lot ON strength (lot, id);";

/* 3: what was poured, and how it came out. */
static const char step_pours[] =
    "CREATE TABLE batch ("
    " id INTEGER PRIMARY KEY, pattern INTEGER NOT NULL REFERENCES pattern ON DELETE CASCADE,"
    " name TEXT NOT NULL, poured TEXT NOT NULL, good INTEGER NOT NULL DEFAULT 0 CHECK (good IN (0, 1)),"
    " note TEXT NOT NULL DEFAULT '', blend_mm REAL CHECK (blend_mm >= 0), UNIQUE (pattern, name)) STRICT;"
    "CREATE INDEX batch_of_pattern ON batch (pattern, poured);"
    "CREATE TABLE cup ("
    " id INTEGER PRIMARY KEY, batch INTEGER NOT NULL REFERENCES batch ON DELETE CASCADE,"
    " layer INTEGER NOT NULL REFERENCES layer ON DELETE CASCADE,"
    " volume_floz REAL NOT NULL CHECK (volume_floz > 0), capacity_floz REAL NOT NULL CHECK (capacity_floz > "
    "0),"
    " temperature_f REAL, UNIQUE (batch, layer)) STRICT;"
    "CREATE INDEX cup_of_layer ON cup (layer);"
    /* One bottle or clear base, never both. */
    "CREATE TABLE addition ("
    " id INTEGER PRIMARY KEY, cup INTEGER NOT NULL REFERENCES cup ON DELETE CASCADE,"
    " position INTEGER NOT NULL CHECK (position >= 0), lot INTEGER REFERENCES lot,"
    " drops REAL NOT NULL DEFAULT 0 CHECK (drops >= 0),"
    " clear_floz REAL NOT NULL DEFAULT 0 CHECK (clear_floz >= 0), added TEXT NOT NULL,"
    " CHECK ((lot IS NULL) = (drops = 0)), UNIQUE (cup, position)) STRICT;"
    "CREATE INDEX addition_of_lot ON addition (lot) WHERE lot IS NOT NULL;"
    /* additions: how many of the cup's were in it. */
    "CREATE TABLE pour ("
    " id INTEGER PRIMARY KEY, cup INTEGER NOT NULL REFERENCES cup ON DELETE CASCADE,"
    " additions INTEGER NOT NULL CHECK (additions >= 0), thickness_mm REAL NOT NULL CHECK (thickness_mm > 0),"
    " backing REAL NOT NULL CHECK (backing BETWEEN 0 AND 1),"
    " predicted_l REAL, predicted_a REAL, predicted_b REAL, poured TEXT NOT NULL) STRICT;"
    "CREATE INDEX pour_of_cup ON pour (cup, id);"
    /* One photo as it was read. */
    "CREATE TABLE look ("
    " id INTEGER PRIMARY KEY, photo INTEGER NOT NULL REFERENCES photo, marks" OBJECT ", light" OBJECT
    ", looked TEXT NOT NULL) STRICT;"
    "CREATE INDEX look_of_photo ON look (photo);"
    "CREATE TABLE reading ("
    " id INTEGER PRIMARY KEY, batch INTEGER NOT NULL REFERENCES batch "
    "ON DELETE CASCADE,"
    " layer INTEGER NOT NULL REFERENCES layer ON DELETE CASCADE,"
    " pour INTEGER REFERENCES pour ON DELETE CASCADE, look INTEGER "
    "REFERENCES look,"
    " bait INTEGER NOT NULL DEFAULT 0 CHECK (bait >= 0), shape TEXT "
    "NOT NULL DEFAULT '', " LAB ","
    " uncertainty REAL NOT NULL DEFAULT 0 CHECK (uncertainty >= 0),"
    " spread REAL NOT NULL DEFAULT 0 CHECK (spread >= 0), kept REAL, "
    "gloss REAL, flake REAL,"
    " taken TEXT NOT NULL) STRICT;"
    "CREATE INDEX reading_of_layer ON reading (layer, batch);"
    "CREATE INDEX reading_of_batch ON reading (batch);"
    "CREATE INDEX reading_of_pour ON reading (pour) WHERE pour IS NOT "
    "NULL;"
    "CREATE INDEX reading_of_look ON reading (look) WHERE look IS NOT "
    "NULL;";

/* 4: what lies on the bench. */
static const char step_work[] =
    "CREATE TABLE work ("
    " id INTEGER PRIMARY KEY, name TEXT NOT NULL, pattern INTEGER NOT NULL REFERENCES pattern ON DELETE "
    "CASCADE,"
    " batch INTEGER REFERENCES batch ON DELETE SET NULL, photo INTEGER REFERENCES photo, marks" OBJECT ","
    " cups TEXT NOT NULL DEFAULT '[]', slab" OBJECT
    ", revision INTEGER NOT NULL DEFAULT 1 CHECK (revision > 0),"
    " updated TEXT NOT NULL) STRICT;"
    "CREATE INDEX work_of_pattern ON work (pattern);"
    "CREATE INDEX work_of_batch ON work (batch) WHERE batch IS NOT NULL;"
    /* The states that an undo goes back to, oldest first. */
    "CREATE TABLE work_past ("
    " id INTEGER PRIMARY KEY, work INTEGER NOT NULL REFERENCES work ON DELETE "
    "CASCADE, name TEXT NOT NULL,"
    " photo INTEGER REFERENCES photo, marks TEXT NOT NULL, cups TEXT NOT NULL, slab "
    "TEXT NOT NULL) STRICT;"
    "CREATE INDEX past_of_work ON work_past (work, id);";

/* 5: what the step behind a state of the past did beside the work; and a photo read again, whose earlier
 * reading stays behind the newer one and comes back when that is taken out. */
#define MADE(kind) " " kind " INTEGER REFERENCES " kind " ON DELETE CASCADE,"
#define MADE_INDEX(kind) "CREATE INDEX past_" kind " ON past_row (" kind ") WHERE " kind " IS NOT NULL;"
static const char step_made[] =
    "CREATE TABLE past_row ("
    " id INTEGER PRIMARY KEY, past INTEGER NOT NULL REFERENCES work_past ON DELETE CASCADE,"
    /* One of these: a row that the step made. */
    MADE("batch") MADE("cup") MADE("addition") MADE("pour") MADE("look") MADE("reading") MADE("strength")
    /* With a batch: the step closed it, and this is how it was judged before. */
    " good INTEGER CHECK (good IN (0, 1)), note TEXT, CHECK ((good IS NULL) = (note IS NULL))) STRICT;"
    "CREATE INDEX row_of_past ON past_row (past);" MADE_INDEX("batch") MADE_INDEX("cup")
        MADE_INDEX("addition") MADE_INDEX("pour") MADE_INDEX("look") MADE_INDEX("reading") MADE_INDEX(
            "strength") "ALTER TABLE reading ADD COLUMN replaces INTEGER REFERENCES reading ON DELETE SET "
                        "NULL;"
                        "CREATE INDEX reading_replaced ON reading (replaces) WHERE replaces IS NOT NULL;"
                        "CREATE VIEW reading_now AS SELECT * FROM reading r"
                        " WHERE NOT EXISTS (SELECT 1 FROM reading newer WHERE newer.replaces = r.id);";

/* 6: the journal. Its pattern and batch are numbers without a reference: an entry outlives what it is of. */
static const char step_journal[] =
    "CREATE TABLE entry ("
    " id INTEGER PRIMARY KEY AUTOINCREMENT, made TEXT NOT NULL, door TEXT NOT NULL, kind TEXT NOT NULL,"
    " words TEXT NOT NULL, pattern INTEGER, batch INTEGER,"
    /* 0 done, 1 undone, 2 dropped. */
    " state INTEGER NOT NULL CHECK (state BETWEEN 0 AND 2),"
    /* What takes it back; of an undone one, what brings it back. */
    " record" OBJECT ") STRICT;"
    "CREATE INDEX entry_undone ON entry (id) WHERE state = 1;"
    /* tick grows with every entry, undo and redo; pattern and batch: the highest id that was ever given. */
    "CREATE TABLE clock (id INTEGER PRIMARY KEY CHECK (id = 1), tick INTEGER NOT NULL DEFAULT 0,"
    " pattern INTEGER NOT NULL DEFAULT 0, batch INTEGER NOT NULL DEFAULT 0) STRICT;"
    "INSERT INTO clock (id) VALUES (1);";

/* 7: what lies on the bench, its cups the batch's own. */
static const char step_bench[] =
    "CREATE TABLE bench ("
    " id INTEGER PRIMARY KEY, name TEXT NOT NULL,"
    " pattern INTEGER NOT NULL REFERENCES pattern ON DELETE CASCADE,"
    " batch INTEGER REFERENCES batch ON DELETE SET NULL, photo INTEGER REFERENCES photo, marks" OBJECT
    ", slab" OBJECT ", updated TEXT NOT NULL) STRICT;"
    "CREATE INDEX bench_of_pattern ON bench (pattern);"
    "CREATE INDEX bench_of_batch ON bench (batch) WHERE batch IS NOT NULL;";

/* 8: what a shop usually works with. */
static const char step_settings[] =
    "CREATE TABLE setting (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE, value TEXT NOT NULL) STRICT;";

/* 9: molds. */
static const char step_molds[] =
    "CREATE TABLE mold ("
    " id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE, cavities INTEGER NOT NULL CHECK (cavities > 0),"
    " bait_ml REAL NOT NULL CHECK (bait_ml > 0), runner_ml REAL NOT NULL CHECK (runner_ml >= 0),"
    " sprue TEXT NOT NULL CHECK (sprue IN ('toward', 'away', 'left', 'right')),"
    " back TEXT NOT NULL CHECK (back IN ('toward', 'away', 'left', 'right'))) STRICT;";

/* 10: a layer's tone; what is not wanted; and a bottle whose spectrum another one lends: `starter` came from
 * the starter shelf with its first use, `look` names the bottle there that it looks like. */
static const char step_natural[] =
    "ALTER TABLE layer ADD COLUMN tone INTEGER REFERENCES tone ON DELETE SET NULL;"
    "CREATE INDEX layer_of_tone ON layer (tone) WHERE tone IS NOT NULL;"
    "ALTER TABLE pattern ADD COLUMN unwanted TEXT;"
    "ALTER TABLE bottle ADD COLUMN look TEXT;"
    "ALTER TABLE bottle ADD COLUMN starter INTEGER CHECK (starter = 1);" DW__MARK_STARTER " id > 0;";

/* 11: the journal with what its entries share kept once (entries.h): in a book of many readings the words and
 * records took as much room as the readings. */
static const char step_phrases[] =
    "DROP INDEX entry_undone;"
    "ALTER TABLE entry RENAME TO entry_text;"
    "CREATE TABLE phrase ("
    " id INTEGER PRIMARY KEY, door TEXT NOT NULL, kind TEXT NOT NULL, words TEXT NOT NULL,"
    " record TEXT NOT NULL, UNIQUE (words, record, kind, door)) STRICT;"
    "CREATE TABLE entry ("
    " id INTEGER PRIMARY KEY AUTOINCREMENT, made INTEGER NOT NULL, phrase INTEGER NOT NULL REFERENCES phrase,"
    " numbers BLOB NOT NULL, pattern INTEGER, batch INTEGER,"
    " state INTEGER NOT NULL CHECK (state BETWEEN 0 AND 2), record TEXT) STRICT;"
    "CREATE INDEX entry_undone ON entry (id) WHERE state = 1;";

/* 12: what was moved out of these is elsewhere. */
static const char step_leftovers[] =
    "DROP TABLE entry_text; DROP TABLE past_row; DROP TABLE work_past; DROP TABLE work;";

/* 13: clean blends wanted. */
static const char step_blends[] =
    "ALTER TABLE pattern ADD COLUMN clean_blends INTEGER CHECK (clean_blends = 1);";

/* 14: how hot cups were, minute by minute; what fills of a mold left over. */
static const char step_heat[] =
    "CREATE TABLE heat ("
    " id INTEGER PRIMARY KEY, cup INTEGER NOT NULL REFERENCES cup ON DELETE CASCADE, temperature_f REAL,"
    " minute INTEGER NOT NULL CHECK (minute >= 0), reheat INTEGER NOT NULL CHECK (reheat IN (0, 1)),"
    " noted TEXT NOT NULL, CHECK (reheat OR temperature_f IS NOT NULL)) STRICT;"
    "CREATE INDEX heat_of_cup ON heat (cup);"
    "CREATE TABLE fill_record ("
    " id INTEGER PRIMARY KEY, mold INTEGER NOT NULL REFERENCES mold ON DELETE CASCADE,"
    " filled_ml REAL NOT NULL, left_ml REAL NOT NULL CHECK (left_ml >= 0 AND left_ml < filled_ml),"
    " fills INTEGER NOT NULL CHECK (fills > 0), noted TEXT NOT NULL) STRICT;"
    "CREATE INDEX fill_record_of_mold ON fill_record (mold);";

/* 15: patterns that are swirls, whose layers are colors without order; the share of a color, wanted and read. */
static const char step_swirls[] = "ALTER TABLE pattern ADD COLUMN swirl INTEGER CHECK (swirl = 1);"
                                  "ALTER TABLE layer ADD COLUMN share REAL CHECK (share BETWEEN 0 AND 1);"
                                  "ALTER TABLE reading ADD COLUMN share REAL CHECK (share BETWEEN 0 AND 1);"
                                  "ALTER TABLE reading ADD COLUMN share_doubt REAL CHECK (share_doubt >= 0);";

/* 16: how far colors travel with the angle, of a batch's baits, or without a batch of the target. */
static const char step_travels[] =
    "CREATE TABLE travel ("
    " id INTEGER PRIMARY KEY, layer INTEGER NOT NULL REFERENCES layer ON DELETE CASCADE,"
    " batch INTEGER REFERENCES batch ON DELETE CASCADE, bait INTEGER NOT NULL CHECK (bait >= 0),"
    " travels INTEGER NOT NULL CHECK (travels IN (0, 1)), de00 REAL NOT NULL CHECK (de00 >= 0),"
    " doubt REAL NOT NULL CHECK (doubt >= 0), hue REAL, hue_doubt REAL,"
    " p REAL NOT NULL CHECK (p BETWEEN 0 AND 1), detail" OBJECT ", taken TEXT NOT NULL) STRICT;"
    "CREATE INDEX travel_of_layer ON travel (layer, batch);"
    "CREATE INDEX travel_of_batch ON travel (batch) WHERE batch IS NOT NULL;";

const char *const dw__book_steps[] = {step_aims,   step_bottles, step_pours,   step_work,
                                      step_made,   step_journal, step_bench,   step_settings,
                                      step_molds,  step_natural, step_phrases, step_leftovers,
                                      step_blends, step_heat,    step_swirls,  step_travels};
/* A new step changes it: test_book_hostile says what it is then. */
const char dw__book_digest[] = "a9e7214b12ef1bdd1b75a14f4ae7f6a3015d6f2699d6d5c160c575e9155c4420";
const int dw__book_step_count = sizeof dw__book_steps / sizeof *dw__book_steps;
