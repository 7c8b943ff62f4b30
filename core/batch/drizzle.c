/* Whose drops they are, and what they say. docs/drizzle.md */
#include "batch/carry.h"
#include "dropwise/batch_drizzle.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Another order must explain the drops by so many times e better, and this many drops at most are put in all orders. */
#define SWAP_CLEAR 6.0
enum { ORDERED_MOST = 6 };

/* ---- one drop ----------------------------------------------------------------------------------------------------- */

static void told_words(const dw_film *film, char *out, size_t room) {
  snprintf(out, room,
           "A film of about %.2g mm (%.2g to %.2g). As a bait it is %.0f,%.0f,%.0f, off by about %.1f; by "
           "its drops it "
           "should be %.0f,%.0f,%.0f.",
           film->thickness_mm, film->thinnest_mm, film->thickest_mm, film->lab.L, film->lab.a, film->lab.b,
           film->doubt_de00, film->predicted.L, film->predicted.a, film->predicted.b);
}

static void film_words(const dw_film *film, char *out, size_t room) {
  switch (film->verdict) {
  case DW_FILM_TOLD:
    told_words(film, out, room);
    return;
  case DW_FILM_UNFITTED:
    snprintf(out, room,
             "A bottle in the cup has no chips, so nothing says how its film and its bait differ.");
    return;
  case DW_FILM_OTHER:
    snprintf(out, room,
             "At no thickness do the cup's drops look like this film (%.0f off at the nearest): other drops "
             "than the book "
             "has, or another cup.",
             film->off_de00);
    return;
  case DW_FILM_UNSURE:
    snprintf(out, room,
             "A film of about %.2g mm, which as a bait leaves a doubt of %.1f: too much to correct by. "
             "Drizzle more of it, "
             "or pour a bait.",
             film->thickness_mm, film->doubt_de00);
    return;
  default:
    snprintf(out, room,
             "The film says hardly more than the drops in the cup do by themselves: drizzle more of it, with "
             "a card beside it.");
  }
}

static dw_status drop_judge(const dw_drizzle *drizzle, size_t i, const dw_shelf *shelf,
                            const dw_drop_cup *cup, dw_film *out, dw_error *err) {
  const dw_reading *r = &drizzle->reading.layer[i].reading;
  dw_film_look look = {r->lab, r->uncertainty_de00, fmin(fmax(drizzle->reflectance, .01), 1)};
  return dw_film_judge(shelf, &cup->loadings, &cup->bait, &look, out, err);
}

/* ---- whose drops ---------------------------------------------------------------------------------------------------- */

typedef struct orders {
  size_t n;
  double evidence[ORDERED_MOST][ORDERED_MOST]; /* of drop i for cup k */
  size_t now[ORDERED_MOST], best[ORDERED_MOST];
  double best_sum;
} orders;

static void orders_try(orders *o, size_t at, unsigned taken, double sum) {
  if (at == o->n) {
    if (sum <= o->best_sum) return;
    o->best_sum = sum;
    memcpy(o->best, o->now, sizeof o->best);
    return;
  }
  for (size_t k = 0; k < o->n; k++) {
    if (taken >> k & 1) continue;
    o->now[at] = k;
    orders_try(o, at + 1, taken | 1u << k, sum + o->evidence[at][k]);
  }
}

static void swap_words(const dw_drizzle *drizzle, dw_drops_judged *out) {
  char seen[DW_NOTE_TEXT / 2] = "", said[DW_NOTE_TEXT / 2] = "";
  for (size_t i = 0; i < out->n; i++) {
    size_t s = strlen(seen), p = strlen(said);
    snprintf(seen + s, sizeof seen - s, "%s%s", i ? ", " : "", drizzle->reading.layer[out->like[i]].name);
    snprintf(said + p, sizeof said - p, "%s%s", i ? ", " : "", drizzle->reading.layer[i].name);
  }
  snprintf(out->swap_words, sizeof out->swap_words,
           "What is taken for %s looks like the drops of %s: say how they lie with the order.", said, seen);
}

