/* Drops on a white table: the card by its own colors, the drops, and each one's middle by the light. */
#include "dropwise/read_drizzle.h"

#include "dropwise/bait.h"
#include "read/drops.h"
#include "read/finding.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Of the largest circle in a drop: its middle, where it is thickest and even. */
#define MIDDLE 0.5
/* A white table is at least so light, and no more colored. */
#define TABLE_L_LEAST 75.0
#define TABLE_C_MOST 12.0
/* What the light may lack from the card to a drop, or have on top, before it is said. */
#define UNEVEN_SAID 1.25
/* Pixels of a drop's middle that are enough. */
enum { PIXELS_ENOUGH = 60000 };

typedef struct work {
  dw__finding f;
  dw__drops drops;
  dw_drizzle *out;
} work;

/* ---- the table -------------------------------------------------------------------------------------------------- */

static dw_xyz xyz_at(const dw_light *light, const double rgb[3], double x, double y) {
  float in[3] = {(float)rgb[0], (float)rgb[1], (float)rgb[2]}, px = (float)x, py = (float)y, xyz[3];
  dw_light_xyz(light, in, &px, &py, 1, xyz);
  return (dw_xyz){(double)xyz[0], (double)xyz[1], (double)xyz[2]};
}

static dw_xyz table_at_card(const work *w) {
  const dw_photo_info *info = dw_photo_info_get(w->f.photo);
  double x = info->width / 2.0, y = info->height / 2.0;
  dw_corners at;
  if (dw__finding_covers(&w->f, &at)) dw_corners_middle(&at, &x, &y);
  return xyz_at(w->f.light, w->drops.card_table, x, y);
}

static dw_status table_read(work *w, dw_error *err) {
  const char *path = dw_photo_path(w->f.photo);
  if (!w->drops.table)
    return dw_fail(
        err, DW_NOT_FOUND,
        "%s: no plain table covers a good part of the photo: drizzle onto something white that fills it.",
        path);
  dw_xyz xyz = table_at_card(w);
  dw_lab lab = dw_lab_from_xyz(xyz);
  if (lab.L < TABLE_L_LEAST || hypot(lab.a, lab.b) > TABLE_C_MOST) {
    char words[64];
    dw_color_words(lab, words, sizeof words);
    return dw_fail(err, DW_NOT_FOUND,
                   "%s: what lies under is %s (L* %.0f), not white: drizzle onto a white plate or table.",
                   path, words, lab.L);
  }
  w->out->table = lab;
  w->out->reflectance = fmin(xyz.Y, 1);
  return DW_OK;
}

/* ---- how many ----------------------------------------------------------------------------------------------------- */

static dw_status none_found(const work *w, dw_error *err) {
  const char *path = dw_photo_path(w->f.photo);
  if (!w->drops.others)
    return dw_fail(err, DW_NOT_FOUND, "%s: nothing that looks like a drop lies on the table.", path);
  return dw_fail(err, DW_NOT_FOUND,
                 "%s: no drops lie there: the largest thing %s; a bait is read by dropwise find.", path,
                 w->drops.other);
}

static dw_status count_check(const work *w, const dw_drizzle_wish *wish, dw_error *err) {
  const char *path = dw_photo_path(w->f.photo);
  size_t n = w->drops.n;
  if (n == 0) return none_found(w, err);
  if (n > DW_DRIZZLE_MAX)
    return dw_fail(err, DW_NOT_FOUND, "%s: there lie %zu drops; at most %d can be read at once.", path, n,
                   DW_DRIZZLE_MAX);
  if (wish->n && n != wish->n)
    return dw_fail(
        err, DW_NOT_FOUND,
        "%s: there are %zu cups, and %zu drop%s found: one drop of each, side by side, none like the "
        "table%s%s.",
        path, wish->n, n, n == 1 ? " was" : "s were", w->drops.others ? "; something else there " : "",
        w->drops.others ? w->drops.other : "");
  if (wish->n > 1 && !w->drops.in_row)
    return dw_fail(err, DW_NOT_FOUND,
                   "%s: the drops lie in no row, so whose is whose can't be told: drizzle them side by side.",
                   path);
  return DW_OK;
}

/* ---- each drop ---------------------------------------------------------------------------------------------------- */

static void mark_drops(const work *w, const dw_drizzle_wish *wish, dw_marks *out) {
  out->n = w->drops.n;
  for (size_t i = 0; i < out->n; i++) {
    const dw__drop *drop = &w->drops.drop[i];
    dw_mark *mark = &out->layer[i];
    *mark = (dw_mark){.shape = {.kind = DW_SHAPE_ELLIPSE}};
    const double xy[4] = {drop->x, drop->y, MIDDLE * drop->radius, MIDDLE * drop->radius};
    memcpy(mark->shape.xy, xy, sizeof xy);
    if (wish->n)
      dw_copy_text(mark->name, sizeof mark->name, wish->name[i]);
    else
      snprintf(mark->name, sizeof mark->name, "drop %zu", i + 1);
  }
}

