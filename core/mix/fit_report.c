/* What a fit says of its chips, in words: the one furthest off and why, what is weak, what would help. */
#include <math.h>
#include <string.h>

#include "mix/fit_model.h"

#define WORTH_NAMING_DE00 2.0 /* a chip further off is worth a second look */
#define GAP_WORTH_NAMING 0.15
#define WIDE_RANGE 4.0 /* a bottle's loadings, largest over smallest: 0.5, 2, 8 spread by 16 */

/* ---- the chip furthest off ------------------------------------------------------------------------------
 */

typedef struct excuse {
  double thickness, loading; /* factors on what was written down */
  bool other_backing;
  const char *check;
} excuse;

#define LIGHTER "check its thickness and drops, it looks thinner or weaker than written"
#define HEAVIER "check its thickness and drops, it looks thicker or stronger than written"
/* A little more plastic and a little more color look nearly alike, so they share their words. */
static const excuse excuses[] = {
    {0.8, 1, false, LIGHTER},          {0.6, 1, false, LIGHTER}, {1, 0.6, false, LIGHTER},
    {1.25, 1, false, HEAVIER},         {1.6, 1, false, HEAVIER}, {1, 1.6, false, HEAVIER},
    {1, 1, true, "check its backing"},
};

static double excused_de00(const dw_shelf *shelf, const dw_chip *chip, const excuse *e) {
  double c[DW_SHELF_MAX] = {0};
  double backing = chip->backing;
  if (e->other_backing) backing = backing > 0.5 ? DW_BACKING_BLACK : DW_BACKING_WHITE;
  for (size_t i = 0; i < chip->recipe.n; i++)
    c[chip->recipe.part[i].bottle] += chip->recipe.part[i].amount * e->loading;
  dw_slab slab = {chip->thickness_mm * e->thickness, backing};
  return dw_de00(chip->lab, dw_predict_lab(shelf, c, &slab));
}

/* The slip that explains the chip best, if any explains half of what it is off. */
static const char *excuse_find(const dw_shelf *shelf, const dw_chip *chip, double de00) {
  const char *best = "photograph it again, with its card";
  double least = de00 / 2;
  for (size_t i = 0; i < sizeof excuses / sizeof *excuses; i++) {
    if (chip->recipe.n == 0 && excuses[i].loading != 1) continue;
    double left = excused_de00(shelf, chip, &excuses[i]);
    if (left < least) least = left, best = excuses[i].check;
  }
  return best;
}

static void worst_describe(const dw_chip *chips, dw_fit *fit) {
  char chip[120];
  dw_chip_words(&chips[fit->worst], fit->shelf, chip, sizeof chip);
  if (fit->max_de00 < WORTH_NAMING_DE00)
    snprintf(fit->worst_words, sizeof fit->worst_words, "furthest off is chip %s, by %.1f", chip,
             fit->max_de00);
  else
    snprintf(fit->worst_words, sizeof fit->worst_words, "chip %s is %.1f off: %s", chip, fit->max_de00,
             excuse_find(fit->shelf, &chips[fit->worst], fit->max_de00));
}

/* ---- what is weak ---------------------------------------------------------------------------------------
 */

/* What the chips say of one bottle (or, for -1, of clear base alone). */
typedef struct tally {
  size_t chips, dark, light; /* over backings darker and lighter than mid */
  double least, most;        /* loadings */
} tally;

static double loading_of(const dw_chip *chip, int bottle) {
  for (size_t i = 0; i < chip->recipe.n; i++)
    if ((int)chip->recipe.part[i].bottle == bottle) return chip->recipe.part[i].amount;
  return 0;
}

static tally tally_make(const dw_chip *chips, size_t n, int bottle) {
  tally t = {.least = INFINITY};
  for (size_t i = 0; i < n; i++) {
    double loading = bottle < 0 ? 1 : loading_of(&chips[i], bottle);
    if (loading <= 0 || (bottle < 0 && chips[i].recipe.n > 0)) continue;
    t.chips++;
    if (chips[i].backing < 0.4)
      t.dark++;
    else
      t.light++;
    t.least = fmin(t.least, loading), t.most = fmax(t.most, loading);
  }
  return t;
}

typedef bool (*weakness)(const tally *t);

static bool weak_backing(const tally *t) {
  return t->dark == 0 || t->light == 0;
}

static bool weak_loading(const tally *t) {
  return t->most < WIDE_RANGE * t->least;
}

static bool is_thin(const tally *t) {
  return t->chips < 3;
}

