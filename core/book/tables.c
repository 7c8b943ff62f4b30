#include "book/tables.h"

#include "book/bottles.h"
#include "book/entries.h"
#include "book/heat.h"
#include "book/schema.h"
#include "dropwise/book_aims.h"
#include "dropwise/book_heat.h"
#include "dropwise/book_journal.h"
#include "dropwise/book_pours.h"
#include "dropwise/book_settings.h"
#include "dropwise/plan.h"

#define COUNT(list) (sizeof(list) / sizeof *(list))
enum { PATH_ROOM = 4096, SHAPE_ROOM = 40 * 512, TAKEN_ROOM = 24, ADDITIONS_MAX = 1000000 };

// clang-format off
#define KIND(title, its_kind) {.name = title, .kind = its_kind}
#define LACK(title, its_kind) {.name = title, .kind = its_kind, .may_lack = true}
#define TEXT(title, its_room) {.name = title, .kind = DW__TEXT, .room = its_room}
#define NAME(title, its_room) {.name = title, .kind = DW__NAME, .room = its_room}
#define ROW(title, its_table) {.name = title, .kind = DW__ROW, .table = its_table}
#define ROW_OR_NONE(title, its_table) {.name = title, .kind = DW__ROW, .may_lack = true, .table = its_table}
#define WHOLE(title, least, most) {.name = title, .kind = DW__WHOLE, .min = least, .max = most}
#define REAL(title, least, most) {.name = title, .kind = DW__REAL, .min = least, .max = most}
#define LACK_WHOLE(title, least, most) {.name = title, .kind = DW__WHOLE, .may_lack = true, .min = least, .max = most}
#define LACK_REAL(title, least, most) {.name = title, .kind = DW__REAL, .may_lack = true, .min = least, .max = most}
#define LATER(its_since, ...) {.since = its_since, .may_lack = true, __VA_ARGS__}
#define LAB REAL("l", 0, 110), REAL("a", -200, 200), REAL("b", -200, 200)
// clang-format on

static const dw__column photo[] = {
    KIND("sha256", DW__HASH),  TEXT("path", PATH_ROOM), WHOLE("width", 1, 1e6),    WHOLE("height", 1, 1e6),
    TEXT("taken", TAKEN_ROOM), KIND("added", DW__TIME), LACK("preview", DW__BYTES)};
static const dw__column pattern[] = {
    NAME("name", DW_PATTERN_NAME_ROOM),
    KIND("note", DW__NOTE),
    KIND("created", DW__TIME),
    LATER(10, .name = "unwanted", .kind = DW__TEXT, .room = DW_UNWANTED_ROOM),
    LATER(13, .name = "clean_blends", .kind = DW__WHOLE, .min = 1, .max = 1),
    LATER(15, .name = "swirl", .kind = DW__WHOLE, .min = 1, .max = 1)};
static const dw__column layer[] = {ROW("pattern", "pattern"),
                                   WHOLE("position", 0, DW_PATTERN_LAYERS_MAX - 1),
                                   NAME("name", DW_ID_ROOM),
                                   LACK_REAL("see_through", 0, 1),
                                   LATER(10, .name = "tone", .kind = DW__ROW, .table = "tone"),
                                   LATER(15, .name = "share", .kind = DW__REAL, .min = 0, .max = 1)};
static const dw__column target[] = {ROW("layer", "layer"),         LAB,
                                    REAL("uncertainty", 0, 100),   NAME("how", 16),
                                    ROW_OR_NONE("photo", "photo"), KIND("detail", DW__OBJECT),
                                    KIND("created", DW__TIME)};
static const dw__column tone[] = {NAME("name", DW_TONE_NAME_ROOM), KIND("note", DW__NOTE),
                                  WHOLE("invented", 0, 1), KIND("created", DW__TIME)};
static const dw__column tone_color[] = {ROW("tone", "tone"), LAB, ROW_OR_NONE("photo", "photo"),
                                        KIND("detail", DW__OBJECT)};
static const dw__column bottle[] = {KIND("slug", DW__SLUG),
                                    NAME("title", DW_TITLE_ROOM),
                                    NAME("role", 16),
                                    REAL("drop_ml", DW_DROP_ML_MIN, DW_DROP_ML_MAX),
                                    LACK("removed", DW__TIME),
                                    LATER(10, .name = "look", .kind = DW__SLUG),
                                    LATER(10, .name = "starter", .kind = DW__WHOLE, .min = 1, .max = 1)};
static const dw__column lot[] = {ROW("bottle", "bottle"), NAME("name", DW_LOT_NAME_ROOM),
                                 KIND("opened", DW__TIME)};
static const dw__column chip[] = {REAL("thickness_mm", 0.1, DW_THICKNESS_MAX_MM),
                                  REAL("backing", 0, 1),
                                  LAB,
                                  WHOLE("clipped", 0, 1),
                                  REAL("deviation", 0, 1000),
                                  ROW_OR_NONE("photo", "photo"),
                                  KIND("added", DW__TIME)};
