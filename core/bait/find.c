/* The whole search: board, things, bodies, axis, strip, layers, colors. */
#include "bait/judge.h"
#include "bait/likeness.h"
#include "bait/read.h"

#include "dropwise/numeric.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Kept pixels of a photo that are enough, and that memory is planned for. */
#define PIXELS_ENOUGH 3.5e6
/* The targets decide what is the back where the other way round is so much worse, CIEDE2000 over all layers.
 */
#define TURN_CLEAR 3.0
/* A body so much higher than the photo's usual one may be two that lie side by side. */
#define DOUBLE_HEIGHT 1.6

int dw_bait_step(const dw_photo_info *info) {
  int step = 1;
  while ((double)info->width * info->height > PIXELS_ENOUGH * step * step) step++;
  return step;
}

static dw_status rules_check(const dw_bait_rules *rules, dw_error *err) {
  size_t most = rules->layers > rules->n_target ? rules->layers : rules->n_target;
  if (most <= DW_BAIT_LAYERS_MAX) return DW_OK;
  return dw_fail(err, DW_BAD_INPUT,
                 "%zu layers can't be told apart across a bait; give 1 to %d, or mark the layers.", most,
                 DW_BAIT_LAYERS_MAX);
}

/* Back and belly: as the targets lie, else as the rules say. */
static void back_find(const dw_bait_rules *rules, dw_bait *bait) {
  double as_is = 0, turned = 0;
  if (rules->back == DW_BACK_LOWER) dw__bait_turn(bait);
  if (rules->n_target != bait->n || bait->n < 2) return;
  for (size_t i = 0; i < bait->n; i++) {
    as_is += dw_de00(bait->layer[i].reading.lab, rules->target[i]);
    turned += dw_de00(bait->layer[bait->n - 1 - i].reading.lab, rules->target[i]);
  }
  bait->back_known = fabs(as_is - turned) > TURN_CLEAR;
  if (bait->back_known && turned < as_is) dw__bait_turn(bait);
}

/* The axes of what may be baits; each that does not look like one becomes another thing. *unread counts those
 * of no one direction. */
static dw_status axes_find(const dw__view *view, dw__things *things, dw__axis *axis, size_t *unread,
                           dw_error *err) {
  dw_status status = DW_OK;
  size_t n = 0;
  for (size_t i = 0; i < things->n && status == DW_OK; i++) {
    dw__thing *thing = &things->thing[i];
    dw__likeness like = {0};
    if (thing->fate != DW__BAIT_PERHAPS) continue;
    bool found = dw__axis_find(view, things, thing, &axis[n]);
    if (found) status = dw__likeness_measure(view, things, thing, &axis[n], &like, err);
    if (found && dw__likeness_enough(&like))
      thing->axis = n++;
    else
      thing->fate = DW__OTHER_THING;
    *unread += !found;
  }
  return status;
}

/* One thing to a bait; *found says whether it could be read. */
static dw_status bait_make(const dw__view *view, const dw__things *things, const dw__thing *thing,
                           const dw__axis *axis, const dw_bait_rules *rules, const dw_light *light,
                           dw_bait *out, bool *found, dw_error *err) {
  dw__strip strip;
  dw__layers layers;
  dw_status status = dw__strip_make(view, axis, light, &strip, err);
  if (status != DW_OK) return status;
  dw__layers_fit(&strip, rules->layers ? rules->layers : rules->n_target, 1 / (axis->height * view->scale),
                 &layers);
  status = dw__bait_read(view, things, thing, axis, &strip, &layers, light, out, err);
  *found = status == DW_OK;
  if (status == DW_TOO_FEW) return DW_OK;
  if (status == DW_OK) back_find(rules, out);
  return status;
}

/* By rows of about a bait's height, left to right. */
static int by_place(const void *a, const void *b) {
  const dw_bait *p = a, *q = b;
  double py = p->box.y + p->box.h / 2.0, qy = q->box.y + q->box.h / 2.0, row = fmin(p->box.h, q->box.h) / 2.0;
  if (fabs(py - qy) > row) return py < qy ? -1 : 1;
  return (p->box.x > q->box.x) - (p->box.x < q->box.x);
}