/* "orange, brown": the bottles met in chips that have the weakness. True when there are any. */
static bool weak_list(const dw_chip *chips, const dw_fit *fit, weakness has, char *out, size_t room) {
  size_t used = 0, names = 0;
  out[0] = 0;
  for (size_t b = 0; b < fit->shelf->n; b++) {
    tally t = tally_make(chips, fit->n, (int)b);
    if (t.chips == 0 || !has(&t)) continue;
    const char *id = fit->shelf->bottle[b].id;
    if (used + strlen(id) + 16 > room) {
      snprintf(out + used, room - used, " and more");
      return true;
    }
    used += (size_t)snprintf(out + used, room - used, "%s%s", names++ ? ", " : "", id);
  }
  return names > 0;
}

static void warnings_make(const dw_chip *chips, dw_fit *fit) {
  char names[96];
  size_t disagree = 0;
  if (weak_list(chips, fit, weak_backing, names, sizeof names))
    dw_note(&fit->warnings, "One backing only, so what absorbs and what scatters is a guess: %s.", names);
  if (weak_list(chips, fit, weak_loading, names, sizeof names))
    dw_note(&fit->warnings, "One loading, or nearly one: other loadings are a guess: %s.", names);
  if (weak_list(chips, fit, is_thin, names, sizeof names))
    dw_note(&fit->warnings, "Fewer than 3 chips: %s.", names);
  if (fit->shelf->surface.gap > GAP_WORTH_NAMING)
    dw_note(&fit->warnings,
            "The chips look as if air lay beneath them (gap %.2f): wet them, or predictions hold only for "
            "plastic that lies the same way.",
            fit->shelf->surface.gap);
  for (size_t i = 0; i < fit->n; i++)
    disagree += fit->chip[i].weight < (chips[i].clipped ? DW_CHIP_CLIPPED_WEIGHT : 1.0) / 2;
  if (disagree > 0)
    dw_note(&fit->warnings, "%zu of %zu chips disagree with the rest and count less.", disagree, fit->n);
}

/* ---- what would help ------------------------------------------------------------------------------------
 */

/* One chip that would tell most about the bottle. */
static void suggestion_make(const dw_bottle *bottle, const tally *t, dw_notes *notes) {
  double top = bottle->role == DW_ROLE_BLACK ? 4 : 8;
  const char *over = t->dark <= t->light ? "black" : "white";
  if (weak_backing(t))
    dw_note(notes, "Add a chip %s=%.3g over %s.", bottle->id, t->most, over);
  else if (weak_loading(t))
    dw_note(notes, "Add chips %s=%.3g over black and over white.", bottle->id,
            t->most < top / 2 ? top : t->most / 4);
}

static void suggestions_make(const dw_chip *chips, dw_fit *fit) {
  tally base = tally_make(chips, fit->n, -1);
  bool mixed = false;
  if (weak_backing(&base))
    dw_note(&fit->suggestions, "Add clear base (an empty recipe) over %s.",
            base.chips == 0  ? "black and over white"
            : base.dark == 0 ? "black"
                             : "white");
  for (size_t b = 0; b < fit->shelf->n; b++) {
    tally t = tally_make(chips, fit->n, (int)b);
    if (t.chips > 0) suggestion_make(&fit->shelf->bottle[b], &t, &fit->suggestions);
  }
  for (size_t i = 0; i < fit->n; i++) mixed |= chips[i].recipe.n > 1;
  if (!mixed && fit->shelf->n > 1)
    dw_note(&fit->suggestions, "Add a few mixtures: each color with brown, and each with white.");
}

void dw__fit_describe(const dw_chip *chips, dw_fit *fit) {
  worst_describe(chips, fit);
  warnings_make(chips, fit);
  suggestions_make(chips, fit);
}

/* ---- roles ----------------------------------------------------------------------------------------------
 */

dw_role dw_bottle_role_guess(const dw_shelf *shelf, size_t bottle, double loading) {
  double c[DW_SHELF_MAX] = {0};
  const dw_slab white = {3, DW_BACKING_WHITE}, black = {3, DW_BACKING_BLACK};
  double clear_L = dw_predict_lab(shelf, c, &white).L, clear_black_L = dw_predict_lab(shelf, c, &black).L;
  c[bottle] = loading;
  dw_lch over_white = dw_lch_from_lab(dw_predict_lab(shelf, c, &white));
  dw_lab over_black = dw_predict_lab(shelf, c, &black);
  double darker = clear_L - over_white.L;
  if (over_white.C < 12 && over_black.L > clear_black_L + darker && over_black.L > clear_black_L + 8)
    return DW_ROLE_WHITE;
  if (darker < 4) return DW_ROLE_COLOR;
  if (over_white.C < 0.3 * darker) return DW_ROLE_BLACK;
  bool earthy = over_white.h > 20 && over_white.h < 95;
  return earthy && over_white.C < 1.35 * darker ? DW_ROLE_BROWN : DW_ROLE_COLOR;
}
