/* The whole search: board, things, bodies, axis, strip, layers, colors. */
#include "bait/agree.h"
#include "bait/back.h"
#include "bait/judge.h"
#include "bait/likeness.h"
#include "bait/near_board.h"
#include "bait/read.h"

#include "dropwise/numeric.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Pixels of all baits that are enough, and that memory is planned for. */
#define PIXELS_ENOUGH 2e6
/* And of a whole photo. */
#define PIXELS_WHOLE 3.5e6
/* In a photo of at most so many pixels a bait's are thinned only where all baits' are more than enough. */
#define PHOTO_SMALL 4e6
/* The most that a body's pixels are thinned, as long as there is one for each place of its profile. */
enum { STEP_MOST = 4 };
/* What is read around a bait, pixels of the view. */
#define MARGIN 6
/* A body so much higher than the photo's usual one may be two that lie side by side. */
#define DOUBLE_HEIGHT 1.6

int dw_bait_step(const dw_photo_info *info) {
  int step = 1;
  while ((double)info->width * info->height > PIXELS_WHOLE * step * step) step++;
  return step;
}

/* What one search works with. */
typedef struct search {
  const dw_bait_rules *rules;
  const dw_light *light;
  dw_arena *arena; /* of the result */
  dw__view view;
  const dw_patch *whole; /* the photo, or else: */
  dw_photo *photo;
  dw__things things;
  dw__axis axis[DW_BAITS_MAX];
  dw_patch near[DW_BAITS_MAX]; /* each bait, from the photo's own pixels */
  dw__strip strip[DW_BAITS_MAX];
  dw__layers layers[DW_BAITS_MAX];
  size_t n, unread;
} search;

static dw_status rules_check(const dw_bait_rules *rules, dw_error *err) {
  size_t most = rules->layers > rules->n_target ? rules->layers : rules->n_target;
  if (most <= DW_BAIT_LAYERS_MAX) return DW_OK;
  return dw_fail(err, DW_BAD_INPUT,
                 "%zu layers can't be told apart across a bait; give 1 to %d, or mark the layers.", most,
                 DW_BAIT_LAYERS_MAX);
}

/* Keeps the axis along which the thing looks like a bait: the body's own, else that of all of it.
 * found  whether there is any;  chosen  whether one is kept */
static dw_status axis_choose(search *s, dw__thing *thing, bool *found, bool *chosen, dw_error *err) {
  dw_status status = DW_OK;
  dw__axis axis;
  *found = *chosen = false;
  for (dw__axis_of what = DW__AXIS_OF_BODY; what < DW__AXES && status == DW_OK && !*chosen; what++) {
    dw__likeness like;
    bool there;
    status = dw__axis_find(&s->view, &s->things, thing, what, &axis, &there, err);
    if (status != DW_OK || !there) continue;
    *found = true;
    status = dw__likeness_measure(&s->view, &s->things, thing, &axis, &like, err);
    *chosen = status == DW_OK && dw__likeness_enough(&like);
  }
  if (!*chosen) return status;
  s->axis[s->n] = axis;
  thing->axis = s->n++;
  return status;
}

/* The axes of the things of one fate, which may be baits; each that does not look like one becomes something else. */
static dw_status axes_find(search *s, dw__fate fate, dw__fate other, dw_error *err) {
  dw_status status = DW_OK;
  for (size_t i = 0; i < s->things.n && status == DW_OK; i++) {
    dw__thing *thing = &s->things.thing[i];
    bool found, chosen;
    if (thing->fate != fate) continue;
    status = axis_choose(s, thing, &found, &chosen, err);
    thing->fate = chosen ? DW__BAIT_PERHAPS : other;
    s->unread += !found;
  }
  return status;
}

/* Whether a bait's pixels may be left out for its height. Only a JPEG is kept decoded, for several steps; and a small one is quick. */
static bool may_thin(const search *s) {
  const dw_photo_info *photo = s->photo ? dw_photo_info_get(s->photo) : NULL;
  return photo && strcmp(photo->format, "JPEG") == 0 && (double)photo->width * photo->height > PHOTO_SMALL;
}

/* Every how many pixels a body of a height is read from. */
static int step_for(const search *s, double height) {
  int step = 1;
  if (!may_thin(s)) return step;
  while (step < STEP_MOST && height >= 2 * step * DW_BAIT_PROFILE) step *= 2;
  return step;
}

/* What is read of the photo where the baits lie. */
typedef struct nearby {
  size_t n, axis[DW_BAITS_MAX];
  dw_rect box[DW_BAITS_MAX];
  int step[DW_BAITS_MAX];
} nearby;