/* The drop as if as much light fell on it as on the card: the table beside both says what is missing. */
static void light_even(const work *w, size_t i, dw_reading *reading) {
  const dw__drop *drop = &w->drops.drop[i];
  double card = table_at_card(w).Y, here = xyz_at(w->f.light, drop->table, drop->x, drop->y).Y;
  if (!(here > 0) || !(card > 0)) return;
  double up = card / here;
  dw_xyz xyz = dw_xyz_from_lab(reading->lab);
  reading->lab = dw_lab_from_xyz((dw_xyz){up * xyz.X, up * xyz.Y, up * xyz.Z});
  reading->lch = dw_lch_from_lab(reading->lab);
  if (up > UNEVEN_SAID || up < 1 / UNEVEN_SAID)
    dw_note(&reading->notes, "The light falls off by %.0f%% between card and drop; lay them closer together.",
            100 * (1 - fmin(up, 1 / up)));
}

static dw_status drops_measure(work *w, const dw_marks *marks, dw_error *err) {
  dw_photo_reading *reading = &w->out->reading;
  dw_status status = DW_OK;
  for (size_t i = 0; i < marks->n && status == DW_OK; i++) {
    status = dw_flow_measure(w->f.photo, w->f.light, &marks->layer[i], PIXELS_ENOUGH, w->f.pixels,
                             &reading->layer[i], NULL, err);
    if (status == DW_OK) light_even(w, i, &reading->layer[i].reading);
  }
  reading->n = marks->n;
  return status;
}

static dw_status drizzle_make(work *w, const dw_drizzle_wish *wish, size_t max_bytes, dw_error *err) {
  const dw_photo_info *info = dw_photo_info_get(w->f.photo);
  dw_corners at;
  dw_status status = dw_photo_preview(w->f.photo, dw_bait_view_side(info->width, info->height), w->f.pixels,
                                      &w->f.view, err);
  if (status == DW_OK) status = dw__finding_light(&w->f, max_bytes, err);
  if (status == DW_OK)
    status = dw__drops_find(&w->f.view, dw__finding_covers(&w->f, &at) ? &at : NULL, &w->drops, err);
  if (status == DW_OK) status = table_read(w, err);
  if (status == DW_OK) status = count_check(w, wish, err);
  if (status != DW_OK) return status;
  dw__finding_head(&w->f, &w->out->reading);
  mark_drops(w, wish, w->f.marks);
  return drops_measure(w, w->f.marks, err);
}

dw_status dw_drizzle_in(dw_photo *photo, dw_marks *marks, const dw_drizzle_wish *wish, size_t max_bytes,
                        dw_drizzle *out, dw_error *err) {
  work w = {.f = {.photo = photo, .marks = marks, .pixels = dw_arena_new(max_bytes)},
            .out = calloc(1, sizeof *w.out)};
  dw_status status =
      w.f.pixels && w.out ? drizzle_make(&w, wish, max_bytes, err) : dw_fail_memory(err, "the drops");
  if (status == DW_OK) *out = *w.out;
  dw_light_free(w.f.light);
  dw_arena_free(w.f.pixels);
  free(w.out);
  return status;
}

static dw_status read_open(dw_photo *photo, const dw_drizzle_wish *wish, dw_marks *marks, dw_drizzle *out,
                           dw_error *err) {
  dw_status status = dw__finding_marks(wish->card_set, wish->light, marks, err);
  return status == DW_OK ? dw_drizzle_in(photo, marks, wish, dw_photo_limits_default().max_bytes, out, err)
                         : status;
}

dw_status dw_drizzle_read(const char *path, const dw_drizzle_wish *wish, dw_drizzle *out, dw_error *err) {
  dw_photo *photo = NULL;
  dw_marks *marks = malloc(sizeof *marks);
  dw_status status = marks ? dw_photo_open(path, NULL, &photo, err) : dw_fail_memory(err, "the card");
  if (status == DW_OK) status = read_open(photo, wish, marks, out, err);
  dw_photo_close(photo);
  free(marks);
  return status;
}

dw_status dw_drizzle_photo(const char *path, const dw_drizzle_wish *wish, dw_drizzle *out, dw_read_photo *to,
                           dw_error *err) {
  dw_photo *photo = NULL;
  dw_status status = dw_photo_open(path, NULL, &photo, err);
  if (status == DW_OK) status = read_open(photo, wish, &to->marks, out, err);
  if (status == DW_OK) status = dw__keepsake_make(photo, to, err);
  if (status == DW_OK) to->reading = out->reading;
  dw_photo_close(photo);
  return status;
}
