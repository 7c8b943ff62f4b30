/* What is wrong with the picture, in words that name the patch. */
#include "card/judge.h"

#include <math.h>
#include <string.h>

#define CLIPPED_SHARE 0.10
/* About L* units: noise of a phone in dim light stays below, half a patch over its border goes beyond. */
#define SPREAD_MAX 6.0
#define SET_ASIDE_MAX 0.35
enum { PIXELS_MIN = 6 };
/* Grays this much apart in reflectance must read in their order. */
#define GRAY_STEP 1.25
/* The whitest gray against the darkest, as the photo has them. */
#define CONTRAST_MIN 3.0

size_t dw__patches_spare(const dw_card *card) {
  const size_t share = card->rows * card->cols / 12;
  return share > 2 ? share : 2;
}

static size_t lightest(const dw_card *card) {
  size_t best = 0;
  for (size_t i = 1; i < card->rows * card->cols; i++)
    if (card->lab[i].L > card->lab[best].L) best = i;
  return best;
}

/* The sentence for an unusable patch; false when it is fine. */
static bool reading_fault(const dw_card *card, const dw__reading *r, size_t i, char *out, size_t room) {
  char words[DW__PATCH_WORDS_ROOM];
  dw__patch_begin(card, i, words);
  if (r->pixels < PIXELS_MIN)
    return snprintf(out, room, "%s covers only %zu pixels: photograph the card from nearer", words,
                    r->pixels) > 0;
  if (r->high > CLIPPED_SHARE)
    return snprintf(out, room, "%s is clipped in %.0f%% of its pixels: take the photo darker", words,
                    100.0 * r->high) > 0;
  if (r->spread > SPREAD_MAX || r->set_aside > SET_ASIDE_MAX)
    return snprintf(out, room, "%s is not even: glare or dirt lies on it, or the corners are off", words) > 0;
  return false;
}

void dw__dropped_add(dw__dropped *dropped, const char *patch, const char *fault) {
  if (dropped->n < DW__DROPPED_TOLD) {
    dw_copy_text(dropped->told[dropped->n++], sizeof dropped->told[0], fault);
    return;
  }
  const size_t length = strlen(dropped->more), left = sizeof dropped->more - length;
  if (left > strlen(patch) + sizeof "..., , ...")
    snprintf(dropped->more + length, left, "%s%s", length > 0 ? ", " : "", patch);
  else if (left > sizeof ", ..." && dropped->more[length - 1] != '.')
    snprintf(dropped->more + length, left, ", ...");
  dropped->n++;
}

void dw__dropped_tell(const dw__dropped *dropped, dw_notes *notes) {
  const size_t told = dropped->n < DW__DROPPED_TOLD ? dropped->n : DW__DROPPED_TOLD;
  for (size_t i = 0; i < told; i++) dw_note(notes, "%.150s; it is left out.", dropped->told[i]);
  if (dropped->n > told)
    dw_note(notes, "%zu more of the card's patches are left out for the like: %s.", dropped->n - told,
            dropped->more);
}

dw_status dw__readings_judge(const dw_card *card, const dw__reading *readings, bool *usable,
                             dw__dropped *dropped, dw_error *err) {
  const size_t n = card->rows * card->cols, white = lightest(card);
  char fault[DW_NOTE_TEXT], first[DW_NOTE_TEXT] = "";
  char words[DW__PATCH_WORDS_ROOM];
  size_t bad = 0;
  for (size_t i = 0; i < n; i++) {
    usable[i] = !reading_fault(card, &readings[i], i, fault, sizeof fault);
    if (usable[i]) continue;
    if (i == white && readings[i].high > CLIPPED_SHARE)
      return dw_fail(err, DW_REFUSED, "%s; without the white patch the card says nothing of bright colors.",
                     fault);
    if (bad++ == 0) dw_copy_text(first, sizeof first, fault);
    dw__dropped_add(dropped, dw__patch_words(card, i, words), fault);
  }
  if (bad > dw__patches_spare(card))
    return dw_fail(err, DW_REFUSED, "%s. %zu of the card's %zu patches cannot be read.", first, bad, n);
  return DW_OK;
}

