/* From the card's patches to a light: read, judge, fit, choose the model by leave-one-out, report. */
#include "card/fit.h"
#include "card/judge.h"
#include "card/light.h"

#include <stdlib.h>
#include <string.h>

/* A channel clipped low says only "below this": the patch counts less. */
#define LOW_SHARE 0.10
#define LOW_WEIGHT 0.3
/* Darkest that noise and rounding make of a true zero, linear. */
#define WIDE_BELOW (-0.002)
/* A patch this far from what the others say, in CIEDE2000 and in medians, does not show the card. */
#define STRAY_DE00 12.0
#define STRAY_MEDIANS 4.0
/* A card whose patches disagree this much in the mean is not the card, or not where marked. */
#define RESIDUAL_MAX 6.0
#define LEFT_OUT_MAX 12.0
/* Left-out error worth warning of. */
#define LEFT_OUT_WARN 4.0
/* What a further part of the model must gain in left-out error to be used. */
#define SLOPE_GAIN 0.02
#define RESIDUAL_GAIN 0.03
/* Gain in left-out error that shows a chart to be of the later edition. */
#define EDITION_GAIN 0.15
/* Light falling off by this share over the card is worth saying. */
#define SLOPE_WARN 0.10

typedef struct fit_room {
  dw__reading readings[DW_CARD_PATCHES_MAX];
  bool usable[DW_CARD_PATCHES_MAX];
  dw__sample samples[DW_CARD_PATCHES_MAX];
  size_t n;
  dw__dropped dropped;
  double plain[2][DW_CARD_PATCHES_MAX], moved[2][DW_CARD_PATCHES_MAX]; /* left-out errors: even, slope */
  double sorted[DW_CARD_PATCHES_MAX];
  double scratch[9 * DW_CARD_PATCHES_MAX];
  double pixels[4 * DW__PATCH_PIXELS];
} fit_room;

static dw_status patches_read(const dw_card *card, const dw_corners *corners, const dw_patch *patches,
                              fit_room *room, dw_error *err) {
  dw_homography to_grid;
  dw_status status = dw__photo_to_grid(card, corners, &to_grid, err);
  for (size_t i = 0; i < card->rows * card->cols && status == DW_OK; i++)
    dw__patch_read(&patches[i], &to_grid, (double)(i % card->cols), (double)(i / card->cols), room->pixels,
                   &room->readings[i]);
  return status;
}

/* A photo in wide primaries shows by patches below 0 in sRGB. */
static bool readings_wide(const fit_room *room, size_t n) {
  for (size_t i = 0; i < n; i++)
    for (int c = 0; c < 3; c++)
      if (room->usable[i] && room->readings[i].rgb[c] < WIDE_BELOW) return true;
  return false;
}

static dw_status samples_make(const dw_card *card, const dw_corners *corners, fit_room *room, dw_light *light,
                              dw_error *err) {
  dw_homography to_photo;
  dw_status status = dw__grid_to_photo(card, corners, &to_photo, err);
  if (status != DW_OK) return status;
  light->board = dw__board_from_corners(corners);
  light->wide = readings_wide(room, card->rows * card->cols);
  room->n = 0;
  for (size_t i = 0; i < card->rows * card->cols; i++) {
    if (!room->usable[i]) continue;
    dw__sample *s = &room->samples[room->n++];
    double x, y;
    dw__sample_target(s, card->lab[i]);
    s->patch = i;
    memcpy(s->rgb, room->readings[i].rgb, sizeof s->rgb);
    if (light->wide) dw__wide_from_linear(s->rgb, s->rgb);
    if (room->readings[i].low > LOW_SHARE) s->weight = LOW_WEIGHT;
    dw_homography_at(&to_photo, (double)(i % card->cols), (double)(i / card->cols), &x, &y);
    dw__board_at(&light->board, x, y, s->place);
  }
  return DW_OK;
}

/* The samples of every fit: of the patches that were read those that are fit for it. */
static dw_status samples_take(const dw_card *card, const dw_corners *corners, fit_room *room, dw_light *light,
                              dw_error *err) {
  dw_status status = dw__readings_judge(card, room->readings, room->usable, &room->dropped, err);
  return status == DW_OK ? samples_make(card, corners, room, light, err) : status;
}

