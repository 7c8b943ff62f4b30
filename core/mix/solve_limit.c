/* What keeps a cup from its aim.
 *
 * The limits are lifted one after another (whole steps, number of bottles, number of drops, room in the cup,
 * bottles set aside, and a contrast ratio that is held), each time with the best relaxed color that is then
 * in reach. Each lifted limit brings the miss down by some amount, and what is left at the end is the shelf's
 * own doing. The largest of these amounts is the answer. */
#include "mix/solve.h"

#include <math.h>

enum { STEPS = 40, STAGES = 6 };

static void leave_unused(dw__try *t) {
  size_t kept = 0;
  for (size_t i = 0; i < t->n; i++) {
    if (!(t->drops[i] > 0)) continue;
    t->bottle[kept] = t->bottle[i];
    t->drops[kept++] = t->drops[i];
  }
  t->n = kept;
}

static bool holds(const dw__try *t, size_t bottle) {
  bool found = false;
  for (size_t i = 0; i < t->n; i++) found |= t->bottle[i] == bottle;
  return found;
}

/* Lets usable bottles from number `next` on join, as many as there is room for; returns the first not seen.
 */
static size_t let_join(const dw__task *task, size_t next, double drops, dw__try *t) {
  for (; next < task->shelf->n && t->n < DW__TRY_MOST; next++) {
    if (!(task->usable >> next & 1) || holds(t, next)) continue;
    t->bottle[t->n] = (uint8_t)next;
    t->drops[t->n++] = drops;
  }
  return next;
}

/* The best over every usable bottle, joining with so many drops. A try has room for a dozen, and the best
 * color needs no more than there are residuals: those in use stay while the rest of the shelf takes turns. */
static void relax_in_turns(const dw__task *task, double drops, dw__try *t) {
  for (size_t next = 0; next < task->shelf->n;) {
    dw__try joined = *t;
    leave_unused(&joined);
    if (joined.n == DW__TRY_MOST) return;
    next = let_join(task, next, drops, &joined);
    dw__relax(task, STEPS, &joined);
    if (joined.miss < t->miss) *t = joined;
  }
}

/* From where we are, and from two cups that hold a little or a lot of each. */
static dw__try relaxed_over_all(const dw__task *task, const dw__try *from) {
  const double drops[] = {0, 0.2 * task->volume_floz, 3 * task->volume_floz};
  dw__try best = *from;
  dw__task_score(task, &best);
  for (int start = 0; start < 3; start++) {
    dw__try t = {.miss = INFINITY};
    if (start == 0) t = best;
    relax_in_turns(task, drops[start], &t);
    if (t.miss < best.miss) best = t;
  }
  return best;
}

#define REACHED_DE00 0.3 /* nearer than this is met */
static void word_reach(double miss, char *out, size_t room) {
  if (miss < REACHED_DE00)
    snprintf(out, room, "it could be met");
  else
    snprintf(out, room, "it could come within %.1f", miss);
}

/* The last stage: which way the nearest color in reach lies off. */
static dw_limit gamut_limit(const dw__task *task, const dw__try *nearest, dw_solution *out) {
  double see_through;
  dw_lab lab = dw__task_color(task, nearest, &see_through);
  dw_difference d = dw_difference_between(task->aim.target, lab);
  const double l = task->aim.weight_lightness * d.dl, c = task->aim.weight_chroma * d.dc;
  const double h = task->aim.weight_hue * d.dh;
  const double s = task->aim.weight_see_through * (see_through - task->aim.see_through);
  char *words = out->limit_words;
  if (fabs(s) > fmax(fmax(fabs(l), fabs(c)), fabs(h))) {
    snprintf(words, DW_NOTE_TEXT,
             "This color can't be had as see-through as %.2f (0 is clear, 1 solid): the nearest is %.2f.",
             task->aim.see_through, see_through);
    return DW_LIMIT_SEE_THROUGH;
  }
  if (fabs(l) >= fabs(c) && fabs(l) >= fabs(h)) {
    snprintf(words, DW_NOTE_TEXT,
             "Nothing on the shelf makes it %s enough: L* %.0f is aimed for, %.0f is in reach.",
             l > 0 ? "dark" : "light", task->aim.target.L, lab.L);
    return l > 0 ? DW_LIMIT_DARK : DW_LIMIT_LIGHT;
  }
  if (fabs(c) >= fabs(h)) {
    snprintf(words, DW_NOTE_TEXT,
             "Nothing on the shelf makes it %s enough: C* %.0f is aimed for, %.0f is in reach.",
             c > 0 ? "dull" : "strong", dw_lch_from_lab(task->aim.target).C, dw_lch_from_lab(lab).C);
    return DW_LIMIT_CHROMA;
  }
  snprintf(words, DW_NOTE_TEXT,
           "Nothing on the shelf turns it to this hue: %.0f degrees are aimed for, %.0f are in reach.",
           dw_lch_from_lab(task->aim.target).h, dw_lch_from_lab(lab).h);
  return DW_LIMIT_HUE;
}