static void notes_write(dw_baits *out) {
  double height[DW_BAITS_MAX];
  for (size_t i = 0; i < out->n; i++) height[i] = out->bait[i].height;
  double usual = dw_median(height, out->n);
  for (size_t i = 0; i < out->n; i++) {
    if (out->n > 2 && out->bait[i].height > DOUBLE_HEIGHT * usual)
      dw_note(&out->bait[i].notes,
              "This one is far higher than the others; it may be two that lie side by side.");
    if (!out->bait[i].back_known && out->bait[i].n > 1)
      dw_note(&out->bait[i].notes, "Which side is the back is taken from how the bait lies in the photo.");
  }
  if (!out->n && !out->notes.n)
    dw_note(&out->notes, "Nothing on the board looks like a bait; mark the layers.");
}

static dw_status baits_read(const dw__view *view, const dw__things *things, const dw__axis *axis,
                            const dw_bait_rules *rules, const dw_light *light, dw_arena *arena, dw_baits *out,
                            size_t *unread, dw_error *err) {
  dw_status status = DW_OK;
  out->bait = dw_arena_take(arena, DW_BAITS_MAX, sizeof *out->bait);
  if (!out->bait) return dw_fail_memory(err, "the baits");
  for (size_t i = 0; i < things->n && status == DW_OK; i++) {
    bool found;
    if (things->thing[i].fate != DW__BAIT_PERHAPS) continue;
    status = bait_make(view, things, &things->thing[i], &axis[things->thing[i].axis], rules, light,
                       &out->bait[out->n], &found, err);
    if (status == DW_OK) found ? out->n++ : ++*unread;
  }
  return status;
}

static dw_status baits_make(const dw__view *view, const dw_bait_rules *rules, const dw_light *light,
                            dw_arena *arena, dw_baits *out, dw_error *err) {
  dw__things things;
  size_t unread = 0;
  dw__axis *axis = dw_arena_take(view->arena, DW_BAITS_MAX + 1, sizeof *axis);
  dw_status status = axis ? dw__things_cut(view, &things, err) : dw_fail_memory(err, "the baits' axes");
  if (status == DW_OK) status = dw__things_judge(view, rules, &things, &out->notes, err);
  if (status == DW_OK) status = axes_find(view, &things, axis, &unread, err);
  if (status == DW_OK) status = dw__things_settle(view, &things, &out->notes, err);
  if (status == DW_OK) status = baits_read(view, &things, axis, rules, light, arena, out, &unread, err);
  if (status != DW_OK) return status;
  if (unread)
    dw_note(&out->notes, "%zu thing%s on the board %s too small or too round to be read.", unread,
            unread == 1 ? "" : "s", unread == 1 ? "is" : "are");
  qsort(out->bait, out->n, sizeof *out->bait, by_place);
  notes_write(out);
  return DW_OK;
}

dw_status dw_baits_find(const dw_patch *photo, const dw_bait_rules *rules, const dw_light *light,
                        dw_arena *arena, dw_baits *out, dw_error *err) {
  dw__view view;
  dw_baits found = {0};
  dw_status status = rules_check(rules, err);
  if (status != DW_OK) return status;
  dw_arena *search = dw_arena_new(0);
  status = search ? dw__view_make(photo, search, &view, err) : dw_fail_memory(err, "the search");
  if (status == DW_OK) status = dw__board_fit(&view, &found.board_share, &found.board_lab, err);
  found.board = found.board_share > 0;
  if (status == DW_OK && !found.board)
    dw_note(&found.notes,
            "No plain board covers a good part of the photo, so no bait was looked for; mark the layers.");
  if (status == DW_OK && found.board) status = dw__things_mark(&view, err);
  if (status == DW_OK && found.board) status = baits_make(&view, rules, light, arena, &found, err);
  if (status == DW_OK) *out = found;
  dw_arena_free(search);
  return status;
}
