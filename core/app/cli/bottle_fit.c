/* pourtone bottle chips, bottle fit */
#include "app/chips.h"
#include "app/cli/bottle.h"

#include <stdlib.h>
#include <string.h>

enum { CHIPS_FILE_MAX = 16 << 20, WORST_SHOWN = 5 };
#define GAP_SAID 0.1 /* air under the chips, 0 to 1: less hardly changes a color */

/* ---- chips --------------------------------------------------------------------------------------------- */

/* The bottles of the book, so that a recipe's names keep their titles and drop sizes. */
static pt_status known_bottles(pt_book *book, pt_shelf *shelf, pt_error *err) {
  pt_book_bottle *list = NULL;
  size_t n = 0;
  pt_status status = pt_book_bottle_list(book, false, &list, &n, err);
  for (size_t i = 0; i < n && i < PT_SHELF_MAX && status == PT_OK; i++) {
    shelf->bottle[shelf->n] = pt_bottle_blank(list[i].slug, list[i].title, list[i].role);
    shelf->bottle[shelf->n++].drop_ml = list[i].drop_ml;
  }
  free(list);
  return status;
}

static bool is_photo(const char *bytes, size_t n) {
  return n > 4 && (memcmp(bytes, "\xFF\xD8\xFF", 3) == 0 || memcmp(bytes, "\x89PNG", 4) == 0);
}

/* What the command was given, as chips text. */
static pt_status gather(const cli_args *args, const cli_photos *photos, size_t i, pt_text *out,
                        const char **name, pt_error *err) {
  char *file = NULL;
  size_t n;
  double thickness;
  if (photos->n == 0) {
    *name = args->word[1];
    pt_status status = pt_file_read(args->word[1], CHIPS_FILE_MAX, &file, &n, err);
    if (status == PT_OK && is_photo(file, n))
      status = pt_fail(err, PT_USAGE, "%s is a photo: write --photo %s --marks FILE.", *name, *name);
    if (status == PT_OK) pt_text_put(out, file, n);
    free(file);
    return status;
  }
  *name = photos->photo[i].reading.path;
  pt_status status = cli_number(args, "--thickness", 0.1, 100, 3, &thickness, err);
  if (status != PT_OK) return status;
  return pt__chips_text(&photos->photo[i].reading, cli_value(args, "--marks"), thickness, out, err);
}

static pt_status keep_source(const cli_args *args, pt_book *book, const cli_photos *photos, size_t i,
                             size_t *added, pt_notes *notes, pt_error *err) {
  pt_text text = {0};
  const char *name = "";
  pt_shelf *shelf = NULL;
  pt_chips *chips = NULL;
  int64_t photo = 0;
  pt_status status = gather(args, photos, i, &text, &name, err);
  if (status == PT_OK && text.failed) status = pt_fail_memory(err, "the chips");
  if (status == PT_OK) status = pt_shelf_new(&shelf, err);
  if (status == PT_OK) status = known_bottles(book, shelf, err);
  if (status == PT_OK)
    status = pt_chips_parse(text.data ? text.data : "", text.length, name, shelf, &chips, err);
  if (status == PT_OK && photos->n) status = pt__keep_photo(book, &photos->photo[i], &photo, err);
  if (status == PT_OK) status = pt_chips_keep(book, shelf, chips->chip, chips->n, photo, err);
  if (status == PT_OK) {
    *added += chips->n;
    for (size_t k = 0; k < chips->notes.n; k++) pt_note(notes, "%s", chips->notes.text[k]);
  }
  pt_chips_free(chips);
  pt_shelf_free(shelf);
  pt_text_free(&text);
  return status;
}

pt_status cli_bottle_chips(const cli_args *args, pt_error *err) {
  pt_book *book = NULL;
  cli_photos photos = {0};
  pt_text text = {0};
  pt_notes notes = {0};
  size_t added = 0;
  pt_status status = PT_OK;
  if ((args->n_words == 2) == cli_has(args, "--photo"))
    status = pt_fail(err, PT_USAGE, "bottle chips takes either FILE.csv, or --photo PHOTO --marks FILE.");
  if (status == PT_OK) status = cli_photos_read(args, NULL, &photos, err);
  if (status == PT_OK) status = cli_book_write(args, &book, err);
  for (size_t i = 0; i < (photos.n ? photos.n : 1) && status == PT_OK; i++)
    status = keep_source(args, book, &photos, i, &added, &notes, err);
  status = cli_book_done(book, status, err);
  cli_photos_free(&photos);
  if (status != PT_OK) return status;
  pt_text_add(&text, "Kept %zu chips; pourtone bottle fit makes spectra of them.\n", added);
  for (size_t i = 0; i < notes.n; i++) pt_text_add(&text, "  ! %s\n", notes.text[i]);
  return cli_say(args, json_pack("{s:I, s:o}", "chips", (json_int_t)added, "warnings", pt_json_notes(&notes)),
                 &text, err);
}

/* ---- fit ----------------------------------------------------------------------------------------------- */