static const dw__column chip_part[] = {ROW("chip", "chip"), ROW("lot", "lot"),
                                       REAL("loading", 0, DW_AMOUNT_MAX)};
static const dw__column fit[] = {KIND("shelf", DW__OBJECT), KIND("report", DW__OBJECT),
                                 KIND("created", DW__TIME)};
static const dw__column fit_bottle[] = {ROW("fit", "fit"), ROW("bottle", "bottle")};
static const dw__column strength[] = {ROW("lot", "lot"),           ROW_OR_NONE("fit", "fit"),
                                      REAL("strength", 1e-3, 1e3), REAL("deviation", 0, 10),
                                      KIND("words", DW__NOTE),     KIND("learned", DW__TIME)};
static const dw__column batch[] = {ROW("pattern", "pattern"), NAME("name", DW_BATCH_NAME_ROOM),
                                   KIND("poured", DW__TIME),  WHOLE("good", 0, 1),
                                   KIND("note", DW__NOTE),    LACK_REAL("blend_mm", 0, 1000)};
static const dw__column cup[] = {ROW("batch", "batch"), ROW("layer", "layer"),
                                 REAL("volume_floz", 0.01, DW_VOLUME_MAX_FLOZ),
                                 REAL("capacity_floz", 0.01, DW_VOLUME_MAX_FLOZ),
                                 LACK_REAL("temperature_f", DW__HEAT_LEAST_F, DW__HEAT_MOST_F)};
static const dw__column heat[] = {
    ROW("cup", "cup"), LACK_REAL("temperature_f", DW__HEAT_LEAST_F, DW__HEAT_MOST_F),
    WHOLE("minute", 0, DW_HEAT_MINUTE_MAX), WHOLE("reheat", 0, 1), KIND("noted", DW__TIME)};
static const dw__column addition[] = {ROW("cup", "cup"),
                                      WHOLE("position", 0, ADDITIONS_MAX),
                                      ROW_OR_NONE("lot", "lot"),
                                      REAL("drops", 0, DW_AMOUNT_MAX),
                                      REAL("clear_floz", 0, DW_VOLUME_MAX_FLOZ),
                                      KIND("added", DW__TIME)};
static const dw__column pour[] = {ROW("cup", "cup"),
                                  WHOLE("additions", 0, ADDITIONS_MAX),
                                  REAL("thickness_mm", 0.05, DW_THICKNESS_MAX_MM),
                                  REAL("backing", 0, 1),
                                  LACK_REAL("predicted_l", -10, 200),
                                  LACK_REAL("predicted_a", -300, 300),
                                  LACK_REAL("predicted_b", -300, 300),
                                  KIND("poured", DW__TIME)};
static const dw__column look[] = {ROW("photo", "photo"), KIND("marks", DW__OBJECT), KIND("light", DW__OBJECT),
                                  KIND("looked", DW__TIME)};
static const dw__column reading[] = {ROW("batch", "batch"),
                                     ROW("layer", "layer"),
                                     ROW_OR_NONE("pour", "pour"),
                                     ROW_OR_NONE("look", "look"),
                                     WHOLE("bait", 0, DW_BAIT_ELSEWHERE),
                                     TEXT("shape", SHAPE_ROOM),
                                     LAB,
                                     REAL("uncertainty", 0, 1000),
                                     REAL("spread", 0, 1000),
                                     LACK_REAL("kept", 0, 1),
                                     LACK_REAL("gloss", 0, 1),
                                     LACK_REAL("flake", 0, 1),
                                     KIND("taken", DW__TIME),
                                     ROW_OR_NONE("replaces", "reading"),
                                     LATER(15, .name = "share", .kind = DW__REAL, .min = 0, .max = 1),
                                     LATER(15, .name = "share_doubt", .kind = DW__REAL, .min = 0, .max = 1)};
static const dw__column travel[] = {
    ROW("layer", "layer"),       ROW_OR_NONE("batch", "batch"),   WHOLE("bait", 0, DW_BAIT_ELSEWHERE),
    WHOLE("travels", 0, 1),      REAL("de00", 0, 1000),           REAL("doubt", 0, 1000),
    LACK_REAL("hue", -180, 180), LACK_REAL("hue_doubt", 0, 1000), REAL("p", 0, 1),
    KIND("detail", DW__OBJECT),  KIND("taken", DW__TIME)};
static const dw__column work[] = {
    NAME("name", DW_PATTERN_NAME_ROOM), ROW("pattern", "pattern"),  ROW_OR_NONE("batch", "batch"),
    ROW_OR_NONE("photo", "photo"),      KIND("marks", DW__OBJECT),  KIND("cups", DW__ARRAY),
    KIND("slab", DW__OBJECT),           WHOLE("revision", 1, 1e15), KIND("updated", DW__TIME)};

