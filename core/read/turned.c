/* One bait in several photos, turned between them. */
#include "dropwise/read_turn.h"

#include "dropwise/numeric.h"
#include "read/finding.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Patches tell of a color by their distance from it in Lab, as the light's doubt does (docs/color-model.md#doubt). */
#define NEAR_LAB 20.0
/* The fit bends toward the patches, so that they agree better than other colors do: by so much at most. */
#define BENT_MOST 3.0

/* One photo's card, as its own light shows it. */
typedef struct card_view {
  dw_light *light; /* owned */
  size_t n;
  dw_lab patch[DW_CARD_PATCHES_MAX];
  double bent; /* left-out error over residual */
} card_view;

typedef struct work {
  const dw_marks *marks; /* one a photo, or NULL */
  bool searched;         /* they mark no layer */
  size_t n;
  dw_photo_reading *reading; /* n; owned */
  bool back_known[DW_TURN_PHOTOS_MAX];
  card_view *card; /* n; owned */
  dw_turn *out;
} work;

/* ---- the card as a witness ------------------------------------------------------------------------------ */

static dw_lab patch_lab(const dw_light *light, const dw_patch *patch, float *scratch) {
  size_t n = (size_t)patch->rect.w * (size_t)patch->rect.h;
  float rgb[3], x = (float)patch->rect.x + (float)patch->rect.w / 2,
                y = (float)patch->rect.y + (float)patch->rect.h / 2, xyz[3];
  for (size_t k = 0; k < 3; k++) {
    for (size_t i = 0; i < n; i++) scratch[i] = patch->rgb[3 * i + k];
    rgb[k] = dw_median_f(scratch, n);
  }
  dw_light_xyz(light, rgb, &x, &y, 1, xyz);
  return dw_lab_from_xyz((dw_xyz){(double)xyz[0], (double)xyz[1], (double)xyz[2]});
}

static dw_status patches_read(const dw_patch *patches, size_t n, dw_arena *arena, card_view *out,
                              dw_error *err) {
  size_t most = 1;
  for (size_t i = 0; i < n; i++) {
    size_t pixels = (size_t)patches[i].rect.w * (size_t)patches[i].rect.h;
    most = pixels > most ? pixels : most;
  }
  float *scratch = dw_arena_take(arena, most, sizeof *scratch);
  if (!scratch) return dw_fail_memory(err, "the card's patches");
  for (out->n = 0; out->n < n; out->n++)
    out->patch[out->n] = patch_lab(out->light, &patches[out->n], scratch);
  return DW_OK;
}

static dw_status card_read(dw_photo *photo, const dw_marks *marks, card_view *out, dw_error *err) {
  dw_patch *patches = NULL;
  dw_arena *arena = dw_arena_new(dw_photo_limits_default().max_bytes);
  dw_status status = arena ? dw__flow_light_of(photo, marks, arena, &patches, &out->light, err)
                           : dw_fail_memory(err, "the card");
  if (status == DW_OK && marks->method == DW_LIGHT_CARD) {
    const dw_light_info *info = dw_light_info_get(out->light);
    double bent = info->residual.mean > 0 ? info->left_out.mean / info->residual.mean : BENT_MOST;
    out->bent = fmin(fmax(bent, 1), BENT_MOST);
    status = patches_read(patches, marks->card.rows * marks->card.cols, arena, out, err);
  }
  dw_arena_free(arena);
  return status;
}

/* How far one color reads from itself in two photos: what the same patches of the same card do. */
static double repeat_at(const card_view *a, const card_view *b, dw_lab at) {
  double sum = 0, weights = 0;
  if (!a->n || a->n != b->n) return NAN;
  for (size_t i = 0; i < a->n; i++) {
    double dl = a->patch[i].L - at.L, da = a->patch[i].a - at.a, db = a->patch[i].b - at.b;
    double weight = exp(-(dl * dl + da * da + db * db) / (2 * NEAR_LAB * NEAR_LAB)) + 1e-3;
    double apart = dw_de00(a->patch[i], b->patch[i]);
    sum += weight * apart * apart;
    weights += weight;
  }
  return sqrt(sum / weights * a->bent * b->bent);
}

/* ---- the bait in each photo ------------------------------------------------------------------------------ */

static dw_status one_bait(const char *path, const dw_found *found, dw_error *err) {
  if (found->baits.n == 1) return DW_OK;
  if (found->baits.n == 0) return dw__found_none(found, "Mark its layers: --marks FILE.", err);
  return dw_fail(
      err, DW_BAD_INPUT,
      "%s shows %zu baits, and which one was turned can't be told: leave one on the board, or mark it: "
      "--marks FILE.",
      path, found->baits.n);
}

