#include "book/tables.h"

#include "book/sql.h"
#include "pourtone/book_aims.h"
#include "pourtone/book_pours.h"

#define COUNT(list) (sizeof(list) / sizeof *(list))
enum { PATH_ROOM = 4096, SHAPE_ROOM = 40 * 512, TAKEN_ROOM = 24 };

// clang-format off
#define KIND(title, its_kind) {.name = title, .kind = its_kind}
#define LACK(title, its_kind) {.name = title, .kind = its_kind, .may_lack = true}
#define TEXT(title, its_room) {.name = title, .kind = PT__TEXT, .room = its_room}
#define NAME(title, its_room) {.name = title, .kind = PT__NAME, .room = its_room}
#define ROW(title, its_table) {.name = title, .kind = PT__ROW, .table = its_table}
#define ROW_OR_NONE(title, its_table) {.name = title, .kind = PT__ROW, .may_lack = true, .table = its_table}
#define LAB KIND("l", PT__REAL), KIND("a", PT__REAL), KIND("b", PT__REAL)
// clang-format on

static const pt__column photo[] = {
    KIND("sha256", PT__HASH),  TEXT("path", PATH_ROOM), KIND("width", PT__WHOLE),  KIND("height", PT__WHOLE),
    TEXT("taken", TAKEN_ROOM), KIND("added", PT__TIME), LACK("preview", PT__BYTES)};
static const pt__column pattern[] = {NAME("name", PT_PATTERN_NAME_ROOM), KIND("note", PT__NOTE),
                                     KIND("created", PT__TIME)};
static const pt__column layer[] = {ROW("pattern", "pattern"), KIND("position", PT__WHOLE),
                                   NAME("name", PT_ID_ROOM), LACK("see_through", PT__REAL)};
static const pt__column target[] = {ROW("layer", "layer"),         LAB,
                                    KIND("uncertainty", PT__REAL), NAME("how", 16),
                                    ROW_OR_NONE("photo", "photo"), KIND("detail", PT__OBJECT),
                                    KIND("created", PT__TIME)};
static const pt__column tone[] = {NAME("name", PT_TONE_NAME_ROOM), KIND("note", PT__NOTE),
                                  KIND("invented", PT__WHOLE), KIND("created", PT__TIME)};
static const pt__column tone_color[] = {ROW("tone", "tone"), LAB, ROW_OR_NONE("photo", "photo"),
                                        KIND("detail", PT__OBJECT)};
static const pt__column bottle[] = {KIND("slug", PT__SLUG), NAME("title", PT_TITLE_ROOM), NAME("role", 16),
                                    KIND("drop_ml", PT__REAL), LACK("removed", PT__TIME)};
static const pt__column lot[] = {ROW("bottle", "bottle"), NAME("name", PT_LOT_NAME_ROOM),
                                 KIND("opened", PT__TIME)};
static const pt__column chip[] = {
    KIND("thickness_mm", PT__REAL), KIND("backing", PT__REAL),   LAB,
    KIND("clipped", PT__WHOLE),     KIND("deviation", PT__REAL), ROW_OR_NONE("photo", "photo"),
    KIND("added", PT__TIME)};
static const pt__column chip_part[] = {ROW("chip", "chip"), ROW("lot", "lot"), KIND("loading", PT__REAL)};
static const pt__column fit[] = {KIND("shelf", PT__OBJECT), KIND("report", PT__OBJECT),
                                 KIND("created", PT__TIME)};
static const pt__column fit_bottle[] = {ROW("fit", "fit"), ROW("bottle", "bottle")};
static const pt__column strength[] = {ROW("lot", "lot"),          ROW_OR_NONE("fit", "fit"),
                                      KIND("strength", PT__REAL), KIND("deviation", PT__REAL),
                                      KIND("words", PT__NOTE),    KIND("learned", PT__TIME)};
static const pt__column batch[] = {ROW("pattern", "pattern"), NAME("name", PT_BATCH_NAME_ROOM),
                                   KIND("poured", PT__TIME),  KIND("good", PT__WHOLE),
                                   KIND("note", PT__NOTE),    LACK("blend_mm", PT__REAL)};
static const pt__column cup[] = {ROW("batch", "batch"), ROW("layer", "layer"), KIND("volume_floz", PT__REAL),
                                 KIND("capacity_floz", PT__REAL), LACK("temperature_f", PT__REAL)};
static const pt__column addition[] = {
    ROW("cup", "cup"),       KIND("position", PT__WHOLE),  ROW_OR_NONE("lot", "lot"),
    KIND("drops", PT__REAL), KIND("clear_floz", PT__REAL), KIND("added", PT__TIME)};
