/* Pieces that several commands share: marks, shelf, slab, plugin folders. */
#include "app/cli/finding.h"
#include "dropwise/plan.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static dw_status marks_from_options(const cli_args *args, const char *set, dw_marks *out, dw_error *err) {
  const char *card = cli_value(args, "--card"), *gray = cli_value(args, "--gray");
  if (card && gray) return dw_fail(err, DW_USAGE, "Give either --card or --gray, not both.");
  dw_status status = DW_OK;
  if (card) {
    bool known = out->method == DW_LIGHT_CARD; /* by the marks file, only marked anew */
    out->method = DW_LIGHT_CARD;
    status = dw_corners_parse(card, &out->corners, err);
    if (status == DW_OK && !known) status = dw_marks_set_card(out, set ? set : DW_CARD_USUAL, err);
  } else if (gray) {
    out->method = DW_LIGHT_GRAY;
    status = dw_shape_parse(gray, &out->gray, err);
  }
  if (status != DW_OK) return status;
  if (set && out->method == DW_LIGHT_GRAY)
    return dw_fail(err, DW_USAGE, "--card-set names a card, but a gray is marked; give one of the two.");
  if (set && out->method == DW_LIGHT_NONE) { /* to be looked for */
    status = dw_marks_set_card(out, set, err);
    if (status != DW_OK) return status;
  }
  if (cli_has(args, "--gray-y") && out->method != DW_LIGHT_GRAY)
    return dw_fail(err, DW_USAGE,
                   "--gray-y says how light the gray is, but no gray is marked; give --gray too.");
  return cli_number(args, "--gray-y", 0.001, 1, out->gray_y, &out->gray_y, err);
}

dw_status cli_marks_from(const cli_args *args, const char *file, dw_marks *out, dw_error *err) {
  const char *set = cli_value(args, "--card-set");
  dw_marks_begin(out);
  dw_status status = file ? cli_marks_load(args, file, out, err) : DW_OK;
  return status == DW_OK ? marks_from_options(args, set, out, err) : status;
}

const char *cli_card_set(const cli_args *args) {
  const char *set = cli_value(args, "--card-set");
  return set ? set : DW_CARD_USUAL;
}

dw_status cli_light(const cli_args *args, size_t i, size_t n, dw_marks *out, dw_error *err) {
  const char *file;
  dw_status status = cli_each(args, "--marks", i, n, "photos", &file, err);
  return status == DW_OK ? cli_marks_from(args, file, out, err) : status;
}

dw_status cli_marks(const cli_args *args, size_t i, size_t n, dw_marks *out, dw_error *err) {
  const char *layer;
  dw_status status = cli_light(args, i, n, out, err);
  for (size_t at = 0; status == DW_OK && (layer = cli_next(args, "--layer", &at));)
    status = dw_marks_add_layer(out, layer, err);
  return status;
}

bool cli_card_missing(const cli_args *args, const char *path, dw_marks *marks, dw_error *why) {
  bool named = cli_has(args, "--card-set");
  if (marks->method != DW_LIGHT_NONE || (cli_has(args, "--marks") && !named)) return false;
  dw_status status = dw_marks_find_card(path, named ? marks->card_set : DW_CARD_USUAL, marks, why);
  return status == DW_NOT_FOUND || status == DW_REFUSED; /* other faults: the reading's own */
}

void cli_card_search(const cli_args *args, const char *path, dw_marks *marks) {
  dw_error why;
  if (cli_card_missing(args, path, marks, &why)) cli_complain(&why);
}

dw_status cli_marks_all(const cli_args *args, dw_marks **marks, dw_error *err) {
  size_t n = args->n_words;
  bool searched;
  dw_status status = cli_searched(args, &searched, err);
  if (status != DW_OK) return status;
  *marks = malloc(n * sizeof **marks);
  if (!*marks) return dw_fail_memory(err, "the marks");
  for (size_t i = 0; i < n && status == DW_OK; i++) status = cli_marks(args, i, n, &(*marks)[i], err);
  for (size_t i = 0; i < n && status == DW_OK && !searched; i++)
    cli_card_search(args, args->word[i], &(*marks)[i]);
  return status;
}