static void nearby_plan(const search *s, nearby *out) {
  double pixels = 0; /* all of them */
  for (size_t i = 0; i < s->things.n; i++) {
    const dw__thing *thing = &s->things.thing[i];
    if (thing->fate != DW__BAIT_PERHAPS) continue;
    dw_rect box = out->box[out->n] = dw__thing_box(&s->view, thing, MARGIN);
    out->step[out->n] = step_for(s, s->axis[thing->axis].height * s->view.unit);
    out->axis[out->n++] = thing->axis;
    pixels += (double)box.w * box.h;
  }
  for (int least = 2; pixels > PIXELS_ENOUGH * least * least / 4; least *= 2)
    for (size_t i = 0; i < out->n; i++) out->step[i] = out->step[i] > least ? out->step[i] : least;
}

/* Those of one step. */
static dw_status near_take_some(search *s, const nearby *all, int step, dw_error *err) {
  dw_rect box[DW_BAITS_MAX];
  dw_patch patch[DW_BAITS_MAX];
  size_t axis[DW_BAITS_MAX], n = 0;
  for (size_t i = 0; i < all->n; i++)
    if (all->step[i] == step) box[n] = all->box[i], axis[n++] = all->axis[i];
  if (!n) return DW_OK;
  dw_status status = dw_photo_patches_coded(s->photo, box, n, step, s->view.arena, patch, err);
  for (size_t i = 0; i < n && status == DW_OK; i++) s->near[axis[i]] = patch[i];
  return status;
}

/* The photo's own pixels where the baits lie. */
static dw_status near_take(search *s, dw_error *err) {
  nearby all = {.n = 0};
  dw_status status = DW_OK;
  int most = 1;
  nearby_plan(s, &all);
  for (size_t i = 0; i < all.n; i++) {
    if (s->whole) s->near[all.axis[i]] = *s->whole;
    most = all.step[i] > most ? all.step[i] : most;
  }
  for (int step = 1; step <= most && !s->whole && status == DW_OK; step *= 2)
    status = near_take_some(s, &all, step, err);
  return status;
}

/* The photo's pixel as a share of the bait's height. */
static double pixel_share(const search *s, const dw__thing *thing) {
  return dw_patch_step(&s->near[thing->axis]) / (s->axis[thing->axis].height * s->view.unit);
}

static dw_status layers_find(search *s, const dw__thing *thing, dw_error *err) {
  size_t i = thing->axis;
  dw_status status = dw__strip_make(&s->view, &s->near[i], &s->axis[i], s->light, &s->strip[i], err);
  if (status == DW_OK)
    dw__layers_fit(&s->strip[i], s->rules->layers ? s->rules->layers : s->rules->n_target,
                   pixel_share(s, thing), &s->layers[i]);
  return status;
}

/* Those of one shot have one number of layers, which may be given. */
static void layers_agree(search *s) {
  dw__of_shot shot[DW_BAITS_MAX];
  size_t n = 0;
  if (s->rules->layers || s->rules->n_target) return;
  for (size_t i = 0; i < s->things.n; i++) {
    const dw__thing *thing = &s->things.thing[i];
    if (thing->fate != DW__BAIT_PERHAPS) continue;
    shot[n++] = (dw__of_shot){&s->strip[thing->axis], &s->layers[thing->axis], pixel_share(s, thing)};
  }
  dw__layers_agree(shot, n);
}

/* One thing to a bait; *found says whether it could be read. */
static dw_status bait_make(const search *s, const dw__thing *thing, dw_bait *out, bool *found,
                           dw_error *err) {
  size_t i = thing->axis;
  dw_status status = dw__bait_read(&s->view, &s->near[i], &s->things, thing, &s->axis[i], &s->strip[i],
                                   &s->layers[i], s->light, out, err);
  *found = status == DW_OK;
  return status == DW_TOO_FEW ? DW_OK : status;
}

/* By rows of about a bait's height, left to right. */
static int by_place(const void *a, const void *b) {
  const dw_bait *p = a, *q = b;
  double py = p->box.y + p->box.h / 2.0, qy = q->box.y + q->box.h / 2.0, row = fmin(p->box.h, q->box.h) / 2.0;
  if (fabs(py - qy) > row) return py < qy ? -1 : 1;
  return (p->box.x > q->box.x) - (p->box.x < q->box.x);
}

/* A slim bait has no room for many layers. */
static void note_number(size_t asked, dw_bait *bait) {
  if (asked && bait->n != asked)
    dw_note(&bait->notes, "Only %zu layer%s can be told apart in this bait, not the %zu that are asked for.",
            bait->n, bait->n == 1 ? "" : "s", asked);
}

static void notes_write(const dw_bait_rules *rules, dw_baits *out) {
  double height[DW_BAITS_MAX];
  for (size_t i = 0; i < out->n; i++) height[i] = out->bait[i].height;
  double usual = dw_median(height, out->n);
  for (size_t i = 0; i < out->n; i++) {
    note_number(rules->layers ? rules->layers : rules->n_target, &out->bait[i]);
    if (out->n > 2 && out->bait[i].height > DOUBLE_HEIGHT * usual)
      dw_note(&out->bait[i].notes,
              "This one is far higher than the others; it may be two that lie side by side.");
  }
  if (!out->n && !out->notes.n)
    dw_note(&out->notes, "Nothing on the board looks like a bait; mark the layers.");
}

