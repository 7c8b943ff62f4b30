/* Contrast ratios of baits that lie half over black and half over white. */
#include "dropwise/read_strips.h"
#include "read/finding.h"
#include "read/strip_half.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define ACROSS_SHARE                                                                                         \
  0.2                  /* of its length: so near the edge lies the middle of a bait that was mirrored there */
#define SAME_SHARE 0.6 /* of its height: so near each other two halves of one bait cross the edge */

/* One strip's baits. */
typedef struct half {
  dw_baits baits;
  double along[DW_BAITS_MAX]; /* where each crosses the edge; NAN: it does not */
} half;

typedef struct work {
  dw__finding f;
  dw_patch whole;
  dw__edge edge;
  half side[2]; /* black, white */
} work;

/* ---- the ratio ------------------------------------------------------------------------------------------ */

/* Y and its deviation, where a reading's doubt lies in its lightness alone: a unit of CIEDE2000 is S_L of L*
 * (CIE 142-2001). */
static double luminance(const dw_reading *r, double *deviation) {
  double l = r->lab.L, sl = 1 + .015 * (l - 50) * (l - 50) / sqrt(20 + (l - 50) * (l - 50));
  double y = dw_xyz_from_lab(r->lab).Y, up = dw_xyz_from_lab((dw_lab){l + 1, r->lab.a, r->lab.b}).Y;
  *deviation = (up - y) * sl * r->uncertainty_de00;
  return y;
}

void dw_see_ratio(dw_see_layer *layer) {
  double black_off, white_off, black = luminance(&layer->black, &black_off),
                               white = luminance(&layer->white, &white_off);
  layer->ratio = white > 0 ? black / white : 1;
  layer->doubt = white > 0 ? hypot(black_off, layer->ratio * white_off) / white : 1;
}

/* ---- the halves ----------------------------------------------------------------------------------------- */

/* Where its body's middle lies along the edge; NAN where that is not at the edge. */
static double crossing(const work *w, const dw_bait *bait) {
  const dw_bait_station *s = &bait->station[DW_BAIT_STATIONS / 2];
  int step = dw_patch_step(&w->whole);
  double x, y;
  dw_photo_in_patch(&w->whole, s->x, s->y, &x, &y);
  if (fabs(dw__edge_away(&w->edge, x, y)) * step > ACROSS_SHARE * bait->length) return NAN;
  return step * (w->edge.nx * y - w->edge.ny * x);
}

static dw_status half_read(work *w, int which, const dw_bait_rules *rules, dw_arena *arena, dw_error *err) {
  dw_patch board;
  dw_corners card;
  half *out = &w->side[which];
  dw_arena *pixels = dw_arena_new(0);
  const dw_corners *covered = dw__finding_card(&w->f, &w->whole, &card);
  dw_status status = pixels
                         ? dw__strip_half(&w->whole, &w->edge, which ? 1 : -1, covered, pixels, &board, err)
                         : dw_fail_memory(err, "a strip");
  if (status == DW_OK) status = dw_baits_find(&board, rules, w->f.light, arena, &out->baits, err);
  for (size_t i = 0; status == DW_OK && i < out->baits.n; i++)
    out->along[i] = crossing(w, &out->baits.bait[i]);
  dw_arena_free(pixels);
  return status;
}

/* ---- one bait of two halves ----------------------------------------------------------------------------- */

static double apart(const dw_bait *black, const dw_bait *white, bool turned) {
  double sum = 0;
  for (size_t i = 0; i < black->n; i++) {
    dw_lab p = black->layer[i].reading.lab, q = white->layer[turned ? black->n - 1 - i : i].reading.lab;
    sum += hypot(p.a - q.a, p.b - q.b); /* the backing turns lightness most */
  }
  return sum;
}

/* Both halves in the order of the one whose back the targets tell; returns whether one is. */
static bool bait_join(const dw_bait *black, const dw_bait *white, dw_see_bait *out) {
  const dw_bait_station *p = &black->station[DW_BAIT_STATIONS / 2],
                        *q = &white->station[DW_BAIT_STATIONS / 2];
  const bool across = apart(black, white, true) < apart(black, white, false),
             turn_black = across && white->back_known && !black->back_known,
             turn_white = across && !turn_black;
  *out = (dw_see_bait){.x = (p->x + q->x) / 2, .y = (p->y + q->y) / 2, .n = black->n};
  for (size_t i = 0; i < out->n; i++) {
    out->layer[i].black = black->layer[turn_black ? out->n - 1 - i : i].reading;
    out->layer[i].white = white->layer[turn_white ? out->n - 1 - i : i].reading;
    dw_see_ratio(&out->layer[i]);
  }
  return black->back_known || white->back_known || out->n < 2;
}