/* One kind of field, and what each sample is off by when it is left out: room->plain, room->moved at that kind. */
static dw_status kind_fit(fit_room *room, dw__field_kind kind, dw__model *out, dw_error *err) {
  dw_status status = dw__model_fit(room->samples, room->n, kind, NULL, room->scratch, out, err);
  if (status != DW_OK) return status;
  return dw__leave_out(room->samples, room->n, kind, out->field, room->plain[kind], room->moved[kind], err);
}

/* Fits without and with a slope of the light, keeps the better and adds the residual where it pays.
 * out_left  the left-out errors of what was kept; borrowed from room */
static dw_status model_choose(fit_room *room, dw__model *out, const double **out_left, dw_error *err) {
  dw__model model[2];
  double plain[2];
  dw_status status = DW_OK;
  for (dw__field_kind k = DW__FIELD_EVEN; k <= DW__FIELD_SLOPE && status == DW_OK; k++) {
    status = kind_fit(room, k, &model[k], err);
    if (status == DW_OK) plain[k] = dw_mean(room->plain[k], room->n);
  }
  if (status != DW_OK) return status;
  const int kept = plain[1] < (1.0 - SLOPE_GAIN) * plain[0] ? 1 : 0;
  const bool move = dw_mean(room->moved[kept], room->n) < (1.0 - RESIDUAL_GAIN) * plain[kept];
  if (move) status = dw__residual_fit(room->samples, room->n, &model[kept], err);
  if (status != DW_OK) return status;
  *out = model[kept];
  *out_left = move ? room->moved[kept] : room->plain[kept];
  return DW_OK;
}

/* Another color for a sample that has its values and weight. */
static void sample_aim(dw__sample *s, dw_lab lab) {
  const double weight = s->weight;
  dw__sample_target(s, lab);
  s->weight = weight;
}

static void sample_remove(dw__sample *s, size_t n, size_t i) {
  memmove(&s[i], &s[i + 1], (n - i - 1) * sizeof *s);
}

static void sample_insert(dw__sample *s, size_t n, size_t i, const dw__sample *back) {
  memmove(&s[i + 1], &s[i], (n - i) * sizeof *s);
  s[i] = *back;
}

/* How well the others agree when sample i is gone: mean CIEDE2000 in the fit. */
static dw_status others_agree(fit_room *room, size_t i, double *out, dw_error *err) {
  const dw__sample gone = room->samples[i];
  const size_t n = room->n - 1;
  dw__model model;
  sample_remove(room->samples, room->n, i);
  dw_status status = dw__model_fit(room->samples, n, DW__FIELD_EVEN, NULL, room->scratch, &model, err);
  for (size_t k = 0; k < n && status == DW_OK; k++) {
    const dw__sample *s = &room->samples[k];
    room->sorted[k] = dw_de00(dw__model_lab(&model, s->rgb, s->place), s->lab);
  }
  if (status == DW_OK) *out = dw_mean(room->sorted, n);
  sample_insert(room->samples, n, i, &gone);
  return status;
}

/* Index of the sample that does not fit the others, or n. One bad patch drags its neighbors along, so of
 * those that stray it is the one without which the others agree best. */
static dw_status stray_find(fit_room *room, const double *left, size_t *out, dw_error *err) {
  dw_status status = DW_OK;
  double best = INFINITY;
  memcpy(room->sorted, left, room->n * sizeof *left);
  const double limit = fmax(STRAY_DE00, STRAY_MEDIANS * dw_median(room->sorted, room->n));
  *out = room->n;
  for (size_t i = 0; i < room->n && status == DW_OK; i++) {
    double agree = INFINITY;
    if (left[i] <= limit) continue;
    status = others_agree(room, i, &agree, err);
    if (agree >= best) continue;
    best = agree;
    *out = i;
  }
  return status;
}