static const dw__column bench[] = {NAME("name", DW_PATTERN_NAME_ROOM), ROW("pattern", "pattern"),
                                   ROW_OR_NONE("batch", "batch"),      ROW_OR_NONE("photo", "photo"),
                                   KIND("marks", DW__OBJECT),          KIND("slab", DW__OBJECT),
                                   KIND("updated", DW__TIME)};
static const dw__column entry[] = {KIND("made", DW__TIME),
                                   NAME("door", 16),
                                   NAME("kind", 16),
                                   NAME("words", DW_ENTRY_WORDS_ROOM),
                                   LACK_WHOLE("pattern", 1, 1e15),
                                   LACK_WHOLE("batch", 1, 1e15),
                                   WHOLE("state", 0, 2),
                                   KIND("record", DW__OBJECT)};

static const dw__column setting[] = {NAME("name", DW_SETTING_ROOM), NAME("value", DW_SETTING_ROOM)};

static const dw__column mold[] = {NAME("name", DW_ID_ROOM),
                                  WHOLE("cavities", 1, DW_MOLD_CAVITIES_MAX),
                                  REAL("bait_ml", 1e-6, DW_MOLD_VOLUME_MAX_ML),
                                  REAL("runner_ml", 0, DW_MOLD_VOLUME_MAX_ML),
                                  NAME("sprue", 8),
                                  NAME("back", 8)};

static const dw__column fill_record[] = {ROW("mold", "mold"), REAL("filled_ml", 1e-6, DW_MOLD_FILLED_MAX_ML),
                                         REAL("left_ml", 0, DW_MOLD_FILLED_MAX_ML),
                                         WHOLE("fills", 1, DW_PLAN_FILLS_MAX), KIND("noted", DW__TIME)};

#define TABLE(its_name, its_title)                                                                           \
  .name = #its_name, .title = its_title, .column = its_name, .n = COUNT(its_name)

const dw__table dw__tables[] = {
    {TABLE(photo, "photos"), .clash = DW__CLASH_SHARE, .match = {"sha256"}, .since = 1},
    {TABLE(pattern, "patterns"), .clash = DW__CLASH_REFUSE, .match = {"name"}, .since = 1},
    {TABLE(tone, "tones"), .clash = DW__CLASH_REFUSE, .match = {"name"}, .since = 1},
    {TABLE(tone_color, "tone_colors"), .since = 1},
    {TABLE(layer, "layers"), .since = 1},
    {TABLE(target, "targets"), .since = 1},
    {TABLE(bottle, "bottles"), .clash = DW__CLASH_SHARE, .match = {"slug"}, .since = 2},
    {TABLE(lot, "lots"), .clash = DW__CLASH_SHARE, .match = {"bottle", "name"}, .since = 2},
    {TABLE(chip, "chips"), .since = 2},
    {TABLE(chip_part, "chip_parts"), .since = 2},
    {TABLE(fit, "fits"), .of_fit = true, .since = 2},
    {TABLE(fit_bottle, "fit_bottles"), .of_fit = true, .since = 2},
    {TABLE(strength, "strengths"), .of_fit = true, .since = 2},
    {TABLE(batch, "batches"), .since = 3},
    {TABLE(cup, "cups"), .since = 3},
    {TABLE(heat, "heats"), .since = DW__BOOK_HEAT_STEP},
    {TABLE(addition, "additions"), .since = 3},
    {TABLE(pour, "pours"), .since = 3},
    {TABLE(look, "looks"), .since = 3},
    {TABLE(reading, "readings"), .since = 3},
    {TABLE(travel, "travels"), .since = 16},
    {TABLE(work, "works"), .since = 4, .moved = DW__BOOK_BENCH_STEP, .until = DW__BOOK_LEFTOVERS_STEP,
     .aside = "work"},
    {"work_past", "work_pasts", .since = 4, .moved = 4, .until = DW__BOOK_LEFTOVERS_STEP},
    {"past_row", "past_rows", .since = 5, .moved = 5, .until = DW__BOOK_LEFTOVERS_STEP},
    {TABLE(bench, "benches"), .since = 7},
    {TABLE(setting, "settings"), .clash = DW__CLASH_SHARE, .match = {"name"}, .since = 8},
    {TABLE(mold, "molds"), .clash = DW__CLASH_SHARE, .match = {"name"}, .since = 9},
    {TABLE(fill_record, "fill_records"), .clash = DW__CLASH_SHARE,
     .match = {"mold", "filled_ml", "left_ml", "noted"}, .since = DW__BOOK_HEAT_STEP},
    {TABLE(entry, "entries"), .since = 6, .rows = DW__ENTRY_ROWS, .aside = "entry_text", .journal = true},
};
const size_t dw__table_count = COUNT(dw__tables);
_Static_assert(COUNT(dw__tables) <= DW__TABLES_MAX, "an import has room for every table");

bool dw__table_watched(const dw__table *table) {
  return !table->journal && !table->until;
}