/* The white half that crosses the edge where this black one does. */
static const dw_bait *other_half(const work *w, size_t black) {
  const half *b = &w->side[0], *o = &w->side[1];
  const dw_bait *best = NULL;
  double least = SAME_SHARE * b->baits.bait[black].height;
  for (size_t i = 0; i < o->baits.n; i++) {
    double away = fabs(o->along[i] - b->along[black]); /* NAN is never less */
    if (!(away <= least)) continue;
    least = away;
    best = &o->baits.bait[i];
  }
  return best;
}

static void baits_join(const work *w, dw_strips *out) {
  size_t alone = 0;
  bool known = true;
  for (size_t i = 0; i < w->side[0].baits.n; i++) {
    const dw_bait *black = &w->side[0].baits.bait[i], *white = other_half(w, i);
    if (white && white->n == black->n)
      known = bait_join(black, white, &out->bait[out->n++]) && known;
    else
      alone++;
  }
  if (!known) dw_note(&out->notes, "Which side is the back is taken from how the baits lie in the photo.");
  if (alone)
    dw_note(&out->notes,
            "%zu thing%s on the black strip %s left out: not across the edge, or read with another number of "
            "layers over white.",
            alone, alone == 1 ? "" : "s", alone == 1 ? "was" : "were");
}

/* ---- the mean ------------------------------------------------------------------------------------------- */

static size_t usual_layers(const dw_strips *s) {
  size_t count[DW_BAIT_LAYERS_MAX + 1] = {0};
  for (size_t i = 0; i < s->n; i++) count[s->bait[i].n]++;
  return dw_bait_layers_usual(count);
}

/* The readings share camera and light, so their own doubt is not divided by their number. */
static void mean_take(dw_strips *s) {
  s->mean = (dw_see_bait){.n = usual_layers(s)};
  for (size_t l = 0; l < s->mean.n; l++) {
    dw_see_layer *to = &s->mean.layer[l];
    double count = 0, squares = 0, own = 0;
    for (size_t i = 0; i < s->n; i++)
      if (s->bait[i].n == s->mean.n) to->ratio += s->bait[i].layer[l].ratio, count++;
    to->ratio /= count;
    for (size_t i = 0; i < s->n; i++) {
      if (s->bait[i].n != s->mean.n) continue;
      const dw_see_layer *from = &s->bait[i].layer[l];
      squares += (from->ratio - to->ratio) * (from->ratio - to->ratio);
      own += from->doubt * from->doubt / count;
    }
    to->doubt = fmax(sqrt(own), count > 1 ? sqrt(squares / (count - 1) / count) : 0);
  }
}

/* ---- all of it ------------------------------------------------------------------------------------------ */

static dw_status halves_read(work *w, const dw_find_wish *wish, dw_arena *arena, dw_strips *out,
                             dw_error *err) {
  dw_bait_rules rules = wish->rules;
  rules.has_card = false; /* it is covered */
  dw_status status = dw__finding_pixels(&w->f, &w->whole, err);
  if (status == DW_OK) status = dw__edge_find(&w->whole, dw_photo_path(w->f.photo), &w->edge, err);
  for (int which = 0; which < 2 && status == DW_OK; which++) status = half_read(w, which, &rules, arena, err);
  if (status != DW_OK) return status;
  dw__finding_head(&w->f, &out->reading);
  baits_join(w, out);
  if (out->n == 0)
    return dw_fail(
        err, DW_NOT_FOUND,
        "%s: no bait was read across the edge of the black and the white strip (%zu things that may be "
        "baits on the black one, %zu on the white). Lay each across it, apart from the others; a dark, thin "
        "one "
        "may differ too little from black.",
        dw_photo_path(w->f.photo), w->side[0].baits.n, w->side[1].baits.n);
  mean_take(out);
  return DW_OK;
}

dw_status dw_strips_read(const char *path, const dw_find_wish *wish, dw_strips *out, dw_error *err) {
  dw_photo_limits most = dw_photo_limits_default();
  dw_strips *result = calloc(1, sizeof *result);
  work *w = calloc(1, sizeof *w);
  dw_arena *arena = dw_arena_new(0);
  dw_status status = result && w && arena ? DW_OK : dw_fail_memory(err, "the strips");
  if (status != DW_OK) goto done;
  w->f.marks = malloc(sizeof *w->f.marks);
  w->f.pixels = dw_arena_new(most.max_bytes);
  if (!w->f.marks || !w->f.pixels) status = dw_fail_memory(err, "the strips");
  if (status == DW_OK) status = dw__finding_marks(wish->card_set, wish->light, w->f.marks, err);
  if (status == DW_OK) status = dw_photo_open(path, &most, &w->f.photo, err);
  if (status == DW_OK) status = dw__finding_light(&w->f, most.max_bytes, err);
  if (status == DW_OK) status = halves_read(w, wish, arena, result, err);
  if (status == DW_OK) *out = *result;
  dw_light_free(w->f.light);
  dw_arena_free(w->f.pixels);
  dw_photo_close(w->f.photo);
  free(w->f.marks);
done:
  dw_arena_free(arena);
  free(w);
  free(result);
  return status;
}
