#include "app/cli/bottle.h"
#include "dropwise/report_bottle.h"

#include <stdlib.h>
#include <string.h>

static const cli_option options[] = {
    {"--title", "TEXT", "add: what a person reads; default the name"},
    {"--role", "ROLE", "add: color (default), brown, white, black, or effect (pearl, color shift)"},
    {"--per-ml", "N", "add, drop: how many drops make one ml; default 20"},
    {"--like", "BOTTLE", "add: until it has chips it looks like that one of the starter shelf"},
    {"--html", "FILE", "show: write it as one HTML file"},
    {"--keep-chips", NULL, "remove: leave its chips in the book"},
    {"--all", NULL, "list: removed ones too"},
    {"--row", "CHIPS",
     "chips: a row of a sheet in which no chip is marked, from the top: a bottle and its loadings, left to "
     "right "
     "(orange=0.5,2,8), or recipes (orange=4;brown=2/clear)"},
    {"--thickness", "MM", "chips: of chips whose marks don't say; default 3; correct: of the chip"},
    {"--recipe", "RECIPE", "chips correct: drops per fl oz in it, as in orange=2,brown=1"},
    {"--over", "BACKING", "chips correct: black, white, gray, or a reflectance from 0 to 1"},
    {"--lab", "LAB", "chips correct: its color"},
    CLI_PHOTO_OPTIONS,
    {NULL, NULL, NULL},
};

/* ---- showing ------------------------------------------------------------------------------------------- */

/* As the shelf has it now; NULL where it can't be predicted. */
static const dw_bottle *on_shelf(const dw_shelf *shelf, const char *slug) {
  int at = dw_shelf_find(shelf, slug);
  return at < 0 ? NULL : &shelf->bottle[at];
}

static json_t *bottle_json(const dw_book_bottle *b) {
  return json_pack("{s:s, s:s, s:s, s:o, s:o, s:b, s:b, s:{s:s, s:s}, s:I, s:I, s:I, s:o, s:o, s:s, s:b}",
                   "id", b->slug, "title", b->title, "role", dw_role_name(b->role), "drop_ml",
                   dw_json_round(b->drop_ml, 5), "drops_per_ml", dw_json_round(1 / b->drop_ml, 2), "fitted",
                   b->fitted, "removed", b->removed, "lot", "name", b->lot_name, "opened", b->lot_opened,
                   "lots", (json_int_t)b->lots, "chips", (json_int_t)b->chips, "pours", (json_int_t)b->pours,
                   "strength", dw_json_round(b->strength, 3), "strength_sd", dw_json_round(b->strength_sd, 3),
                   "learned", b->learned, "starter", b->starter);
}

static void bottle_text(const dw_book_bottle *b, const dw_shelf *shelf, dw_text *out) {
  const dw_bottle *now = on_shelf(shelf, b->slug);
  dw_text_add(out, "%-14s %s%s; %s, %.3g drops a ml, lot %s, %zu chip%s, %zu pour%s%s%s\n", b->slug, b->title,
              now ? dw_bottle_mark(now) : "", dw_role_name(b->role), 1 / b->drop_ml, b->lot_name, b->chips,
              b->chips == 1 ? "" : "s", b->pours, b->pours == 1 ? "" : "s", b->fitted ? ", fitted" : "",
              b->removed   ? ", removed"
              : b->starter ? ", of the starter shelf"
                           : "");
  if (*b->learned) dw_text_add(out, "               %s\n", b->learned);
}

/* The bottle of the first word; commits and closes the book.  kept  what stands in it then */
static dw_status keep_and_say(const cli_args *args, dw_book *book, dw_status status, const char *kept,
                              dw_error *err) {
  const char *slug = args->word[1];
  dw_book_bottle bottle;
  dw_shelf *shelf = NULL;
  dw_text text = {0};
  if (status == DW_OK) status = dw_book_bottle_find(book, slug, &bottle, err);
  if (status == DW_OK) status = dw_book_shelf(book, &shelf, NULL, err);
  status = cli_book_keep(args, kept, book, status, err);
  if (status == DW_OK) {
    bottle_text(&bottle, shelf, &text);
    status = cli_say(args, bottle_json(&bottle), &text, err);
  }
  dw_shelf_free(shelf);
  return status;
}

static void shelf_text(const dw_shelf *shelf, const dw_book_shelf_info *info, dw_text *out) {
  const char *warning = shelf ? dw_shelf_warning(shelf) : NULL;
  char lack[DW_NOTE_TEXT];
  if (warning) dw_text_add(out, "! %s\n", warning);
  if (info->unknown) dw_text_add(out, "! Can't be predicted, for want of chips: %s.\n", info->unknown_slugs);
  if (!shelf || !*shelf->lacking) return;
  dw_bottle_lack_words(shelf->lacking, false, lack, sizeof lack);
  dw_text_add(out, "! %s\n", lack);
}

