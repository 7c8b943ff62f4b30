/* What keeps a cup from its aim.
 *
 * The limits are lifted one after another (whole steps, number of bottles, number of drops, room in the cup,
 * bottles set aside), each time with the best relaxed color that is then in reach. Each lifted limit brings
 * the miss down by some amount, and what is left at the end is the shelf's own doing. The largest of these
 * amounts is the answer. */
#include "mix/solve.h"

#include <math.h>

enum { STEPS = 40, STAGES = 5 };

static void leave_unused(pt__try *t) {
  size_t kept = 0;
  for (size_t i = 0; i < t->n; i++) {
    if (!(t->drops[i] > 0)) continue;
    t->bottle[kept] = t->bottle[i];
    t->drops[kept++] = t->drops[i];
  }
  t->n = kept;
}

static bool holds(const pt__try *t, size_t bottle) {
  bool found = false;
  for (size_t i = 0; i < t->n; i++) found |= t->bottle[i] == bottle;
  return found;
}

/* Lets usable bottles from number `next` on join, as many as there is room for; returns the first not seen.
 */
static size_t let_join(const pt__task *task, size_t next, double drops, pt__try *t) {
  for (; next < task->shelf->n && t->n < PT__TRY_MOST; next++) {
    if (!(task->usable >> next & 1) || holds(t, next)) continue;
    t->bottle[t->n] = (uint8_t)next;
    t->drops[t->n++] = drops;
  }
  return next;
}

/* The best over every usable bottle, joining with so many drops. A try has room for a dozen, and the best
 * color needs no more than there are residuals: those in use stay while the rest of the shelf takes turns. */
static void relax_in_turns(const pt__task *task, double drops, pt__try *t) {
  for (size_t next = 0; next < task->shelf->n;) {
    pt__try joined = *t;
    leave_unused(&joined);
    if (joined.n == PT__TRY_MOST) return;
    next = let_join(task, next, drops, &joined);
    pt__relax(task, STEPS, &joined);
    if (joined.miss < t->miss) *t = joined;
  }
}

/* From where we are, and from two cups that hold a little or a lot of each. */
static pt__try relaxed_over_all(const pt__task *task, const pt__try *from) {
  const double drops[] = {0, 0.2 * task->volume_floz, 3 * task->volume_floz};
  pt__try best = *from;
  pt__task_score(task, &best);
  for (int start = 0; start < 3; start++) {
    pt__try t = {.miss = INFINITY};
    if (start == 0) t = best;
    relax_in_turns(task, drops[start], &t);
    if (t.miss < best.miss) best = t;
  }
  return best;
}

/* The last stage: which way the nearest color in reach lies off. */
static pt_limit gamut_limit(const pt__task *task, const pt__try *nearest, pt_solution *out) {
  double see_through;
  pt_lab lab = pt__task_color(task, nearest, &see_through);
  pt_difference d = pt_difference_between(task->aim.target, lab);
  const double l = task->aim.weight_lightness * d.dl, c = task->aim.weight_chroma * d.dc;
  const double h = task->aim.weight_hue * d.dh;
  const double s = task->aim.weight_see_through * (see_through - task->aim.see_through);
  char *words = out->limit_words;
  if (fabs(s) > fmax(fmax(fabs(l), fabs(c)), fabs(h))) {
    snprintf(words, PT_NOTE_TEXT,
             "This color can't be had as see-through as %.2f (0 is clear, 1 solid): the nearest is %.2f.",
             task->aim.see_through, see_through);
    return PT_LIMIT_SEE_THROUGH;
  }
  if (fabs(l) >= fabs(c) && fabs(l) >= fabs(h)) {
    snprintf(words, PT_NOTE_TEXT,
             "Nothing on the shelf makes it %s enough: L* %.0f is aimed for, %.0f is in reach.",
             l > 0 ? "dark" : "light", task->aim.target.L, lab.L);
    return l > 0 ? PT_LIMIT_DARK : PT_LIMIT_LIGHT;
  }
  if (fabs(c) >= fabs(h)) {
    snprintf(words, PT_NOTE_TEXT,
             "Nothing on the shelf makes it %s enough: C* %.0f is aimed for, %.0f is in reach.",
             c > 0 ? "dull" : "strong", pt_lch_from_lab(task->aim.target).C, pt_lch_from_lab(lab).C);
    return PT_LIMIT_CHROMA;
  }
  snprintf(words, PT_NOTE_TEXT,
           "Nothing on the shelf turns it to this hue: %.0f degrees are aimed for, %.0f are in reach.",
           pt_lch_from_lab(task->aim.target).h, pt_lch_from_lab(lab).h);
  return PT_LIMIT_HUE;
}

static void limit_say(const pt__task *task, size_t stage, double miss, pt_solution *out) {
  static const pt_limit limits[STAGES] = {PT_LIMIT_STEP, PT_LIMIT_BOTTLES, PT_LIMIT_DROPS, PT_LIMIT_FULL,
                                          PT_LIMIT_SET_ASIDE};
  char *words = out->limit_words;
  out->limit = limits[stage];
  switch (out->limit) {
  case PT_LIMIT_STEP:
    snprintf(words, PT_NOTE_TEXT,
             "Whole steps are too coarse for this little plastic: with finer ones it could come within %.1f.",
             miss);
    break;
  case PT_LIMIT_BOTTLES:
    snprintf(words, PT_NOTE_TEXT,
             "It takes more than the %zu bottles a cup may have (--max-bottles), those in it counted; with "
             "more it "
             "could come within %.1f.",
             task->most_bottles, miss);
    break;
  case PT_LIMIT_DROPS:
    snprintf(words, PT_NOTE_TEXT,
             "It takes more than the %g drops a cup may have (--max-drops), the %g in it counted; with more "
             "it could "
             "come within %.1f.",
             task->most_drops, task->drops_in_cup, miss);
    break;
  case PT_LIMIT_FULL:
    snprintf(words, PT_NOTE_TEXT,
             "The cup has no room for what is needed: in a larger one it could come within %.1f.", miss);
    break;
  default:
    snprintf(words, PT_NOTE_TEXT,
             "A bottle that was set aside is needed: with it the cup could come within %.1f.", miss);
  }
}

void pt__limit(const pt__task *task, const pt__try *best, const pt__try *relaxed, pt_solution *out) {
  out->limit = PT_LIMIT_NONE;
  out->limit_words[0] = '\0';
  if (best->miss <= PT__REACHED) return;
  pt__task free = *task;
  pt__try at = relaxed->miss < best->miss ? *relaxed : *best;
  double miss[STAGES], before = best->miss, most = 0;
  for (size_t stage = 0; stage < STAGES; stage++) {
    if (stage == 2) free.room_drops = PT_AMOUNT_MAX;
    if (stage == 3) {
      free.room_floz = 10 * task->volume_floz + PT_AMOUNT_MAX;
      free.clear_most = task->own ? 10 * task->volume_floz : 0;
    }
    if (stage == 4) free.usable |= task->set_aside;
    if (stage > 0) at = relaxed_over_all(&free, &at);
    miss[stage] = at.miss;
  }
  size_t worst = STAGES;
  for (size_t stage = 0; stage < STAGES; before = miss[stage++]) {
    if (before - miss[stage] <= most) continue;
    most = before - miss[stage];
    worst = stage;
  }
  if (worst == STAGES || miss[STAGES - 1] >= most)
    out->limit = gamut_limit(&free, &at, out);
  else
    limit_say(task, worst, miss[worst], out);
}
