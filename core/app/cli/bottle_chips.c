/* dropwise bottle chips: kept, shown, corrected, removed. */
#include "app/cli/bottle.h"
#include "dropwise/read.h"

#include <stdlib.h>
#include <string.h>

enum { CHIPS_FILE_MAX = 16 << 20 };

/* ---- kept ---------------------------------------------------------------------------------------------- */

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
  const char *path;
  const json_t *marks = NULL;
  *name = photos->photo[i].reading.path;
  dw_status status = cli_number(args, "--thickness", 0.1, 100, 3, &thickness, err);
  if (status == DW_OK) status = cli_each(args, "--marks", i, photos->n, "photos", &path, err);
  if (status == DW_OK && path) status = cli_marks_json(args, path, &marks, err);
  return status == DW_OK ? dw_chips_text(&photos->photo[i].reading, marks, thickness, out, err) : status;
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
  if (status == DW_OK) status = dw_book_shelf_name(book, shelf, err);
  if (status == DW_OK)
    status = dw_chips_parse(text.data ? text.data : "", text.length, name, shelf, &chips, err);
  if (status == DW_OK && photos->n) status = dw_keep_photo(book, &photos->photo[i], &photo, err);
  if (status == DW_OK) status = dw_chips_keep(book, shelf, chips->chip, chips->n, photo, &kept, err);
  if (status == DW_OK) {
    *added += kept;
    *known += chips->n - kept;
    dw_notes_add(notes, &chips->notes);
  }
  dw_chips_free(chips);
  dw_shelf_free(shelf);
  dw_text_free(&text);
  return status;
}

static dw_status run_keep(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  cli_photos photos = {0};
  dw_text text = {0};
  dw_notes notes = {0};
  size_t added = 0, known = 0;
  dw_status status = DW_OK;
  if ((args->n_words == 2) == cli_has(args, "--photo"))
    status =
        dw_fail(err, DW_USAGE, "bottle chips takes either FILE.csv, or --photo PHOTO with --row or --marks.");
  if (status == DW_OK) status = cli_sheets_read(args, &photos, err);
  if (status == DW_OK) status = cli_book_write(args, &book, err);
  for (size_t i = 0; i < (photos.n ? photos.n : 1) && status == DW_OK; i++)
    status = keep_source(args, book, &photos, i, &added, &known, &notes, err);
  status = cli_book_keep(args, "The chips were kept", book, status, err);
  dw_notes_add(&notes, &photos.notes);
  cli_photos_free(&photos);
  if (status != DW_OK) return status;
  dw_text_add(&text, "Kept %zu chips; dropwise bottle fit makes spectra of them.\n", added);
  if (known) dw_text_add(&text, "%zu chips were in the book already, and were not added again.\n", known);
  dw_text_notes(&notes, "  ", &text);
  return cli_say(args,
                 json_pack("{s:I, s:I, s:o}", "chips", (json_int_t)added, "known", (json_int_t)known,
                           "warnings", dw_json_notes(&notes)),
                 &text, err);
}

/* ---- shown --------------------------------------------------------------------------------------------- */

static bool holds(const dw_chip *chip, const dw_shelf *shelf, const char *slug) {
  for (size_t i = 0; i < chip->recipe.n; i++)
    if (strcmp(shelf->bottle[chip->recipe.part[i].bottle].id, slug) == 0) return true;
  return false;
}

static void put_chip(const cli_args *args, const dw_chip_kept *kept, const dw_shelf *shelf, json_t **list,
                     dw_text *out) {
  char words[160];
  const dw_lab lab = kept->chip.lab;
  dw_chip_words(&kept->chip, shelf, words, sizeof words);
  dw_text_add(out, "%5lld  %-36s ", (long long)kept->id, words);
  dw_text_swatch(lab, &args->style, out);
  dw_text_add(out, "%.2f,%.2f,%.2f%s%s%.12s\n", lab.L, lab.a, lab.b, kept->chip.clipped ? ", clipped" : "",
              *kept->photo ? ", photo " : "", kept->photo);
  *list = dw_json_and(*list, dw_json_chip(kept, shelf));
}