static dw_status run_list(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_book_bottle *list = NULL;
  dw_shelf *shelf = NULL;
  dw_book_shelf_info info = {0};
  size_t n = 0;
  dw_text text = {0};
  json_t *array = json_array();
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_book_bottle_list(book, cli_has(args, "--all"), &list, &n, err);
  if (status == DW_OK) status = dw_book_shelf(book, &shelf, &info, err);
  for (size_t i = 0; i < n && status == DW_OK; i++) {
    array = dw_json_and(array, bottle_json(&list[i]));
    bottle_text(&list[i], shelf, &text);
  }
  if (n == 0)
    dw_text_add(&text, "The book holds no bottle yet; dropwise bottle add or bottle chips makes one.\n");
  shelf_text(shelf, &info, &text);
  free(list);
  dw_shelf_free(shelf);
  return cli_book_say(
      args, book, status,
      json_pack("{s:b, s:s, s:o}", "invented", info.invented, "fitted", info.fitted, "bottles", array), &text,
      err);
}

static void lots_text(const dw_book_lot *lots, size_t n, dw_text *out) {
  for (size_t i = 0; i < n; i++)
    dw_text_add(out, "  lot %-16s since %.10s, strength %.2f%s%s\n", lots[i].name, lots[i].opened,
                lots[i].strength, *lots[i].learned ? ": " : "", lots[i].learned);
}

static json_t *lots_json(const dw_book_lot *lots, size_t n) {
  json_t *array = json_array();
  for (size_t i = 0; i < n; i++)
    array = dw_json_and(array,
                        json_pack("{s:s, s:s, s:o, s:o, s:s}", "name", lots[i].name, "opened", lots[i].opened,
                                  "strength", dw_json_round(lots[i].strength, 3), "strength_sd",
                                  dw_json_round(lots[i].strength_sd, 3), "learned", lots[i].learned));
  return array;
}

static dw_status write_html(const cli_args *args, const dw_bottle_report *report, dw_error *err) {
  dw_text html = {0};
  dw_status status = dw_html_bottle(report, &html, err);
  return cli_text_file(cli_value(args, "--html"), status, &html, err);
}

static dw_status say_bottle(const cli_args *args, const dw_bottle_report *report, const dw_book_lot *lots,
                            size_t n, const dw_shelf *shelf, dw_error *err) {
  dw_text text = {0};
  dw_status status = cli_has(args, "--html") ? write_html(args, report, err) : DW_OK;
  if (status != DW_OK) return status;
  json_t *json = dw_json_bottle(bottle_json(report->kept), report);
  bottle_text(report->kept, shelf, &text);
  dw_text_bottle(report, &args->style, &text);
  lots_text(lots, n, &text);
  return cli_say(args, dw_json_with(json, "all_lots", lots_json(lots, n)), &text, err);
}

static dw_status run_show(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_book_bottle bottle;
  dw_book_lot *lots = NULL;
  dw_shelf *shelf = NULL;
  dw_bottle_look look;
  size_t n = 0;
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_book_bottle_find(book, args->word[1], &bottle, err);
  if (status == DW_OK) status = dw_book_lot_list(book, args->word[1], &lots, &n, err);
  if (status == DW_OK) status = dw_book_shelf(book, &shelf, NULL, err);
  status = cli_book_done(book, status, err);
  const dw_bottle *known = status == DW_OK ? on_shelf(shelf, bottle.slug) : NULL;
  if (known) status = dw_bottle_look_at(shelf, (size_t)(known - shelf->bottle), &look, err);
  const dw_bottle_report report = {&bottle, known, &look};
  if (status == DW_OK) status = say_bottle(args, &report, lots, n, shelf, err);
  free(lots);
  dw_shelf_free(shelf);
  return status;
}

/* ---- changing ------------------------------------------------------------------------------------------ */

static dw_status drop_size(const cli_args *args, double *drop_ml, dw_error *err) {
  double per_ml;
  dw_status status = cli_number(args, "--per-ml", 1 / DW_DROP_ML_MAX, 1 / DW_DROP_ML_MIN,
                                1 / DW_DROP_ML_DEFAULT, &per_ml, err);
  if (status == DW_OK) *drop_ml = 1 / per_ml;
  return status;
}