/* Chip indices, the one furthest off first. */
static size_t *rank_chips(const pt_fit *fit) {
  size_t *order = calloc(fit->n + 1, sizeof *order);
  for (size_t i = 0; order && i < fit->n; i++) {
    size_t at = i;
    for (; at > 0 && fit->chip[order[at - 1]].de00 < fit->chip[i].de00; at--) order[at] = order[at - 1];
    order[at] = i;
  }
  return order;
}

static json_t *chip_json(const pt_fit *fit, const pt_chip *chips, size_t i) {
  char words[160];
  pt_chip_words(&chips[i], fit->shelf, words, sizeof words);
  return json_pack("{s:s, s:o, s:o, s:o}", "chip", words, "lab", pt_json_lab(chips[i].lab), "de00",
                   pt_json_round(fit->chip[i].de00, 2), "weight", pt_json_round(fit->chip[i].weight, 2));
}

static json_t *fit_json(const pt_fit *fit, const pt_chip *chips, const size_t *order) {
  json_t *list = json_array();
  for (size_t i = 0; i < fit->n; i++) list = pt_json_and(list, chip_json(fit, chips, order[i]));
  return json_pack("{s:I, s:o, s:o, s:s, s:o, s:o, s:o, s:o, s:o}", "chips", (json_int_t)fit->n, "mean_de00",
                   pt_json_round(fit->mean_de00, 2), "max_de00", pt_json_round(fit->max_de00, 2), "worst",
                   fit->worst_words, "k2", pt_json_round(fit->shelf->surface.k2, 3), "gap",
                   pt_json_round(fit->shelf->surface.gap, 3), "warnings", pt_json_notes(&fit->warnings),
                   "suggestions", pt_json_notes(&fit->suggestions), "residuals", list);
}

static void fit_text(const pt_fit *fit, const pt_chip *chips, const size_t *order, const pt_learned *learned,
                     pt_text *out) {
  char words[160];
  pt_text_add(out, "Fitted %zu bottles to %zu chips: off by %.2f in the mean, %.2f at worst.\n",
              fit->shelf->n, fit->n, fit->mean_de00, fit->max_de00);
  if (fit->shelf->surface.gap > GAP_SAID)
    pt_text_add(out, "Air lay under the chips; the fit allows for it. Wet contact tells more.\n");
  pt_text_add(out, "%s\n", fit->worst_words);
  for (size_t i = 0; i < fit->n && i < WORST_SHOWN; i++) {
    pt_chip_words(&chips[order[i]], fit->shelf, words, sizeof words);
    pt_text_add(out, "  %5.2f  %s\n", fit->chip[order[i]].de00, words);
  }
  for (size_t i = 0; i < fit->warnings.n; i++) pt_text_add(out, "! %s\n", fit->warnings.text[i]);
  for (size_t i = 0; i < fit->suggestions.n; i++) pt_text_add(out, "%s\n", fit->suggestions.text[i]);
  for (size_t i = 0; i < learned->n; i++)
    if (*learned->bottle[i].words) pt_text_add(out, "From pours: %s.\n", learned->bottle[i].words);
}

static pt_status keep_fit(pt_book *book, const pt_fit *fit, const json_t *report, pt_learned *learned,
                          pt_error *err) {
  char *text = report ? json_dumps(report, JSON_COMPACT | JSON_REAL_PRECISION(10)) : NULL;
  pt_shelf *shelf = NULL;
  pt_status status = text ? pt_fit_keep(book, fit, text, err) : pt_fail_memory(err, "the fit's report");
  if (status == PT_OK) status = pt_book_shelf(book, &shelf, NULL, err);
  if (status == PT_OK) status = pt_book_learn(book, shelf, learned, err);
  pt_shelf_free(shelf);
  free(text);
  return status;
}

pt_status cli_bottle_fit(const cli_args *args, pt_error *err) {
  pt_book *book = NULL;
  pt_shelf *shelf = NULL;
  pt_chip *chips = NULL;
  pt_fit *fit = NULL;
  size_t n = 0, *order = NULL;
  json_t *json = NULL;
  pt_text text = {0};
  pt_learned *learned = calloc(1, sizeof *learned);
  pt_status status = learned ? cli_book_write(args, &book, err) : pt_fail_memory(err, "the fit");
  if (status == PT_OK) status = pt_chips_load(book, &shelf, &chips, &n, err);
  if (status == PT_OK) status = pt_bottles_fit(shelf, chips, n, PT_FIT_FRESH, &fit, err);
  if (status == PT_OK && !(order = rank_chips(fit))) status = pt_fail_memory(err, "the fit's report");
  if (status == PT_OK) {
    json = fit_json(fit, chips, order);
    status = keep_fit(book, fit, json, learned, err);
  }
  status = cli_book_done(book, status, err);
  if (status == PT_OK) {
    fit_text(fit, chips, order, learned, &text);
    status = cli_say(args, json_incref(json), &text, err);
  }
  json_decref(json);
  pt_fit_free(fit);
  pt_shelf_free(shelf);
  free(chips);
  free(order);
  free(learned);
  return status;
}