/* The bait of photo i, in the light that is marked in it.
 * marks  gets the light, given or found;  photo  as of dw__find_open */
static dw_status find_one(work *w, size_t i, const char *path, const dw_find_wish *wish, dw_photo **photo,
                          dw_marks *marks, dw_notes *notes, dw_error *err) {
  dw_find_wish own = *wish;
  dw_arena *arena = dw_arena_new(0);
  dw_found *found = calloc(1, sizeof *found);
  own.light = w->marks ? &w->marks[i] : wish->light;
  dw_status status = arena && found ? DW_OK : dw_fail_memory(err, "the bait");
  if (status == DW_OK) status = dw__find_open(path, &own, arena, photo, found, err);
  if (status == DW_OK) status = one_bait(path, found, err);
  if (status == DW_OK) {
    dw__found_reading(found, 0, &own, &w->reading[i]);
    dw_found_marks(found, &own, marks);
    w->back_known[i] = found->baits.bait[0].back_known;
    dw_notes_add(notes, &found->baits.bait[0].notes);
  }
  free(found);
  dw_arena_free(arena);
  return status;
}

static dw_status photo_add(work *w, const char *path, const dw_find_wish *wish, dw_error *err) {
  size_t i = w->n;
  dw_photo *photo = NULL;
  dw_marks *own = malloc(sizeof *own);
  dw_status status = own ? dw_file_sha256(path, w->out->sha256[i], err) : dw_fail_memory(err, "the marks");
  for (size_t k = 0; status == DW_OK && k < i; k++)
    if (strcmp(w->out->sha256[k], w->out->sha256[i]) == 0)
      status = dw_fail(err, DW_BAD_INPUT, "%s and %s are the same photo: give one of the bait turned.",
                       w->reading[k].path, path);
  if (status == DW_OK && !w->searched) {
    *own = w->marks[i];
    status = dw_flow_read(path, own, NULL, 0, NULL, &w->reading[i], NULL, err);
    if (status == DW_OK) status = dw_photo_open(path, NULL, &photo, err);
  } else if (status == DW_OK) {
    status = find_one(w, i, path, wish, &photo, own, &w->out->notes, err);
  }
  if (status == DW_OK) status = card_read(photo, own, &w->card[i], err);
  if (status == DW_OK) w->n++;
  dw_photo_close(photo);
  free(own);
  return status;
}

/* ---- all of it ------------------------------------------------------------------------------------------- */

/* The same layers in every photo, by name. */
static dw_status layer_of(const dw_photo_reading *reading, const char *name, const dw_layer_reading **out,
                          dw_error *err) {
  for (size_t i = 0; i < reading->n; i++)
    if (strcmp(reading->layer[i].name, name) == 0) {
      *out = &reading->layer[i];
      return DW_OK;
    }
  return dw_fail(err, DW_BAD_INPUT,
                 "%s has no layer \"%s\", which another photo has; say how many: --layers N.", reading->path,
                 name);
}

static dw_status counts_agree(const work *w, dw_error *err) {
  for (size_t i = 1; i < w->n; i++)
    if (w->reading[i].n != w->reading[0].n)
      return dw_fail(err, DW_BAD_INPUT, "%s shows %zu layers and %s %zu; say how many there are: --layers N.",
                     w->reading[0].path, w->reading[0].n, w->reading[i].path, w->reading[i].n);
  return DW_OK;
}

/* A pearl's sheen along a bait can pass for a layer in one photo, but hardly in all: the fewest are taken. */
static dw_status find_alike(work *w, const char *const *paths, const dw_find_wish *wish, dw_error *err) {
  dw_find_wish own = *wish;
  size_t least = w->reading[0].n, most = least;
  dw_status status = DW_OK;
  for (size_t i = 1; i < w->n; i++) {
    least = w->reading[i].n < least ? w->reading[i].n : least;
    most = w->reading[i].n > most ? w->reading[i].n : most;
  }
  if (least == most) return DW_OK;
  own.rules.layers = least;
  dw_note(&w->out->notes,
          "One photo seems to show %zu layer%s, another %zu: %zu %s taken; say it otherwise with --layers N.",
          least, least == 1 ? "" : "s", most, least, least == 1 ? "is" : "are");
  dw_marks *marks = malloc(sizeof *marks);
  if (!marks) return dw_fail_memory(err, "the marks");
  for (size_t i = 0; i < w->n && status == DW_OK; i++) {
    dw_photo *photo = NULL;
    if (w->reading[i].n == least) continue;
    status = find_one(w, i, paths[i], &own, &photo, marks, &(dw_notes){0}, err);
    dw_photo_close(photo);
  }
  free(marks);
  return status;
}