static void stray_drop(const dw_card *card, fit_room *room, const dw__model *model, size_t i, double off) {
  char fault[DW_NOTE_TEXT], words[DW__PATCH_WORDS_ROOM];
  const dw__sample *s = &room->samples[i];
  const double lighter = dw__model_lab(model, s->rgb, s->place).L - s->lab.L;
  snprintf(fault, sizeof fault, "%s reads %.0f off what the others say%s",
           dw__patch_begin(card, s->patch, words), off,
           lighter > 2.0    ? ", too light: glare"
           : lighter < -2.0 ? ", too dark: a shadow or dirt"
                            : "");
  dw__dropped_add(&room->dropped, dw__patch_words(card, s->patch, words), fault);
  sample_remove(room->samples, room->n--, i);
}

/* Fits, leaving out patches that stray, as many as can be spared. */
static dw_status model_settle(const dw_card *card, fit_room *room, dw__model *model, const double **left,
                              dw_error *err) {
  const size_t least = card->rows * card->cols - dw__patches_spare(card);
  for (;;) {
    dw_status status = dw__grays_judge(card, room->samples, room->n, err);
    if (status == DW_OK) status = model_choose(room, model, left, err);
    if (status != DW_OK) return status;
    size_t stray = room->n;
    if (room->n > least) status = stray_find(room, *left, &stray, err);
    if (status != DW_OK || stray == room->n) return status;
    stray_drop(card, room, model, stray, (*left)[stray]);
    dw__residual_free(&model->residual);
  }
}

/* Names the edition that a chart is, when it may be either: where the later one's colors are met clearly
 * better, it is that. Patches found unfit stay left out. */
static dw_status edition_choose(const dw_card *card, fit_room *room, dw__model *model, const double **left,
                                dw_light_info *info, dw_error *err) {
  const dw_card *later = dw_card_named("grid24-late");
  if (strcmp(card->title, "grid24") != 0) return DW_OK;
  dw_lab earlier[DW_CARD_PATCHES_MAX];
  double earlier_left[DW_CARD_PATCHES_MAX];
  const double mean = dw_mean(*left, room->n);
  memcpy(earlier_left, *left, room->n * sizeof *earlier_left);
  for (size_t i = 0; i < room->n; i++) {
    earlier[i] = room->samples[i].lab;
    sample_aim(&room->samples[i], later->lab[room->samples[i].patch]);
  }
  dw__model other = {0};
  dw_status status = model_choose(room, &other, left, err);
  if (status == DW_OK && dw_mean(*left, room->n) < (1.0 - EDITION_GAIN) * mean) {
    dw__residual_free(&model->residual);
    *model = other;
    dw_copy_text(info->method_text, sizeof info->method_text, later->title);
    return DW_OK;
  }
  dw__residual_free(&other.residual);
  for (size_t i = 0; i < room->n; i++) sample_aim(&room->samples[i], earlier[i]);
  memcpy(room->plain[0], earlier_left, room->n * sizeof *earlier_left);
  *left = room->plain[0];
  return status;
}

static dw_fit_error fit_error(const double *de00, size_t n) {
  dw_fit_error e = {dw_mean(de00, n), 0.0};
  for (size_t i = 0; i < n; i++)
    if (de00[i] > e.max) e.max = de00[i];
  return e;
}

static void light_fill(dw_light *light, fit_room *room, const double *left) {
  double gray = -1.0;
  for (size_t i = 0; i < room->n; i++) {
    const dw__sample *s = &room->samples[i];
    room->sorted[i] = dw_de00(dw__model_lab(&light->model, s->rgb, s->place), s->lab);
    light->lab[i] = s->lab;
    light->left_out[i] = left[i];
    if (s->gray && s->lab.L > gray) {
      gray = s->lab.L;
      memcpy(light->white, room->readings[s->patch].rgb, sizeof light->white);
    }
  }
  light->n = light->info.patches = room->n;
  light->info.residual = fit_error(room->sorted, room->n);
  light->info.left_out = fit_error(left, room->n);
  light->info.uncertainty_de00 = light->info.left_out.mean;
}