static dw_status baits_read(search *s, dw_baits *out, dw_error *err) {
  dw_status status = near_take(s, err);
  out->bait = dw_arena_take(s->arena, DW_BAITS_MAX, sizeof *out->bait);
  if (!out->bait) return dw_fail_memory(err, "the baits");
  for (size_t i = 0; i < s->things.n && status == DW_OK; i++)
    if (s->things.thing[i].fate == DW__BAIT_PERHAPS) status = layers_find(s, &s->things.thing[i], err);
  if (status == DW_OK) layers_agree(s);
  for (size_t i = 0; i < s->things.n && status == DW_OK; i++) {
    bool found;
    if (s->things.thing[i].fate != DW__BAIT_PERHAPS) continue;
    status = bait_make(s, &s->things.thing[i], &out->bait[out->n], &found, err);
    if (status == DW_OK) found ? out->n++ : s->unread++;
  }
  return status;
}

static dw_status baits_make(search *s, dw_baits *out, dw_error *err) {
  dw_status status = dw__things_mark(&s->view, err);
  if (status == DW_OK) status = dw__things_cut(&s->view, &s->things, err);
  if (status == DW_OK) status = dw__things_judge(&s->view, s->rules, &s->things, &out->notes, err);
  if (status == DW_OK) status = axes_find(s, DW__BAIT_PERHAPS, DW__OTHER_THING, err);
  if (status == DW_OK) status = dw__things_settle(&s->view, &s->things, &out->notes, err);
  if (status == DW_OK) status = dw__things_cut_short(&s->view, &s->things, err);
  if (status == DW_OK) status = axes_find(s, DW__BAIT_SHORT, DW__BAIT_CUT, err);
  if (status == DW_OK) dw__things_note(&s->things, &out->notes);
  if (status == DW_OK) status = baits_read(s, out, err);
  if (status != DW_OK) return status;
  if (s->unread)
    dw_note(&out->notes, "%zu thing%s on the board %s too small or too round to be read.", s->unread,
            s->unread == 1 ? "" : "s", s->unread == 1 ? "is" : "are");
  qsort(out->bait, out->n, sizeof *out->bait, by_place);
  dw__backs_find(s->rules, out);
  dw__board_notes(s->rules, out);
  notes_write(s->rules, out);
  return DW_OK;
}

/* In a view that was made. */
static dw_status search_run(search *s, dw_baits *out, dw_error *err) {
  dw_baits found = {0};
  dw_status status = dw__board_fit(&s->view, &found.board_share, &found.board_lab, err);
  found.board = found.board_share > 0;
  if (found.board) found.board_lab = dw__lab_by_light(s->light, found.board_lab);
  if (status == DW_OK && !found.board)
    dw_note(&found.notes,
            "No plain board covers a good part of the photo, so no bait was looked for; mark the layers.");
  if (status == DW_OK && found.board) status = baits_make(s, &found, err);
  if (status == DW_OK) *out = found;
  return status;
}

static search *search_new(const dw_bait_rules *rules, const dw_light *light, dw_arena *arena, dw_arena *own) {
  search *s = dw_arena_take(own, 1, sizeof *s); /* large and zeroed: what no bait uses is never touched */
  if (s) s->rules = rules, s->light = light, s->arena = arena;
  return s;
}

dw_status dw_baits_find(const dw_patch *photo, const dw_bait_rules *rules, const dw_light *light,
                        dw_arena *arena, dw_baits *out, dw_error *err) {
  dw_status status = rules_check(rules, err);
  if (status != DW_OK) return status;
  dw_arena *own = dw_arena_new(0);
  search *s = own ? search_new(rules, light, arena, own) : NULL;
  if (!s) status = dw_fail_memory(err, "the search");
  if (status == DW_OK) s->whole = photo;
  if (status == DW_OK) status = dw__view_of_patch(photo, own, &s->view, err);
  if (status == DW_OK) status = search_run(s, out, err);
  dw_arena_free(own);
  return status;
}

dw_status dw_baits_find_in(dw_photo *photo, const dw_preview *view, const dw_bait_rules *rules,
                           const dw_light *light, dw_arena *arena, dw_baits *out, dw_error *err) {
  dw_status status = rules_check(rules, err);
  if (status != DW_OK) return status;
  dw_arena *own = dw_arena_new(0);
  search *s = own ? search_new(rules, light, arena, own) : NULL;
  if (!s) status = dw_fail_memory(err, "the search");
  if (status == DW_OK) s->photo = photo;
  if (status == DW_OK) status = dw__view_of_preview(view, own, &s->view, err);
  if (status == DW_OK) status = search_run(s, out, err);
  dw_arena_free(own);
  return status;
}