static dw_status run_list(const cli_args *args, dw_error *err) {
  const char *slug = args->n_words == 3 ? args->word[2] : NULL;
  dw_book *book = NULL;
  dw_shelf *shelf = NULL;
  dw_chip_kept *kept = NULL;
  dw_book_bottle bottle;
  size_t n = 0;
  dw_text text = {0};
  json_t *list = json_array();
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK && slug) status = dw_book_bottle_find(book, slug, &bottle, err);
  if (status == DW_OK) status = dw_chip_list(book, &shelf, &kept, &n, err);
  for (size_t i = 0; i < n; i++)
    if (!slug || holds(&kept[i].chip, shelf, slug)) put_chip(args, &kept[i], shelf, &list, &text);
  if (json_array_size(list) == 0) dw_text_add(&text, "No chip.\n");
  free(kept);
  dw_shelf_free(shelf);
  return cli_book_say(args, book, status, json_pack("{s:o}", "chips", list), &text, err);
}

/* ---- corrected, removed -------------------------------------------------------------------------------- */

/* What the options say of the chip; the rest stays as it is.  shelf  gets the book's other bottles */
static dw_status read_change(const cli_args *args, dw_book *book, dw_shelf *shelf, dw_chip *chip,
                             dw_error *err) {
  const char *recipe = cli_value(args, "--recipe"), *over = cli_value(args, "--over"),
             *lab = cli_value(args, "--lab");
  dw_status status = recipe ? dw_book_shelf_name(book, shelf, err) : DW_OK;
  if (status == DW_OK && recipe) status = dw_recipe_parse(recipe, shelf, &chip->recipe, err);
  if (status == DW_OK && over) status = dw_backing_parse(over, &chip->backing, err);
  if (status == DW_OK && lab) status = cli_lab(lab, "--lab", &chip->lab, err);
  return status == DW_OK
             ? cli_number(args, "--thickness", 0.1, 100, chip->thickness_mm, &chip->thickness_mm, err)
             : status;
}

static dw_status correct(const cli_args *args, dw_book *book, int64_t id, dw_error *err) {
  dw_shelf *shelf = NULL;
  dw_chip_kept *kept = NULL;
  size_t n = 0, at = 0;
  dw_status status = dw_chip_list(book, &shelf, &kept, &n, err);
  while (at < n && kept[at].id != id) at++;
  if (status == DW_OK && at == n)
    status = dw_fail(err, DW_NOT_FOUND, "The book has no chip %lld; dropwise bottle chips list shows them.",
                     (long long)id);
  if (status == DW_OK) status = read_change(args, book, shelf, &kept[at].chip, err);
  if (status == DW_OK) status = dw_chip_correct(book, id, shelf, &kept[at].chip, err);
  free(kept);
  dw_shelf_free(shelf);
  return status;
}

static const char fit_again[] = "dropwise bottle fit goes by it.";

static dw_status run_correct(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  int64_t id = 0;
  if (args->n_words != 3)
    return dw_fail(err, DW_USAGE,
                   "Write: dropwise bottle chips correct NUMBER --recipe RECIPE | --lab LAB | ...");
  if (!cli_has(args, "--recipe") && !cli_has(args, "--thickness") && !cli_has(args, "--over") &&
      !cli_has(args, "--lab"))
    return dw_fail(err, DW_USAGE,
                   "bottle chips correct needs what was wrong: --recipe, --thickness, --over or --lab.");
  dw_status status = cli_id(args->word[2], "chip", "dropwise bottle chips list", &id, err);
  if (status == DW_OK) status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = correct(args, book, id, err);
  return cli_say_change_and(args, book, status, fit_again, err);
}

static dw_status run_remove(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  int64_t id = 0;
  if (args->n_words < 3) return dw_fail(err, DW_USAGE, "Write: dropwise bottle chips remove NUMBER...");
  dw_status status = cli_book_write(args, &book, err);
  for (size_t i = 2; i < args->n_words && status == DW_OK; i++) {
    status = cli_id(args->word[i], "chip", "dropwise bottle chips list", &id, err);
    if (status == DW_OK) status = dw_chip_remove(book, id, err);
  }
  return cli_say_change_and(args, book, status, fit_again, err);
}

/* ---- which --------------------------------------------------------------------------------------------- */

dw_status cli_bottle_chips(const cli_args *args, dw_error *err) {
  const char *word = args->n_words > 1 ? args->word[1] : "";
  if (strcmp(word, "list") == 0 && args->n_words <= 3) return run_list(args, err);
  if (strcmp(word, "correct") == 0) return run_correct(args, err);
  if (strcmp(word, "remove") == 0) return run_remove(args, err);
  if (args->n_words <= 2) return run_keep(args, err);
  return dw_fail(
      err, DW_USAGE,
      "Write: dropwise bottle chips FILE.csv | list [NAME] | correct NUMBER ... | remove NUMBER...");
}
