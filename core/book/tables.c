#include "book/tables.h"

#include "book/bottles.h"
#include "book/sql.h"
#include "pourtone/book_aims.h"
#include "pourtone/book_pours.h"

#define COUNT(list) (sizeof(list) / sizeof *(list))
enum { PATH_ROOM = 4096, SHAPE_ROOM = 40 * 512, TAKEN_ROOM = 24, ADDITIONS_MAX = 1000000 };

// clang-format off
#define KIND(title, its_kind) {.name = title, .kind = its_kind}
#define LACK(title, its_kind) {.name = title, .kind = its_kind, .may_lack = true}
#define TEXT(title, its_room) {.name = title, .kind = PT__TEXT, .room = its_room}
#define NAME(title, its_room) {.name = title, .kind = PT__NAME, .room = its_room}
#define ROW(title, its_table) {.name = title, .kind = PT__ROW, .table = its_table}
#define ROW_OR_NONE(title, its_table) {.name = title, .kind = PT__ROW, .may_lack = true, .table = its_table}
#define WHOLE(title, least, most) {.name = title, .kind = PT__WHOLE, .min = least, .max = most}
#define REAL(title, least, most) {.name = title, .kind = PT__REAL, .min = least, .max = most}
#define LACK_WHOLE(title, least, most) {.name = title, .kind = PT__WHOLE, .may_lack = true, .min = least, .max = most}
#define LACK_REAL(title, least, most) {.name = title, .kind = PT__REAL, .may_lack = true, .min = least, .max = most}
#define LAB REAL("l", 0, 110), REAL("a", -200, 200), REAL("b", -200, 200)
// clang-format on

static const pt__column photo[] = {
    KIND("sha256", PT__HASH),  TEXT("path", PATH_ROOM), WHOLE("width", 1, 1e6),    WHOLE("height", 1, 1e6),
    TEXT("taken", TAKEN_ROOM), KIND("added", PT__TIME), LACK("preview", PT__BYTES)};
static const pt__column pattern[] = {NAME("name", PT_PATTERN_NAME_ROOM), KIND("note", PT__NOTE),
                                     KIND("created", PT__TIME)};
static const pt__column layer[] = {ROW("pattern", "pattern"), WHOLE("position", 0, PT_PATTERN_LAYERS_MAX - 1),
                                   NAME("name", PT_ID_ROOM), LACK_REAL("see_through", 0, 1)};
static const pt__column target[] = {ROW("layer", "layer"),         LAB,
                                    REAL("uncertainty", 0, 100),   NAME("how", 16),
                                    ROW_OR_NONE("photo", "photo"), KIND("detail", PT__OBJECT),
                                    KIND("created", PT__TIME)};
static const pt__column tone[] = {NAME("name", PT_TONE_NAME_ROOM), KIND("note", PT__NOTE),
                                  WHOLE("invented", 0, 1), KIND("created", PT__TIME)};
static const pt__column tone_color[] = {ROW("tone", "tone"), LAB, ROW_OR_NONE("photo", "photo"),
                                        KIND("detail", PT__OBJECT)};
static const pt__column bottle[] = {KIND("slug", PT__SLUG), NAME("title", PT_TITLE_ROOM), NAME("role", 16),
                                    REAL("drop_ml", PT__DROP_ML_MIN, PT__DROP_ML_MAX),
                                    LACK("removed", PT__TIME)};
static const pt__column lot[] = {ROW("bottle", "bottle"), NAME("name", PT_LOT_NAME_ROOM),
                                 KIND("opened", PT__TIME)};
static const pt__column chip[] = {REAL("thickness_mm", 0.1, PT_THICKNESS_MAX_MM),
                                  REAL("backing", 0, 1),
                                  LAB,
                                  WHOLE("clipped", 0, 1),
                                  REAL("deviation", 0, 1000),
                                  ROW_OR_NONE("photo", "photo"),
                                  KIND("added", PT__TIME)};
static const pt__column chip_part[] = {ROW("chip", "chip"), ROW("lot", "lot"),
                                       REAL("loading", 0, PT_AMOUNT_MAX)};
static const pt__column fit[] = {KIND("shelf", PT__OBJECT), KIND("report", PT__OBJECT),
                                 KIND("created", PT__TIME)};
