/* Pieces that several commands share: marks, shelf, slab, plugin folders. */
#include "app/cli/cli.h"

#include <libgen.h>
#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { SHELF_FILE_MAX = 16 << 20 };

static pt_status marks_from_options(const cli_args *args, const char *set, pt_marks *out, pt_error *err) {
  const char *card = cli_value(args, "--card"), *gray = cli_value(args, "--gray");
  if (card && gray) return pt_fail(err, PT_USAGE, "Give either --card or --gray, not both.");
  pt_status status = PT_OK;
  if (card) {
    bool known = out->method == PT_LIGHT_CARD; /* by the marks file, only marked anew */
    out->method = PT_LIGHT_CARD;
    status = pt_corners_parse(card, &out->corners, err);
    if (status == PT_OK && !known) status = pt__marks_set_card(out, set ? set : "grid24", err);
  } else if (gray) {
    out->method = PT_LIGHT_GRAY;
    status = pt_shape_parse(gray, &out->gray, err);
  }
  if (status != PT_OK) return status;
  if (set && out->method != PT_LIGHT_CARD)
    return pt_fail(err, PT_USAGE,
                   "--card-set says which card it is, but no card is marked; give --card too.");
  if (cli_has(args, "--gray-y") && out->method != PT_LIGHT_GRAY)
    return pt_fail(err, PT_USAGE,
                   "--gray-y says how light the gray is, but no gray is marked; give --gray too.");
  return cli_number(args, "--gray-y", 0.001, 1, out->gray_y, &out->gray_y, err);
}

pt_status cli_marks_from(const cli_args *args, const char *file, pt_marks *out, pt_error *err) {
  const char *set = cli_value(args, "--card-set");
  *out = (pt_marks){.gray_y = PT_GRAY_Y_DEFAULT};
  pt_status status = file ? pt__marks_load(file, set, out, err) : PT_OK;
  return status == PT_OK ? marks_from_options(args, set, out, err) : status;
}

pt_status cli_marks(const cli_args *args, size_t i, size_t n, pt_marks *out, pt_error *err) {
  const char *layer, *file;
  pt_status status = cli_each(args, "--marks", i, n, "photos", &file, err);
  if (status == PT_OK) status = cli_marks_from(args, file, out, err);
  for (size_t at = 0; status == PT_OK && (layer = cli_next(args, "--layer", &at));)
    status = pt__marks_add_layer(out, layer, err);
  if (status == PT_OK && out->n == 0)
    status = pt_fail(err, PT_USAGE, "No layer is marked; give --layer NAME=SHAPE or --marks FILE.");
  return status;
}

pt_status cli_shelf(const cli_args *args, pt_shelf **out, pt_error *err) {
  const char *path = cli_value(args, "--shelf");
  if (!path) return cli_book_shelf(args, out, err);
  char *text = NULL;
  size_t n;
  pt_status status = pt_file_read(path, SHELF_FILE_MAX, &text, &n, err);
  if (status == PT_OK) status = pt_shelf_parse(text, n, path, out, err);
  free(text);
  return status;
}

pt_status cli_slab(const cli_args *args, pt_slab *out, pt_error *err) {
  const char *over = cli_value(args, "--over");
  pt_status status = cli_number(args, "--thickness", 0.05, 100, 10, &out->thickness_mm, err);
  if (status == PT_OK) status = pt_backing_parse(over ? over : "gray", &out->backing, err);
  return status;
}

pt_status cli_slab_given(const cli_args *args, pt_slab *out, pt_error *err) {
  pt_status status = cli_slab(args, out, err);
  if (!cli_has(args, "--thickness")) out->thickness_mm = NAN;
  if (!cli_has(args, "--over")) out->backing = NAN;
  return status;
}

bool cli_beside_program(const char *name, char *out) {
  char exe[PATH_MAX];
  ssize_t n = readlink("/proc/self/exe", exe, sizeof exe - 1);
  if (n <= 0) return false;
  exe[n] = '\0';
  snprintf(out, CLI_FOLDER_ROOM, "%s/%s", dirname(exe), name);
  return access(out, R_OK | X_OK) == 0;
}

/* The plugins beside the program: in its build folder, or where it was installed. */
static void own_plugin_folder(char *out) {
  if (!cli_beside_program("plugins", out) && !cli_beside_program("../" PT_PLUGIN_SUBDIR, out))
    pt_copy_text(out, CLI_FOLDER_ROOM, PT_PLUGIN_DIR);
}

size_t cli_plugin_folders(const cli_args *args, const char **dirs, char *own) {
  size_t n = 0;
  for (size_t at = 0; (dirs[n] = cli_next(args, "--plugins", &at));) n++;
  if (n == 0) {
    own_plugin_folder(own);
    dirs[n++] = own;
  }
  return n;
}

pt_status cli_find_plugins(const cli_args *args, pt_plugins *out, pt_error *err) {
  const char *dirs[CLI_OPTIONS_MAX + 1];
  char own[CLI_FOLDER_ROOM];
  return pt_plugins_find(dirs, cli_plugin_folders(args, dirs, own), 5, out, err);
}