static dw_status light_judge(const dw_card *card, dw_light *light, const fit_room *room, dw_error *err) {
  const dw_light_info *info = &light->info;
  char words[DW__PATCH_WORDS_ROOM];
  size_t worst = 0;
  for (size_t i = 1; i < room->n; i++)
    if (light->left_out[i] > light->left_out[worst]) worst = i;
  if (info->residual.mean > RESIDUAL_MAX || info->left_out.mean > LEFT_OUT_MAX)
    return dw_fail(err, DW_REFUSED,
                   "The card's patches were not found where marked: they miss their colors by %.1f in the "
                   "mean, by %.1f when "
                   "each is left out, worst %s. Check the corners and that the card is the one chosen.",
                   info->residual.mean, info->left_out.mean,
                   dw__patch_words(card, room->samples[worst].patch, words));
  const double *f = light->model.field, slope = sqrt(f[0] * f[0] + f[1] * f[1]);
  if (slope > SLOPE_WARN)
    dw_note(
        &light->info.notes,
        "The light changes by %.0f%% over the length of the card; readings are corrected for their place.",
        100.0 * (exp(slope) - 1.0));
  if (info->left_out.mean > LEFT_OUT_WARN)
    dw_note(&light->info.notes, "This photo bends colors: expect readings to be off by about %.0f.",
            info->left_out.mean);
  return DW_OK;
}

static dw_status light_fit(const dw_card *card, const dw_corners *corners, const dw_patch *patches,
                           fit_room *room, dw_light *light, dw_error *err) {
  const double *left = NULL;
  dw_status status = patches_read(card, corners, patches, room, err);
  if (status != DW_OK) return status;
  status = samples_take(card, corners, room, light, err);
  if (status == DW_OK) status = model_settle(card, room, &light->model, &left, err);
  if (status == DW_OK) status = edition_choose(card, room, &light->model, &left, &light->info, err);
  if (status == DW_OK) {
    light_fill(light, room, left);
    status = light_judge(card, light, room, err);
    dw__dropped_tell(&room->dropped, &light->info.notes); /* after what concerns every reading */
  }
  char order[160];
  if (status == DW_REFUSED && dw__corners_suggest(card, corners, room->readings, order, sizeof order))
    status = dw_fail(err, DW_REFUSED, "The card's corners seem to start at the wrong patch: try %s.", order);
  return status;
}

/* The plainest model in the even light of the first edition. */
static dw_status plainly_fits(const dw_card *card, const dw_corners *corners, const dw_patch *patches,
                              fit_room *room, dw_light *light, dw_fit_error *residual, dw_fit_error *left_out,
                              dw_error *err) {
  dw_status status = patches_read(card, corners, patches, room, err);
  if (status == DW_OK) status = samples_take(card, corners, room, light, err);
  if (status == DW_OK) status = dw__grays_judge(card, room->samples, room->n, err);
  if (status == DW_OK) status = kind_fit(room, DW__FIELD_EVEN, &light->model, err);
  if (status != DW_OK) return status;
  light_fill(light, room, room->plain[DW__FIELD_EVEN]);
  *residual = light->info.residual;
  *left_out = light->info.left_out;
  return DW_OK;
}

dw_status dw__light_card_plainly(const dw_card *card, const dw_corners *corners, const dw_patch *patches,
                                 dw_fit_error *residual, dw_fit_error *left_out, dw_error *err) {
  dw_light *light = NULL;
  fit_room *room = calloc(1, sizeof *room);
  dw_status status = room == NULL ? dw_fail_memory(err, "the card's fit")
                                  : dw__light_new(DW_LIGHT_CARD, card->title, &light, err);
  if (status == DW_OK) status = plainly_fits(card, corners, patches, room, light, residual, left_out, err);
  dw_light_free(light);
  free(room);
  return status;
}

dw_status dw_light_card(const dw_card *card, const dw_corners *corners, const dw_patch *patches,
                        dw_light **out, dw_error *err) {
  dw_light *light = NULL;
  fit_room *room = calloc(1, sizeof *room);
  dw_status status = room == NULL ? dw_fail_memory(err, "the card's fit")
                                  : dw__light_new(DW_LIGHT_CARD, card->title, &light, err);
  if (status == DW_OK) status = light_fit(card, corners, patches, room, light, err);
  if (status != DW_OK) goto out;
  light->table = malloc(sizeof *light->table);
  if (light->table == NULL) {
    status = dw_fail_memory(err, "the card's fit");
    goto out;
  }
  dw__table_make(&light->model, light->table);
  *out = light;
  light = NULL;
out:
  dw_light_free(light);
  free(room);
  return status;
}