/* Cups all of which can be predicted are held against the drops in every order. */
static dw_status order_check(const dw_drizzle *drizzle, const dw_shelf *shelf, const dw_drop_cup *cups,
                             dw_drops_judged *out, dw_error *err) {
  orders o = {.n = out->n, .best_sum = -INFINITY};
  double as_said = 0;
  if (out->n < 2 || out->n > ORDERED_MOST) return DW_OK;
  for (size_t i = 0; i < out->n; i++)
    if (!out->drop[i].known || out->drop[i].film.verdict == DW_FILM_UNFITTED) return DW_OK;
  for (size_t i = 0; i < out->n; i++)
    for (size_t k = 0; k < out->n; k++) {
      dw_film film = out->drop[i].film;
      dw_status status = i == k ? DW_OK : drop_judge(drizzle, i, shelf, &cups[k], &film, err);
      if (status != DW_OK) return status;
      o.evidence[i][k] = film.evidence;
      if (i == k) as_said += film.evidence;
    }
  orders_try(&o, 0, 0, 0);
  if (!(o.best_sum > as_said + SWAP_CLEAR)) return DW_OK;
  out->swapped = true;
  memcpy(out->like, o.best, sizeof o.best);
  swap_words(drizzle, out);
  return DW_OK;
}

dw_status dw_drops_judge(const dw_drizzle *drizzle, const dw_shelf *shelf, const dw_drop_cup *cups,
                         dw_drops_judged *out, dw_error *err) {
  dw_drops_judged judged = {.n = drizzle->reading.n};
  dw_status status = DW_OK;
  for (size_t i = 0; i < judged.n && status == DW_OK; i++) {
    dw_drop *drop = &judged.drop[i];
    judged.like[i] = i;
    drop->verdict = "unknown";
    dw_copy_text(drop->words, sizeof drop->words,
                 "Nobody said what is in this cup, so only films can be compared.");
    if (!(drop->known = cups[i].known)) continue;
    status = drop_judge(drizzle, i, shelf, &cups[i], &drop->film, err);
    if (status != DW_OK) break;
    drop->verdict = dw_film_verdict_text(drop->film.verdict);
    film_words(&drop->film, drop->words, sizeof drop->words);
    judged.told += drop->film.verdict == DW_FILM_TOLD;
  }
  if (status == DW_OK) status = order_check(drizzle, shelf, cups, &judged, err);
  if (status == DW_OK) *out = judged;
  return status;
}

/* ---- the batch's cups ------------------------------------------------------------------------------------------------ */

static dw_status cup_load(dw_book *book, const dw_book_cup *kept, const dw_shelf *shelf, const dw_slab *said,
                          dw_drop_cup *out, dw_error *err) {
  dw_cup cup;
  size_t missing, n = 0;
  dw_pour_kept *pours = NULL;
  dw_status status = dw_book_cup_now(book, kept->id, shelf, &cup, &missing, err);
  if (status == DW_OK) status = dw_pour_list(book, kept->id, &pours, &n, err);
  if (status == DW_OK) {
    out->bait = dw_slab_said(said, n ? &pours[n - 1].slab : NULL);
    out->known = kept->additions > 0 && !missing && cup.volume_floz > 0;
    if (out->known) dw_cup_loadings(&cup, &out->loadings);
  }
  free(pours);
  return status;
}

dw_status dw_drop_cups_load(dw_book *book, const dw_pattern *pattern, int64_t batch, const dw_shelf *shelf,
                            const dw_slab *said, dw_drop_cup *out, dw_error *err) {
  for (size_t i = 0; i < pattern->n; i++) {
    dw_book_cup kept;
    out[i] = (dw_drop_cup){.bait = dw_slab_said(said, NULL)};
    dw_status status = dw_book_cup_find(book, batch, pattern->layer[i].id, &kept, err);
    if (status == DW_OK) status = cup_load(book, &kept, shelf, said, &out[i], err);
    if (status != DW_OK && status != DW_NOT_FOUND) return status;
  }
  return DW_OK;
}

/* ---- in which order ---------------------------------------------------------------------------------------------------- */