static double drops_of(const dw__try *t) {
  double sum = 0;
  for (size_t i = 0; i < t->n; i++) sum += t->drops[i];
  return sum;
}

/* It is not the steps that are coarse where it takes clearly more of them. */
static bool needs_more(const dw__task *task, const dw__try *best, const dw__try *nearer) {
  return task->drop_cost > DW_DROP_COST_DE00 && drops_of(nearer) > drops_of(best) + 1.5;
}

static void limit_worth(const dw__try *best, const dw__try *nearer, dw_solution *out) {
  out->limit = DW_LIMIT_WORTH;
  snprintf(out->limit_words, DW_NOTE_TEXT,
           "It could come within %.1f, but only with %.0f drops more, and they are not worth it.",
           nearer->miss, drops_of(nearer) - drops_of(best));
}

static void limit_say(const dw__task *task, size_t stage, double miss, dw_solution *out) {
  static const dw_limit limits[STAGES] = {DW_LIMIT_STEP, DW_LIMIT_BOTTLES,   DW_LIMIT_DROPS,
                                          DW_LIMIT_FULL, DW_LIMIT_SET_ASIDE, DW_LIMIT_SEE_THROUGH};
  char *words = out->limit_words, reach[48];
  word_reach(miss, reach, sizeof reach);
  out->limit = limits[stage];
  switch (out->limit) {
  case DW_LIMIT_STEP:
    snprintf(words, DW_NOTE_TEXT, "Whole steps are too coarse for this little plastic: with finer ones %s.",
             reach);
    break;
  case DW_LIMIT_BOTTLES:
    snprintf(words, DW_NOTE_TEXT,
             "It takes more than the %zu bottles a cup may have, those in it counted; with more %s.",
             task->most_bottles, reach);
    break;
  case DW_LIMIT_DROPS:
    snprintf(words, DW_NOTE_TEXT,
             "It takes more than the %g drops a cup may have, the %g in it counted; with more %s.",
             task->most_drops, task->drops_in_cup, reach);
    break;
  case DW_LIMIT_FULL:
    snprintf(words, DW_NOTE_TEXT, "The cup has no room for what is needed: in a larger one %s.", reach);
    break;
  case DW_LIMIT_SEE_THROUGH:
    snprintf(words, DW_NOTE_TEXT,
             "It would become more or less see-through than it is: only so could it come within %.1f.", miss);
    break;
  default:
    snprintf(words, DW_NOTE_TEXT,
             "A bottle that was set aside is needed: with it the cup could come within %.1f.", miss);
  }
}

void dw__limit(const dw__task *task, const dw__try *best, const dw__try *relaxed, dw_solution *out) {
  out->limit = DW_LIMIT_NONE;
  out->limit_words[0] = '\0';
  if (best->miss <= DW__REACHED) return;
  dw__task free = *task;
  dw__try at = relaxed->miss < best->miss ? *relaxed : *best;
  const bool held = task->aim.see_through_band > 0;
  double miss[STAGES], before = best->miss, most = 0;
  for (size_t stage = 0; stage < STAGES; stage++) {
    if (stage == 2) free.room_drops = DW_AMOUNT_MAX;
    if (stage == 3) {
      free.room_floz = 10 * task->volume_floz + DW_AMOUNT_MAX;
      free.clear_most = task->own ? 10 * task->volume_floz : 0;
    }
    if (stage == 4) free.usable |= task->set_aside;
    if (stage == 5 && held) free.aim.weight_see_through = 0;
    if (stage > 0 && (stage < 5 || held)) at = relaxed_over_all(&free, &at);
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
  else if (worst == 0 && needs_more(task, best, relaxed))
    limit_worth(best, relaxed, out);
  else
    limit_say(task, worst, miss[worst], out);
}