static const pt__column fit_bottle[] = {ROW("fit", "fit"), ROW("bottle", "bottle")};
static const pt__column strength[] = {ROW("lot", "lot"),           ROW_OR_NONE("fit", "fit"),
                                      REAL("strength", 1e-3, 1e3), REAL("deviation", 0, 10),
                                      KIND("words", PT__NOTE),     KIND("learned", PT__TIME)};
static const pt__column batch[] = {ROW("pattern", "pattern"), NAME("name", PT_BATCH_NAME_ROOM),
                                   KIND("poured", PT__TIME),  WHOLE("good", 0, 1),
                                   KIND("note", PT__NOTE),    LACK_REAL("blend_mm", 0, 1000)};
static const pt__column cup[] = {
    ROW("batch", "batch"), ROW("layer", "layer"), REAL("volume_floz", 0.01, PT_VOLUME_MAX_FLOZ),
    REAL("capacity_floz", 0.01, PT_VOLUME_MAX_FLOZ), LACK_REAL("temperature_f", -100, 1000)};
static const pt__column addition[] = {ROW("cup", "cup"),
                                      WHOLE("position", 0, ADDITIONS_MAX),
                                      ROW_OR_NONE("lot", "lot"),
                                      REAL("drops", 0, PT_AMOUNT_MAX),
                                      REAL("clear_floz", 0, PT_VOLUME_MAX_FLOZ),
                                      KIND("added", PT__TIME)};
static const pt__column pour[] = {ROW("cup", "cup"),
                                  WHOLE("additions", 0, ADDITIONS_MAX),
                                  REAL("thickness_mm", 0.05, PT_THICKNESS_MAX_MM),
                                  REAL("backing", 0, 1),
                                  LACK_REAL("predicted_l", -10, 200),
                                  LACK_REAL("predicted_a", -300, 300),
                                  LACK_REAL("predicted_b", -300, 300),
                                  KIND("poured", PT__TIME)};
static const pt__column look[] = {ROW("photo", "photo"), KIND("marks", PT__OBJECT), KIND("light", PT__OBJECT),
                                  KIND("looked", PT__TIME)};
static const pt__column reading[] = {ROW("batch", "batch"),
                                     ROW("layer", "layer"),
                                     ROW_OR_NONE("pour", "pour"),
                                     ROW_OR_NONE("look", "look"),
                                     WHOLE("bait", 0, 1e6),
                                     TEXT("shape", SHAPE_ROOM),
                                     LAB,
                                     REAL("uncertainty", 0, 1000),
                                     REAL("spread", 0, 1000),
                                     LACK_REAL("kept", 0, 1),
                                     LACK_REAL("gloss", 0, 1),
                                     LACK_REAL("flake", 0, 1),
                                     KIND("taken", PT__TIME),
                                     ROW_OR_NONE("replaces", "reading")};
static const pt__column work[] = {
    NAME("name", PT_PATTERN_NAME_ROOM), ROW("pattern", "pattern"),  ROW_OR_NONE("batch", "batch"),
    ROW_OR_NONE("photo", "photo"),      KIND("marks", PT__OBJECT),  KIND("cups", PT__ARRAY),
    KIND("slab", PT__OBJECT),           WHOLE("revision", 1, 1e15), KIND("updated", PT__TIME)};
static const pt__column work_past[] = {ROW("work", "work"),           NAME("name", PT_PATTERN_NAME_ROOM),
                                       ROW_OR_NONE("photo", "photo"), KIND("marks", PT__OBJECT),
                                       KIND("cups", PT__ARRAY),       KIND("slab", PT__OBJECT)};

static const pt__column past_row[] = {ROW("past", "work_past"),          ROW_OR_NONE("batch", "batch"),
                                      ROW_OR_NONE("cup", "cup"),         ROW_OR_NONE("addition", "addition"),
                                      ROW_OR_NONE("pour", "pour"),       ROW_OR_NONE("look", "look"),
                                      ROW_OR_NONE("reading", "reading"), ROW_OR_NONE("strength", "strength"),
                                      LACK_WHOLE("good", 0, 1),          LACK("note", PT__NOTE)};

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