static const pt__column pour[] = {ROW("cup", "cup"),
                                  KIND("additions", PT__WHOLE),
                                  KIND("thickness_mm", PT__REAL),
                                  KIND("backing", PT__REAL),
                                  LACK("predicted_l", PT__REAL),
                                  LACK("predicted_a", PT__REAL),
                                  LACK("predicted_b", PT__REAL),
                                  KIND("poured", PT__TIME)};
static const pt__column look[] = {ROW("photo", "photo"), KIND("marks", PT__OBJECT), KIND("light", PT__OBJECT),
                                  KIND("looked", PT__TIME)};
static const pt__column reading[] = {ROW("batch", "batch"),
                                     ROW("layer", "layer"),
                                     ROW_OR_NONE("pour", "pour"),
                                     ROW_OR_NONE("look", "look"),
                                     KIND("bait", PT__WHOLE),
                                     TEXT("shape", SHAPE_ROOM),
                                     LAB,
                                     KIND("uncertainty", PT__REAL),
                                     KIND("spread", PT__REAL),
                                     LACK("kept", PT__REAL),
                                     LACK("gloss", PT__REAL),
                                     LACK("flake", PT__REAL),
                                     KIND("taken", PT__TIME),
                                     ROW_OR_NONE("replaces", "reading")};
static const pt__column work[] = {
    NAME("name", PT_PATTERN_NAME_ROOM), ROW("pattern", "pattern"),   ROW_OR_NONE("batch", "batch"),
    ROW_OR_NONE("photo", "photo"),      KIND("marks", PT__OBJECT),   KIND("cups", PT__ARRAY),
    KIND("slab", PT__OBJECT),           KIND("revision", PT__WHOLE), KIND("updated", PT__TIME)};
static const pt__column work_past[] = {ROW("work", "work"),           NAME("name", PT_PATTERN_NAME_ROOM),
                                       ROW_OR_NONE("photo", "photo"), KIND("marks", PT__OBJECT),
                                       KIND("cups", PT__ARRAY),       KIND("slab", PT__OBJECT)};

static const pt__column past_row[] = {ROW("past", "work_past"),          ROW_OR_NONE("batch", "batch"),
                                      ROW_OR_NONE("cup", "cup"),         ROW_OR_NONE("addition", "addition"),
                                      ROW_OR_NONE("pour", "pour"),       ROW_OR_NONE("look", "look"),
                                      ROW_OR_NONE("reading", "reading"), ROW_OR_NONE("strength", "strength"),
                                      LACK("good", PT__WHOLE),           LACK("note", PT__NOTE)};

#define TABLE(name, title) #name, title, name, COUNT(name)

const pt__table pt__tables[] = {
    {TABLE(photo, "photos"), PT__CLASH_SHARE, {"sha256"}, false, 1},
    {TABLE(pattern, "patterns"), PT__CLASH_REFUSE, {"name"}, false, 1},
    {TABLE(layer, "layers"), PT__CLASH_NONE, {NULL}, false, 1},
    {TABLE(target, "targets"), PT__CLASH_NONE, {NULL}, false, 1},
    {TABLE(tone, "tones"), PT__CLASH_REFUSE, {"name"}, false, 1},
    {TABLE(tone_color, "tone_colors"), PT__CLASH_NONE, {NULL}, false, 1},
    {TABLE(bottle, "bottles"), PT__CLASH_SHARE, {"slug"}, false, 2},
    {TABLE(lot, "lots"), PT__CLASH_SHARE, {"bottle", "name"}, false, 2},
    {TABLE(chip, "chips"), PT__CLASH_NONE, {NULL}, false, 2},
    {TABLE(chip_part, "chip_parts"), PT__CLASH_NONE, {NULL}, false, 2},
    {TABLE(fit, "fits"), PT__CLASH_NONE, {NULL}, true, 2},
    {TABLE(fit_bottle, "fit_bottles"), PT__CLASH_NONE, {NULL}, true, 2},
    {TABLE(strength, "strengths"), PT__CLASH_NONE, {NULL}, true, 2},
    {TABLE(batch, "batches"), PT__CLASH_NONE, {NULL}, false, 3},
    {TABLE(cup, "cups"), PT__CLASH_NONE, {NULL}, false, 3},
    {TABLE(addition, "additions"), PT__CLASH_NONE, {NULL}, false, 3},
    {TABLE(pour, "pours"), PT__CLASH_NONE, {NULL}, false, 3},
    {TABLE(look, "looks"), PT__CLASH_NONE, {NULL}, false, 3},
    {TABLE(reading, "readings"), PT__CLASH_NONE, {NULL}, false, 3},
    {TABLE(work, "works"), PT__CLASH_NONE, {NULL}, false, 4},
    {TABLE(work_past, "work_pasts"), PT__CLASH_NONE, {NULL}, false, 4},
    {TABLE(past_row, "past_rows"), PT__CLASH_NONE, {NULL}, false, 5},
};
const size_t pt__table_count = COUNT(pt__tables);