static dw_turn_view view_of(const work *w, size_t photo, const dw_reading *r) {
  double light = dw_light_uncertainty(w->card[photo].light, r->lab), all = r->uncertainty_de00;
  return (dw_turn_view){.lab = r->lab,
                        .own_de00 = sqrt(fmax(all * all - light * light, 0)),
                        .light_de00 = light,
                        .lit = w->reading[photo].light.method != DW_LIGHT_NONE};
}

static dw_status layer_judge(work *w, size_t l, dw_error *err) {
  dw_turn_layer *out = &w->out->layer[l];
  dw_turn_view views[DW_TURN_PHOTOS_MAX];
  double repeat[DW_TURN_PHOTOS_MAX * DW_TURN_PHOTOS_MAX];
  memcpy(out->name, w->reading[0].layer[l].name, sizeof out->name);
  for (size_t i = 0; i < w->n; i++) {
    const dw_layer_reading *layer = NULL;
    dw_status status = layer_of(&w->reading[i], out->name, &layer, err);
    if (status != DW_OK) return status;
    out->at[i] = *layer;
    views[i] = view_of(w, i, &layer->reading);
  }
  for (size_t i = 0; i < w->n; i++)
    for (size_t j = 0; j < w->n; j++)
      repeat[i * w->n + j] = repeat_at(&w->card[i], &w->card[j], views[i].lab);
  return dw_travel_judge(views, w->n, repeat, &out->travel, err);
}

/* A bait that was turned over has its back below: the way round that differs less is the right one. */
static void upright(dw_photo_reading *reading, const dw_photo_reading *first) {
  size_t n = reading->n;
  double as_is = 0, over = 0;
  for (size_t i = 0; i < n; i++) {
    as_is += dw_de00(reading->layer[i].reading.lab, first->layer[i].reading.lab);
    over += dw_de00(reading->layer[n - 1 - i].reading.lab, first->layer[i].reading.lab);
  }
  if (over >= as_is) return;
  for (size_t i = 0; i < n / 2; i++) {
    dw_layer_reading *a = &reading->layer[i], *b = &reading->layer[n - 1 - i], keep = *a;
    a->shape = b->shape, a->reading = b->reading;
    b->shape = keep.shape, b->reading = keep.reading;
  }
}

/* As in the photo in which the targets tell the back, else as in the first one. */
static void all_upright(work *w) {
  size_t as = 0;
  while (as < w->n && !w->back_known[as]) as++;
  if (as == w->n) as = 0;
  for (size_t i = 0; i < w->n; i++)
    if (i != as && !w->back_known[i]) upright(&w->reading[i], &w->reading[as]);
}

static dw_status turn_make(work *w, const char *const *paths, size_t n, const dw_find_wish *wish,
                           dw_error *err) {
  dw_status status = DW_OK;
  for (size_t i = 0; i < n && status == DW_OK; i++) status = photo_add(w, paths[i], wish, err);
  if (status == DW_OK && w->searched) status = find_alike(w, paths, wish, err);
  if (status == DW_OK) status = counts_agree(w, err);
  if (status == DW_OK && w->searched) all_upright(w);
  for (size_t l = 0; status == DW_OK && l < w->reading[0].n; l++) status = layer_judge(w, l, err);
  if (status != DW_OK) return status;
  w->out->n = w->reading[0].n;
  w->out->photos = n;
  for (size_t i = 0; i < n; i++) {
    w->out->photo[i] = w->reading[i];
    w->out->photo[i].n = 0;
  }
  return DW_OK;
}

dw_status dw_turn_read(const char *const *paths, size_t n, const dw_marks *marks, const dw_find_wish *wish,
                       dw_turn *out, dw_error *err) {
  if (n < 1 || n > DW_TURN_PHOTOS_MAX)
    return dw_fail(err, DW_USAGE, "Give 1 to %d photos of the bait, turned between them.",
                   DW_TURN_PHOTOS_MAX);
  work w = {.marks = marks,
            .searched = !marks || marks[0].n == 0,
            .reading = calloc(n, sizeof *w.reading),
            .card = calloc(n, sizeof *w.card),
            .out = calloc(1, sizeof *w.out)};
  dw_status status =
      w.reading && w.card && w.out ? turn_make(&w, paths, n, wish, err) : dw_fail_memory(err, "the readings");
  if (status == DW_OK) *out = *w.out;
  for (size_t i = 0; w.card && i < n; i++) dw_light_free(w.card[i].light);
  free(w.reading);
  free(w.card);
  free(w.out);
  return status;
}
