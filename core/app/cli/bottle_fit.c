/* dropwise bottle chips, bottle fit */
#include "app/cli/bottle.h"
#include "dropwise/read.h"

#include <stdlib.h>
#include <string.h>

enum { CHIPS_FILE_MAX = 16 << 20, WORST_SHOWN = 5 };
#define GAP_SAID 0.1 /* air under the chips, 0 to 1: less hardly changes a color */

/* ---- chips --------------------------------------------------------------------------------------------- */

/* The bottles of the book, so that a recipe's names keep their titles and drop sizes. */
static dw_status known_bottles(dw_book *book, dw_shelf *shelf, dw_error *err) {
  dw_book_bottle *list = NULL;
  size_t n = 0;
  dw_status status = dw_book_bottle_list(book, false, &list, &n, err);
  for (size_t i = 0; i < n && i < DW_SHELF_MAX && status == DW_OK; i++) {
    shelf->bottle[shelf->n] = dw_bottle_blank(list[i].slug, list[i].title, list[i].role);
    shelf->bottle[shelf->n++].drop_ml = list[i].drop_ml;
  }
  free(list);
  return status;
}

static bool is_photo(const char *bytes, size_t n) {
  return n > 4 && (memcmp(bytes, "\xFF\xD8\xFF", 3) == 0 || memcmp(bytes, "\x89PNG", 4) == 0);
}

/* What the command was given, as chips text. */
static dw_status gather(const cli_args *args, const cli_photos *photos, size_t i, dw_text *out,
                        const char **name, dw_error *err) {
  char *file = NULL;
  size_t n;
  double thickness;
  if (photos->n == 0) {
    *name = cli_input(args->word[1]);
    dw_status status = dw_file_read(*name, CHIPS_FILE_MAX, &file, &n, err);
    if (status == DW_OK && is_photo(file, n))
      status = dw_fail(err, DW_USAGE, "%s is a photo: write --photo %s --marks FILE.", *name, *name);
    if (status == DW_OK) dw_text_put(out, file, n);
    free(file);
    return status;
  }
  *name = photos->photo[i].reading.path;
  dw_status status = cli_number(args, "--thickness", 0.1, 100, 3, &thickness, err);
  if (status != DW_OK) return status;
  return dw_chips_text(&photos->photo[i].reading, cli_value(args, "--marks"), thickness, out, err);
}

static dw_status keep_source(const cli_args *args, dw_book *book, const cli_photos *photos, size_t i,
                             size_t *added, size_t *known, dw_notes *notes, dw_error *err) {
  dw_text text = {0};
  const char *name = "";
  dw_shelf *shelf = NULL;
  dw_chips *chips = NULL;
  int64_t photo = 0;
  size_t kept = 0;
  dw_status status = gather(args, photos, i, &text, &name, err);
  if (status == DW_OK && text.failed) status = dw_fail_memory(err, "the chips");
  if (status == DW_OK) status = dw_shelf_new(&shelf, err);
  if (status == DW_OK) status = known_bottles(book, shelf, err);
  if (status == DW_OK)
    status = dw_chips_parse(text.data ? text.data : "", text.length, name, shelf, &chips, err);
  if (status == DW_OK && photos->n) status = dw_keep_photo(book, &photos->photo[i], &photo, err);
  if (status == DW_OK) status = dw_chips_keep(book, shelf, chips->chip, chips->n, photo, &kept, err);
  if (status == DW_OK) {
    *added += kept;
    *known += chips->n - kept;
    for (size_t k = 0; k < chips->notes.n; k++) dw_note(notes, "%s", chips->notes.text[k]);
  }
  dw_chips_free(chips);
  dw_shelf_free(shelf);
  dw_text_free(&text);
  return status;
}

dw_status cli_bottle_chips(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  cli_photos photos = {0};
  dw_text text = {0};
  dw_notes notes = {0};
  size_t added = 0, known = 0;
  dw_status status = DW_OK;
  if ((args->n_words == 2) == cli_has(args, "--photo"))
    status = dw_fail(err, DW_USAGE, "bottle chips takes either FILE.csv, or --photo PHOTO --marks FILE.");
  if (status == DW_OK) status = cli_photos_read(args, NULL, NULL, &photos, err);
  if (status == DW_OK) status = cli_book_write(args, &book, err);
  for (size_t i = 0; i < (photos.n ? photos.n : 1) && status == DW_OK; i++)
    status = keep_source(args, book, &photos, i, &added, &known, &notes, err);
  status = cli_book_keep(args, "The chips were kept", book, status, err);
  cli_photos_free(&photos);
  if (status != DW_OK) return status;
  dw_text_add(&text, "Kept %zu chips; dropwise bottle fit makes spectra of them.\n", added);
  if (known) dw_text_add(&text, "%zu chips were in the book already, and were not added again.\n", known);
  for (size_t i = 0; i < notes.n; i++) dw_text_add(&text, "  ! %s\n", notes.text[i]);
  return cli_say(args,
                 json_pack("{s:I, s:I, s:o}", "chips", (json_int_t)added, "known", (json_int_t)known,
                           "warnings", dw_json_notes(&notes)),
                 &text, err);
}