static double mean_value(const dw__sample *s) {
  return (s->rgb[0] + s->rgb[1] + s->rgb[2]) / 3.0;
}

dw_status dw__grays_judge(const dw_card *card, const dw__sample *s, size_t n, dw_error *err) {
  const dw__sample *dark = NULL, *light = NULL;
  char one[DW__PATCH_WORDS_ROOM], other[DW__PATCH_WORDS_ROOM];
  size_t grays = 0;
  for (size_t i = 0; i < n; i++) {
    if (!s[i].gray) continue;
    grays++;
    if (dark == NULL || s[i].xyz.Y < dark->xyz.Y) dark = &s[i];
    if (light == NULL || s[i].xyz.Y > light->xyz.Y) light = &s[i];
    for (size_t j = 0; j < n; j++)
      if (s[j].gray && s[j].xyz.Y > GRAY_STEP * s[i].xyz.Y && !(mean_value(&s[j]) > mean_value(&s[i])))
        return dw_fail(
            err, DW_REFUSED,
            "The card's grays are out of order: %s should be lighter than %s and reads darker. Check the "
            "corners, and look for glare or a shadow on the grays.",
            dw__patch_words(card, s[j].patch, one), dw__patch_words(card, s[i].patch, other));
  }
  if (grays < 4)
    return dw_fail(err, DW_REFUSED, "Only %zu of the card's grays can be read and 4 are needed.", grays);
  if (mean_value(light) < CONTRAST_MIN * mean_value(dark))
    return dw_fail(
        err, DW_REFUSED,
        "The card's lightest and darkest grays, %s and %s, hardly differ: the photo is veiled by glare, or "
        "the corners are off.",
        dw__patch_words(card, light->patch, one), dw__patch_words(card, dark->patch, other));
  return DW_OK;
}

/* Mean CIEDE2000 of the four corner patches when marked corner k shows chart corner order[k]; the photo's
 * numbers are scaled to the lightest of them, which is rough and enough to tell a brown from a gray. */
static double order_error(const dw_card *card, const size_t corner[4], const dw__reading *readings,
                          const size_t order[4]) {
  size_t white = 0;
  double target[3], gain[3], sum = 0.0;
  for (size_t k = 1; k < 4; k++)
    if (card->lab[corner[order[k]]].L > card->lab[corner[order[white]]].L) white = k;
  dw_linear_from_xyz(dw_xyz_from_lab(card->lab[corner[order[white]]]), target);
  for (int c = 0; c < 3; c++) gain[c] = target[c] / fmax(readings[corner[white]].rgb[c], 1e-3);
  for (size_t k = 0; k < 4; k++) {
    double rgb[3];
    for (int c = 0; c < 3; c++) rgb[c] = gain[c] * readings[corner[k]].rgb[c];
    sum += dw_de00(dw_lab_from_xyz(dw_xyz_from_linear(rgb)), card->lab[corner[order[k]]]);
  }
  return sum / 4.0;
}

bool dw__corners_suggest(const dw_card *card, const dw_corners *corners, const dw__reading *readings,
                         char *out, size_t room) {
  const size_t n = card->rows * card->cols, corner[4] = {0, card->cols - 1, n - 1, n - card->cols};
  double best = INFINITY, given = INFINITY, xy[8] = {0};
  for (size_t way = 0; way < 8; way++) {
    size_t order[4];
    for (size_t k = 0; k < 4; k++) order[k] = (way < 4 ? k + way : 8 - k + way) % 4;
    const double error = order_error(card, corner, readings, order);
    if (way == 0) given = error;
    if (error >= best) continue;
    best = error;
    for (size_t k = 0; k < 4; k++) memcpy(&xy[2 * order[k]], &corners->xy[2 * k], 2 * sizeof *xy);
  }
  if (!(best < 0.5 * given)) return false;
  snprintf(out, room, "%g,%g,%g,%g,%g,%g,%g,%g", xy[0], xy[1], xy[2], xy[3], xy[4], xy[5], xy[6], xy[7]);
  return true;
}
