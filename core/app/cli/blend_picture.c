#include "app/cli/blend_picture.h"

#include "app/cli/finding.h"

#include <stdlib.h>

/* ---- the outline -------------------------------------------------------------------------------------------- */

static dw_status choose(const cli_args *args, const dw_found *found, const dw_bait **out, dw_error *err) {
  size_t number;
  const dw_baits *baits = &found->baits;
  dw_status status = cli_whole(args, "--bait", 1, DW_BAITS_MAX, 1, &number, err);
  if (status != DW_OK) return status;
  if (baits->n == 0)
    return dw_fail(err, DW_NOT_FOUND, "%s: no bait was found%s%.200s", found->reading.path,
                   baits->notes.n ? ": " : ".", baits->notes.n ? baits->notes.text[0] : "");
  if (number > baits->n)
    return dw_fail(err, DW_USAGE, "%s: there is no bait %zu; %zu %s found.", found->reading.path, number,
                   baits->n, baits->n == 1 ? "was" : "were");
  *out = &baits->bait[number - 1];
  return DW_OK;
}

/* The pattern that is drawn, where it is named and its layers can be found. */
static dw_status wish_of(const cli_args *args, dw_pattern *pattern, dw_find_wish *out, dw_error *err) {
  const char *name = cli_value(args, "--pattern");
  *pattern = (dw_pattern){0};
  dw_status status = name ? cli_find_pattern(args, name, pattern, err) : DW_OK;
  const bool layered = pattern->n && pattern->n <= DW_BAIT_LAYERS_MAX && !pattern->swirl;
  return status == DW_OK ? cli_find_wish(args, layered ? pattern : NULL, out, err) : status;
}

/* Its layers' shares count where none are stated, and it has as many. */
static dw_status take_found(const cli_args *args, size_t n, dw_arena *arena, dw_found *found,
                            dw_bait_picture *out, dw_error *err) {
  dw_pattern pattern;
  dw_find_wish wish;
  dw_status status = wish_of(args, &pattern, &wish, err);
  if (status == DW_OK)
    status = dw_find_read(cli_input(cli_value(args, "--outline-from")), &wish, arena, found, err);
  if (status == DW_OK) status = choose(args, found, &out->found, err);
  if (status != DW_OK || out->found->n != n || cli_has(args, "--shares")) return status;
  for (size_t i = 0; i < n; i++) out->share[i] = out->found->layer[i].share;
  return DW_OK;
}

/* ---- the files ---------------------------------------------------------------------------------------------- */

static dw_status write_svg(const char *file, const dw_shelf *shelf, const dw_bait_view *views, size_t n,
                           const dw_bait_picture *picture, dw_error *err) {
  dw_text svg = {0};
  dw_status status = dw_svg_baits(shelf, views, n, picture, &svg, err);
  return cli_text_file(file, status, &svg, err);
}

static dw_status write_png(const char *file, const dw_shelf *shelf, const dw_bait_view *views, size_t n,
                           const dw_bait_picture *picture, dw_error *err) {
  uint8_t *png = NULL;
  size_t bytes = 0;
  dw_status status = dw_png_baits(shelf, views, n, picture, &png, &bytes, err);
  if (status == DW_OK) status = dw_file_write(file, png, bytes, err);
  free(png);
  return status;
}

static dw_status draw(const cli_args *args, const dw_shelf *shelf, const dw_bait_view *views, size_t n,
                      dw_bait_picture *picture, dw_error *err) {
  const char *svg = cli_value(args, "--svg"), *png = cli_value(args, "--png");
  dw_arena *arena = NULL;
  dw_found *found = NULL;
  dw_status status = DW_OK;
  if (cli_has(args, "--outline-from")) {
    found = calloc(1, sizeof *found);
    arena = dw_arena_new(0);
    status = found && arena ? DW_OK : dw_fail_memory(err, "the outline");
    if (status == DW_OK) status = take_found(args, views[0].blends->n, arena, found, picture, err);
  }
  if (status == DW_OK && svg) status = write_svg(svg, shelf, views, n, picture, err);
  if (status == DW_OK && png) status = write_png(png, shelf, views, n, picture, err);
  dw_arena_free(arena);
  free(found);
  return status;
}

static dw_status check(const cli_args *args, bool any, dw_error *err) {
  static const char *const of_one[] = {"--shares", "--outline", "--outline-from", "--bait"};
  for (size_t i = 0; i < sizeof of_one / sizeof *of_one && !any; i++)
    if (cli_has(args, of_one[i]))
      return dw_fail(err, DW_USAGE, "%s belongs to a picture; give --svg FILE or --png FILE, too.",
                     of_one[i]);
  if (cli_has(args, "--outline") && cli_has(args, "--outline-from"))
    return dw_fail(err, DW_USAGE, "Give --outline or --outline-from, not both.");
  if (cli_has(args, "--bait") && !cli_has(args, "--outline-from"))
    return dw_fail(err, DW_USAGE, "--bait says which bait of the photo that --outline-from names.");
  return DW_OK;
}

dw_status cli_blend_pictures(const cli_args *args, const dw_shelf *shelf, const dw_blends *now,
                             const dw_blends *then, dw_error *err) {
  const dw_bait_view views[] = {{now, then ? "as it is" : NULL}, {then, "as it will be"}};
  const bool any = cli_has(args, "--svg") || cli_has(args, "--png");
  dw_bait_picture picture = {.id = "bait"};
  dw_status status = check(args, any, err);
  if (status == DW_OK) status = cli_shares(args, now->n, picture.share, err);
  if (status == DW_OK) status = cli_outline(args, &picture.outline, err);
  return status == DW_OK && any ? draw(args, shelf, views, then ? 2 : 1, &picture, err) : status;
}