static dw_status order_wrong(const char *order, const char *const *names, size_t n, dw_error *err) {
  char all[DW_NOTE_TEXT] = "";
  for (size_t i = 0; i < n; i++) {
    size_t at = strlen(all);
    snprintf(all + at, sizeof all - at, "%s%s", i ? "," : "", names[i]);
  }
  return dw_fail(err, DW_USAGE, "The order \"%.80s\" does not name each of %s once.", order, all);
}

dw_status dw_drizzle_order(const char *order, const char *const *names, size_t n, dw_drizzle_wish *wish,
                           dw_error *err) {
  unsigned taken = 0;
  const char *at = order;
  wish->n = n;
  for (size_t i = 0; i < n; i++) {
    size_t k = order ? n : i, length = 0;
    for (size_t c = 0; order && c < n; c++) {
      length = strlen(names[c]);
      if (strncmp(at, names[c], length) == 0 && at[length] == (i + 1 < n ? ',' : '\0')) {
        k = c;
        break;
      }
    }
    if (k == n || taken >> k & 1) return order_wrong(order, names, n, err);
    taken |= 1u << k;
    wish->name[i] = names[k];
    if (order) at += length + (at[length] == ',');
  }
  return DW_OK;
}

void dw_drizzle_arrange(const char *const *names, size_t n, dw_drizzle *drizzle) {
  for (size_t i = 0; i < n; i++)
    for (size_t k = i; k < drizzle->reading.n; k++) {
      if (strcmp(drizzle->reading.layer[k].name, names[i]) != 0) continue;
      dw_layer_reading keep = drizzle->reading.layer[i];
      drizzle->reading.layer[i] = drizzle->reading.layer[k];
      drizzle->reading.layer[k] = keep;
    }
}

dw_status dw_drizzle_of_pattern(const char *path, const dw_drizzle_wish *given, const dw_pattern *pattern,
                                const char *order, dw_drizzle *out, dw_read_photo *photo, dw_error *err) {
  const char *name[DW_PATTERN_LAYERS_MAX];
  dw_drizzle_wish wish = *given;
  if (pattern->n > DW_DRIZZLE_MAX)
    return dw_fail(err, DW_BAD_INPUT, "\"%s\" has %zu layers, and at most %d drops can be read at once.",
                   pattern->name, pattern->n, DW_DRIZZLE_MAX);
  for (size_t i = 0; i < pattern->n; i++) name[i] = pattern->layer[i].name;
  dw_status status = dw_drizzle_order(order, name, pattern->n, &wish, err);
  if (status == DW_OK) status = dw_drizzle_photo(path, &wish, out, photo, err);
  if (status == DW_OK) dw_drizzle_arrange(name, pattern->n, out);
  return status;
}

/* ---- what is kept -------------------------------------------------------------------------------------------------------- */

dw_status dw_drops_keepable(const dw_drops_judged *judged, bool ordered, dw_read_photo *photo,
                            dw_error *err) {
  dw_photo_reading *reading = &photo->reading;
  size_t n = 0;
  if (judged->swapped && !ordered)
    return dw_fail(err, DW_REFUSED, "%s Nothing was kept.", judged->swap_words);
  if (!judged->told)
    return dw_fail(err, DW_REFUSED,
                   "What the drops say of a bait can't be told, and nothing was kept. %s: %s",
                   reading->layer[0].name, judged->drop[0].words);
  for (size_t i = 0; i < judged->n; i++) {
    const dw_film *film = &judged->drop[i].film;
    if (!judged->drop[i].known || film->verdict != DW_FILM_TOLD) continue;
    reading->layer[n] = reading->layer[i];
    dw_reading *r = &reading->layer[n].reading;
    r->lab = film->lab;
    r->lch = dw_lch_from_lab(film->lab);
    r->uncertainty_de00 = film->doubt_de00;
    n++;
  }
  reading->n = n;
  photo->marks.n = n;
  for (size_t i = 0; i < n; i++) {
    photo->marks.layer[i].shape = reading->layer[i].shape;
    memcpy(photo->marks.layer[i].name, reading->layer[i].name, sizeof photo->marks.layer[i].name);
  }
  return DW_OK;
}
