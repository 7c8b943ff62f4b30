/* turn: one bait photographed from two or three sides, and how far its color travels. */
#include "app/cli/book.h"
#include "dropwise/batch_turn.h"
#include "dropwise/report_turn.h"

#include <stdlib.h>

static const cli_option options[] = {
    CLI_MARK_OPTIONS,
    {"--layers", "N",
     "how many layers the bait has, 1 to 4; default the fewest that one of its photos shows"},
    CLI_BACK_OPTION,
    {"--pattern", "NAME", "whose layers they are; their travel is compared with its target's"},
    {"--batch", "WHEN", "with --pattern: keep the travel of a bait of this batch"},
    {"--bait", "N", "which bait of the batch it is; default 1"},
    {"--target", NULL, "with --pattern: keep it as the travel that its layers are to have"},
    {"--against", "FILE",
     "what turn --json printed of the target's bait, or another batch's: the two are compared"},
    {NULL, NULL, NULL},
};

/* What is kept of it, and what it is held against. */
typedef struct turned {
  dw_pattern pattern; /* n 0: none is named */
  dw_batch batch;     /* id 0: the target's, or none */
  int bait;
  size_t kept; /* layers */
  dw_turn turn;
  dw_travel_against against[DW_READ_LAYERS_MAX];
  bool compared;
} turned;

static dw_status say(const cli_args *args, const turned *t, dw_error *err) {
  dw_text text = {0};
  const dw_travel_against *against = t->compared ? t->against : NULL;
  json_t *json = dw_json_turn(&t->turn, against);
  dw_text_turn(&t->turn, against, &args->style, &text);
  if (t->kept && t->batch.id)
    dw_text_add(&text, "\nKept: the travel of %zu layer%s, bait %d of batch %s of \"%s\".\n", t->kept,
                t->kept == 1 ? "" : "s", t->bait + 1, t->batch.name, t->pattern.name);
  else if (t->kept)
    dw_text_add(&text, "\nKept as the target's travel of %zu layer%s of \"%s\".\n", t->kept,
                t->kept == 1 ? "" : "s", t->pattern.name);
  if (t->kept)
    json = dw_json_with(json, "kept",
                        json_pack("{s:s, s:o, s:o, s:I}", "pattern", t->pattern.name, "batch",
                                  t->batch.id ? json_string(t->batch.name) : json_null(), "bait",
                                  t->batch.id ? json_integer(t->bait + 1) : json_null(), "layers",
                                  (json_int_t)t->kept));
  return cli_say(args, json, &text, err);
}

static bool to_keep(const cli_args *args) {
  return cli_has(args, "--batch") || cli_has(args, "--target");
}

static dw_status check_wish(const cli_args *args, dw_error *err) {
  if (to_keep(args) && !cli_has(args, "--pattern"))
    return dw_fail(err, DW_USAGE, "To keep a travel in the book give --pattern, too.");
  if (cli_has(args, "--batch") && cli_has(args, "--target"))
    return dw_fail(err, DW_USAGE, "A travel is kept with a batch or as the target's: --batch or --target.");
  if (cli_has(args, "--bait") && !cli_has(args, "--batch"))
    return dw_fail(err, DW_USAGE, "--bait says which bait of a batch it is; give --batch, too.");
  return cli_words(args, 1, DW_TURN_PHOTOS_MAX, "photos of one bait", err);
}

/* The pattern, and the batch where one is named: to be known before any photo is read. */
static dw_status find_in_book(const cli_args *args, turned *out, dw_error *err) {
  const char *name = cli_value(args, "--pattern"), *batch = cli_value(args, "--batch");
  dw_book *book = NULL;
  dw_status status = cli_bait_of(args, 0, 1, &out->bait, err);
  if (status != DW_OK || !name) return status;
  status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_pattern_find(book, name, &out->pattern, err);
  if (status == DW_OK && batch) status = dw_batch_find(book, out->pattern.id, batch, &out->batch, err);
  dw_book_close(book);
  if (status == DW_OK && out->pattern.swirl)
    status = dw_fail(err, DW_USAGE, "\"%s\" is a swirl: turn reads layers, which a swirl has none of.",
                     out->pattern.name);
  return status;
}

static dw_status read_photos(const cli_args *args, turned *out, dw_error *err) {
  dw_find_wish wish;
  dw_marks *marks = NULL;
  bool searched = false;
  dw_status status = cli_searched(args, &searched, err);
  if (status == DW_OK)
    status = cli_find_wish(args, searched && out->pattern.n ? &out->pattern : NULL, &wish, err);
  if (status == DW_OK) status = cli_marks_all(args, &marks, err);
  if (status == DW_OK) status = dw_turn_read(args->word, args->n_words, marks, &wish, &out->turn, err);
  free(marks);
  return status;
}

/* With a file, or with the target's in the book, as it was before. */
static dw_status compare(const cli_args *args, dw_book *book, turned *out, dw_error *err) {
  const char *file = cli_value(args, "--against");
  dw_status status = DW_OK;
  if (file)
    status = dw_turn_against(&out->turn, cli_input(file), out->against, err);
  else if (book)
    status = dw_turn_against_target(book, &out->pattern, &out->turn, out->against, err);
  for (size_t i = 0; i < out->turn.n; i++) out->compared = out->compared || file || *out->against[i].words;
  return status;
}

static dw_status keep(const cli_args *args, turned *out, dw_error *err) {
  dw_book *book = NULL;
  dw_status status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = compare(args, book, out, err);
  if (status == DW_OK)
    status = dw_keep_turn(book, &out->pattern, out->batch.id, out->bait, &out->turn, &out->kept, err);
  return cli_book_keep(args, "The travel was kept", book, status, err);
}

static dw_status look(const cli_args *args, turned *out, dw_error *err) {
  dw_book *book = NULL;
  dw_status status = out->pattern.n ? cli_book_read(args, &book, err) : DW_OK;
  if (status == DW_OK) status = compare(args, book, out, err);
  dw_book_close(book);
  return status;
}

static dw_status run(const cli_args *args, dw_error *err) {
  turned *t = calloc(1, sizeof *t);
  dw_status status = t ? check_wish(args, err) : dw_fail_memory(err, "the readings");
  if (status == DW_OK) status = find_in_book(args, t, err);
  if (status == DW_OK) status = read_photos(args, t, err);
  if (status == DW_OK) status = to_keep(args) ? keep(args, t, err) : look(args, t, err);
  if (status == DW_OK) status = say(args, t, err);
  free(t);
  return status;
}

const cli_command cli_turn = {
    .name = "turn",
    .summary = "how far a pearl's color travels, from two or three photos of one bait turned in the light",
    .usage = "PHOTO PHOTO [PHOTO] [--layers N] [--marks FILE...] [--against FILE] [--pattern NAME --batch "
             "WHEN|--target]",
    .about = "One bait and the card on a board, under one lamp: a photo with the lamp nearly mirrored in the "
             "bait, one "
             "with\n"
             "the board turned until the lamp shines from far aside, and one between if you like. The camera "
             "stays.\n"
             "A plain bait, too, looks lighter or glossier from one side; a layer is said to travel only "
             "where light, "
             "gloss\n"
             "and the photos' own doubt would make as much once in a hundred times. One photo alone gives no "
             "verdict.\n"
             "With --pattern and --batch, or --target, the book keeps the travel; drift compares it with the "
             "target's and\n"
             "with the batch before.",
    .example = "dropwise turn near.jpg aside.jpg",
    .options = options,
    .run = run,
};