dw_status cli_shelf(const cli_args *args, dw_shelf **out, dw_error *err) {
  const char *path = cli_value(args, "--shelf");
  if (!path) return cli_book_shelf(args, out, err);
  char *text = NULL;
  size_t n;
  dw_status status = dw_file_read(path, DW_SHELF_BYTES_MAX, &text, &n, err);
  if (status == DW_OK) status = dw_shelf_parse(text, n, path, out, err);
  free(text);
  return status;
}

dw_status cli_slab(const cli_args *args, dw_slab *out, dw_error *err) {
  const char *over = cli_value(args, "--over");
  dw_status status = cli_number(args, "--thickness", 0.05, 100, 10, &out->thickness_mm, err);
  if (status == DW_OK) status = dw_backing_parse(over ? over : "gray", &out->backing, err);
  return status;
}

dw_status cli_slab_given(const cli_args *args, dw_slab *out, dw_error *err) {
  dw_status status = cli_slab(args, out, err);
  if (!cli_has(args, "--thickness")) out->thickness_mm = NAN;
  if (!cli_has(args, "--over")) out->backing = NAN;
  return status;
}

bool cli_beside_program(const char *name, char *out) {
  return dw_beside_program(name, out, CLI_FOLDER_ROOM);
}

/* The plugins beside the program: in its build folder, or where it was installed. */
static void own_plugin_folder(char *out) {
  if (!cli_beside_program("plugins", out) && !cli_beside_program("../" DW_PLUGIN_SUBDIR, out))
    dw_copy_text(out, CLI_FOLDER_ROOM, DW_PLUGIN_DIR);
}

size_t cli_plugin_folders(const cli_args *args, const char **dirs, cli_folders *folders) {
  size_t n = 0;
  dw_error none;
  for (size_t at = 0; (dirs[n] = cli_next(args, "--plugins", &at));) n++;
  if (dw_user_data_path("plugins", folders->makers, sizeof folders->makers, &none) == DW_OK &&
      access(folders->makers, F_OK) == 0)
    dirs[n++] = folders->makers;
  own_plugin_folder(folders->built_in);
  dirs[n++] = folders->built_in;
  return n;
}

dw_status cli_find_plugins(const cli_args *args, dw_plugins *out, dw_error *err) {
  const char *dirs[CLI_PLUGIN_FOLDERS_MAX];
  cli_folders folders;
  const char *set;
  dw_status status = dw_plugins_find(dirs, cli_plugin_folders(args, dirs, &folders), 5, out, err);
  for (size_t at = 0; status == DW_OK && (set = cli_next(args, "--set", &at));)
    status = dw_plugins_set(out, set, err);
  return status;
}

dw_status cli_shares(const cli_args *args, size_t n, double *share, dw_error *err) {
  const char *text = cli_value(args, "--shares");
  for (size_t i = 0; i < n; i++) share[i] = 1.0 / (double)n;
  if (!text) return DW_OK;
  if (dw_parse_numbers(text, n, share) && dw_plan_shares(share, n, share)) return DW_OK;
  return dw_fail(err, DW_USAGE,
                 "--shares takes %zu percentages with commas that add up to 100, not \"%.60s\".", n, text);
}

dw_status cli_outline(const cli_args *args, dw_outline *out, dw_error *err) {
  const char *name = cli_value(args, "--outline");
  *out = DW_OUTLINE_SWIMBAIT;
  if (!name || dw_outline_find(name, out)) return DW_OK;
  return dw_fail(err, DW_USAGE, "--outline takes crawfish, swimbait, jerkbait, stick or frog, not \"%.40s\".",
                 name);
}
