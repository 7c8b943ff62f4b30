#include "advise/check.h"
#include "advise/clean.h"

#include <math.h>
#include <string.h>

/* A plugin's own prediction may differ this much, in CIEDE2000, before the maker is told. */
#define CLAIM_TOLERANCE_DE00 1.0
/* Rounding of sums of drops and volumes. */
#define SLACK 1e-6

typedef struct reason {
  char *text;
  size_t room;
} reason;

static bool broken(reason why, const char *format, ...) PT_PRINTF(2, 3);
static bool broken(reason why, const char *format, ...) {
  va_list args;
  va_start(args, format);
  vsnprintf(why.text, why.room, format, args);
  va_end(args);
  return false;
}

static bool addition_check(const pt__case *c, const pt_addition *add, reason why) {
  if (add->bottle >= c->view.n_bottles)
    return broken(why, "adds bottle %u of a shelf of %u", add->bottle, c->view.n_bottles);
  const pt_bottle_view *bottle = &c->bottle[add->bottle];
  if (!(add->drops >= 0 && add->drops <= PT_AMOUNT_MAX))
    return broken(why, "adds %g drops of %s", add->drops, bottle->id);
  if (!bottle->usable && add->drops > 0) return broken(why, "adds %s, which is not to be used", bottle->id);
  double steps = add->drops / bottle->step_drops;
  if (fabs(steps - round(steps)) > SLACK * fmax(1, steps))
    return broken(why, "adds %g drops of %s, which can't be measured out in steps of %g", add->drops,
                  bottle->id, bottle->step_drops);
  return true;
}

static bool additions_take(const pt__case *c, const pt_proposal *p, pt_recipe *out, reason why) {
  *out = (pt_recipe){0};
  if (p->n_adds > PT_PLUGIN_ADDS_MAX)
    return broken(why, "lists %u additions; at most %d are possible", p->n_adds, PT_PLUGIN_ADDS_MAX);
  for (uint32_t i = 0; i < p->n_adds; i++) {
    if (!addition_check(c, &p->add[i], why)) return false;
    if (pt_recipe_amount(out, p->add[i].bottle) > 0)
      return broken(why, "adds %s twice", c->bottle[p->add[i].bottle].id);
    if (p->add[i].drops > 0) pt_recipe_add(out, p->add[i].bottle, p->add[i].drops);
  }
  return true;
}

/* What the cup will hold against its own limits. A cup already beyond a limit may stay there, not go further.
 */
static bool cup_check(const pt__case *c, const pt_advice *advice, reason why) {
  const pt_shelf *shelf = c->request->shelf;
  const pt_rules *rules = &c->rules[advice->layer];
  pt_cup cup = c->request->layer[advice->layer].cup;
  size_t bottles_before = cup.drops.n;
  double drops_before = pt_recipe_total(&cup.drops), clear = advice->add_clear_floz;
  if (!(clear >= 0) || !isfinite(clear)) return broken(why, "adds %g fl oz of clear base", clear);
  if (clear > rules->max_clear_floz + SLACK)
    return broken(why, "adds %.2f fl oz of clear base; at most %.2f are allowed", clear,
                  rules->max_clear_floz);
  for (size_t i = 0; i < advice->add.n; i++)
    if (!pt_recipe_add(&cup.drops, advice->add.part[i].bottle, advice->add.part[i].amount))
      return broken(why, "leaves more than %d bottles in the cup", PT_CUP_BOTTLES_MAX);
  cup.volume_floz += clear;
  if (cup.drops.n > bottles_before && cup.drops.n > rules->max_bottles)
    return broken(why, "leaves %zu bottles in the cup; at most %zu are allowed", cup.drops.n,
                  rules->max_bottles);
  double drops = pt_recipe_total(&cup.drops), filled = pt_cup_filled_floz(&cup, shelf);
  if (drops > drops_before && drops > rules->max_drops + SLACK)
    return broken(why, "leaves %g drops in the cup; at most %g are allowed", drops, rules->max_drops);
  if (filled > cup.capacity_floz + SLACK)
    return broken(why, "fills the cup to %.2f fl oz; it holds %.2f", filled, cup.capacity_floz);
  return true;
}

static bool words_take(const pt_proposal *p, pt_advice *out, reason why) {
  char warning[PT_PLUGIN_WORDS];
  if (!pt__text_ends(p->words, sizeof p->words) || !p->words[0])
    return broken(why, "says nothing, or more than %d bytes", PT_PLUGIN_WORDS - 1);
  if (!pt__text_ends(p->warning, sizeof p->warning))
    return broken(why, "leaves its warning open, or longer than %d bytes", PT_PLUGIN_WORDS - 1);
  pt__text_clean(out->words, sizeof out->words, p->words, sizeof p->words);
  pt__text_clean(warning, sizeof warning, p->warning, sizeof p->warning);
  if (warning[0]) pt_note(&out->notes, "%s", warning);
  return true;
}

static void compare_claim(const pt_proposal *p, pt_advice *out) {
  pt_lab claim = p->predicted;
  double off = isfinite(claim.L) && isfinite(claim.a) && isfinite(claim.b)
                   ? pt_de00(claim, out->predicted.lab)
                   : INFINITY;
  if (!isfinite(off))
    pt_note(&out->notes, "It gave no prediction of its own.");
  else if (off > CLAIM_TOLERANCE_DE00)
    pt_note(&out->notes, "Its own prediction was off by %.1f; the color shown is computed anew.", off);
}

bool pt__proposal_check(const pt__case *c, const pt_proposal *proposal, pt_advice *out, char *why,
                        size_t room) {
  reason told = {why, room};
  pt_advice advice = {.layer = proposal->layer, .add_clear_floz = proposal->add_clear_floz};
  pt_error err = {0};
  if (proposal->layer >= c->view.n_layers)
    return broken(told, "is for layer %u of %u", proposal->layer, c->view.n_layers);
  if (!additions_take(c, proposal, &advice.add, told) || !cup_check(c, &advice, told) ||
      !words_take(proposal, &advice, told))
    return false;
  if (pt__case_predict(c, advice.layer, &advice.add, advice.add_clear_floz, &advice.predicted, &err) != PT_OK)
    return broken(told, "can't be predicted: %s", err.text);
  advice.predicted_de00 = pt_de00(advice.predicted.lab, c->layer[advice.layer].target);
  for (size_t i = 0; i < advice.predicted.notes.n; i++)
    pt_note(&advice.notes, "%s", advice.predicted.notes.text[i]);
  compare_claim(proposal, &advice);
  *out = advice;
  return true;
}