static dw_status run_add(const cli_args *args, dw_error *err) {
  const char *slug = args->word[1], *title = cli_value(args, "--title"),
             *role_text = cli_value(args, "--role"), *like = cli_value(args, "--like");
  dw_book *book = NULL;
  dw_role role = DW_ROLE_COLOR;
  double drop_ml;
  int64_t id;
  dw_status status = drop_size(args, &drop_ml, err);
  if (status == DW_OK && role_text && !dw_role_find(role_text, &role))
    status = dw_fail(err, DW_USAGE, "--role takes color, brown, white, black or effect, not \"%.40s\".",
                     role_text);
  if (status == DW_OK) status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = dw_book_bottle_add(book, slug, title ? title : slug, role, drop_ml, &id, err);
  if (status == DW_OK && like) status = dw_book_bottle_set_look(book, slug, like, err);
  return keep_and_say(args, book, status, "The bottle was kept", err);
}

static dw_status run_drop(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  double drop_ml;
  dw_status status = drop_size(args, &drop_ml, err);
  if (status == DW_OK && !cli_has(args, "--per-ml"))
    status = dw_fail(err, DW_USAGE, "bottle drop needs --per-ml: count how many drops make one ml.");
  if (status == DW_OK) status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = dw_book_bottle_set_drop(book, args->word[1], drop_ml, err);
  return keep_and_say(args, book, status, "The drop size was kept", err);
}

static dw_status run_like(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  const char *look = strcmp(args->word[2], "none") == 0 ? NULL : args->word[2];
  dw_status status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = dw_book_bottle_set_look(book, args->word[1], look, err);
  return keep_and_say(args, book, status, "The look was kept", err);
}

static dw_status run_lot(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_status status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = dw_book_lot_add(book, args->word[1], args->word[2], err);
  return keep_and_say(args, book, status, "The lot was kept", err);
}

static dw_status run_remove(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_text text = {0};
  size_t chips = 0;
  dw_status status = cli_book_write(args, &book, err);
  if (status == DW_OK && !cli_has(args, "--keep-chips"))
    status = dw_chips_forget(book, args->word[1], &chips, err);
  if (status == DW_OK) status = dw_book_bottle_remove(book, args->word[1], err);
  status = cli_book_keep(args, "The bottle was taken off the shelf", book, status, err);
  if (status != DW_OK) return status;
  dw_text_add(&text, "Took %s off the shelf, with %zu chip%s; its past pours stay.\n", args->word[1], chips,
              chips == 1 ? "" : "s");
  return cli_say(args, json_pack("{s:s, s:I}", "removed", args->word[1], "chips", (json_int_t)chips), &text,
                 err);
}

static const cli_verb verbs[] = {
    {"add", "NAME [--title TEXT] [--role ROLE] [--per-ml N] [--like BOTTLE]", 1, 1, run_add},
    {"list", "[--all]", 0, 0, run_list},
    {"show", "NAME", 1, 1, run_show},
    {"chips",
     "FILE.csv | --photo PHOTO --marks FILE | --photo SHEET --row CHIPS... | list [NAME] | correct NUMBER "
     "... | remove NUMBER...",
     0, CLI_WORDS_MAX, cli_bottle_chips},
    {"fit", "", 0, 0, cli_bottle_fit},
    {"lot", "NAME LOT", 2, 2, run_lot},
    {"drop", "NAME --per-ml N", 1, 1, run_drop},
    {"like", "NAME BOTTLE|none", 2, 2, run_like},
    {"remove", "NAME [--keep-chips]", 1, 1, run_remove},
    {NULL, NULL, 0, 0, NULL},
};

static dw_status run(const cli_args *args, dw_error *err) {
  return cli_verb_run(args, verbs, err);
}

const cli_command cli_bottle = {
    .name = "bottle",
    .summary = "the bottles at hand: chips, fit, lots and drop sizes",
    .usage =
        "add NAME | list | show NAME | chips FILE.csv | chips --photo PHOTO --marks FILE |\n"
        "     chips --photo SHEET --row CHIPS... |\n"
        "     chips list [NAME] | chips correct NUMBER --recipe RECIPE | chips remove NUMBER... | fit |\n"
        "     lot NAME LOT | drop NAME --per-ml N | like NAME BOTTLE|none | remove NAME",
    .about =
        "chips keeps let-downs (columns recipe,thickness_mm,over,L,a,b[,clipped]), fit makes spectra of all\n"
        "of them. The same chip again adds nothing; chips list shows them with their numbers, chips correct "
        "and\n"
        "chips remove put right what was written down wrong, and the next fit goes by that. A new lot keeps "
        "the spectrum and starts its strength anew. Without chips nothing is known of a bottle, and it is in "
        "no "
        "recipe,\n"
        "unless it is said to look like one of the invented starter shelf, which itself serves only while "
        "you have no "
        "bottle\n"
        "of your own. remove takes the bottle's chips "
        "too.",
    .example = "dropwise bottle chips samples/chips.csv && dropwise bottle fit",
    .options = options,
    .run = run,
};