/* ---- fit ----------------------------------------------------------------------------------------------- */

/* Chip indices, the one furthest off first. */
static size_t *rank_chips(const dw_fit *fit) {
  size_t *order = calloc(fit->n + 1, sizeof *order);
  for (size_t i = 0; order && i < fit->n; i++) {
    size_t at = i;
    for (; at > 0 && fit->chip[order[at - 1]].de00 < fit->chip[i].de00; at--) order[at] = order[at - 1];
    order[at] = i;
  }
  return order;
}

static json_t *chip_json(const dw_fit *fit, const dw_chip *chips, size_t i) {
  char words[160];
  dw_chip_words(&chips[i], fit->shelf, words, sizeof words);
  return json_pack("{s:s, s:o, s:o, s:o}", "chip", words, "lab", dw_json_lab(chips[i].lab), "de00",
                   dw_json_round(fit->chip[i].de00, 2), "weight", dw_json_round(fit->chip[i].weight, 2));
}

static json_t *fit_json(const dw_fit *fit, const dw_chip *chips, const size_t *order) {
  json_t *list = json_array();
  for (size_t i = 0; i < fit->n; i++) list = dw_json_and(list, chip_json(fit, chips, order[i]));
  return json_pack("{s:I, s:o, s:o, s:s, s:o, s:o, s:o, s:o, s:o}", "chips", (json_int_t)fit->n, "mean_de00",
                   dw_json_round(fit->mean_de00, 2), "max_de00", dw_json_round(fit->max_de00, 2), "worst",
                   fit->worst_words, "k2", dw_json_round(fit->shelf->surface.k2, 3), "gap",
                   dw_json_round(fit->shelf->surface.gap, 3), "warnings", dw_json_notes(&fit->warnings),
                   "suggestions", dw_json_notes(&fit->suggestions), "residuals", list);
}

static void fit_text(const dw_fit *fit, const dw_chip *chips, const size_t *order, const dw_learned *learned,
                     dw_text *out) {
  char words[160];
  dw_text_add(out, "Fitted %zu bottles to %zu chips: off by %.2f in the mean, %.2f at worst.\n",
              fit->shelf->n, fit->n, fit->mean_de00, fit->max_de00);
  if (fit->shelf->surface.gap > GAP_SAID)
    dw_text_add(out, "Air lay under the chips; the fit allows for it. Wet contact tells more.\n");
  dw_text_add(out, "%s\n", fit->worst_words);
  for (size_t i = 0; i < fit->n && i < WORST_SHOWN; i++) {
    dw_chip_words(&chips[order[i]], fit->shelf, words, sizeof words);
    dw_text_add(out, "  %5.2f  %s\n", fit->chip[order[i]].de00, words);
  }
  for (size_t i = 0; i < fit->warnings.n; i++) dw_text_add(out, "! %s\n", fit->warnings.text[i]);
  for (size_t i = 0; i < fit->suggestions.n; i++) dw_text_add(out, "%s\n", fit->suggestions.text[i]);
  for (size_t i = 0; i < learned->n; i++)
    if (*learned->bottle[i].words) dw_text_add(out, "From pours: %s.\n", learned->bottle[i].words);
}

static dw_status keep_fit(dw_book *book, const dw_fit *fit, const json_t *report, dw_learned *learned,
                          dw_error *err) {
  char *text = report ? json_dumps(report, JSON_COMPACT | JSON_REAL_PRECISION(10)) : NULL;
  dw_shelf *shelf = NULL;
  dw_status status = text ? dw_fit_keep(book, fit, text, err) : dw_fail_memory(err, "the fit's report");
  if (status == DW_OK) status = dw_book_shelf(book, &shelf, NULL, err);
  if (status == DW_OK) status = dw_book_learn(book, shelf, learned, err);
  dw_shelf_free(shelf);
  free(text);
  return status;
}

dw_status cli_bottle_fit(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_shelf *shelf = NULL;
  dw_chip *chips = NULL;
  dw_fit *fit = NULL;
  size_t n = 0, *order = NULL;
  json_t *json = NULL;
  dw_text text = {0};
  dw_learned *learned = calloc(1, sizeof *learned);
  dw_status status = learned ? cli_book_write(args, &book, err) : dw_fail_memory(err, "the fit");
  if (status == DW_OK) status = dw_chips_load(book, &shelf, &chips, &n, err);
  if (status == DW_OK) status = dw_bottles_fit(shelf, chips, n, DW_FIT_FRESH, &fit, err);
  if (status == DW_OK && !(order = rank_chips(fit))) status = dw_fail_memory(err, "the fit's report");
  if (status == DW_OK) {
    json = fit_json(fit, chips, order);
    status = keep_fit(book, fit, json, learned, err);
  }
  status = cli_book_keep(args, "The fit was kept", book, status, err);
  if (status == DW_OK) {
    fit_text(fit, chips, order, learned, &text);
    status = cli_say(args, json_incref(json), &text, err);
  }
  json_decref(json);
  dw_fit_free(fit);
  dw_shelf_free(shelf);
  free(chips);
  free(order);
  free(learned);
  return status;
}
