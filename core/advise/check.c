#include "advise/check.h"
#include "advise/clean.h"

#include <math.h>
#include <string.h>

/* A plugin's own prediction may differ this much, in CIEDE2000, before the maker is told. */
#define CLAIM_TOLERANCE_DE00 1.0
/* Rounding in a number of steps. */
#define SLACK 1e-6

static bool addition_check(const dw__case *c, const dw_addition *add, dw__reason why) {
  if (add->bottle >= c->view.n_bottles)
    return dw__broken(why, "adds bottle %u of a shelf of %u", add->bottle, c->view.n_bottles);
  const dw_bottle_view *bottle = &c->bottle[add->bottle];
  if (!(add->drops >= 0 && add->drops <= DW_AMOUNT_MAX))
    return dw__broken(why, "adds %g drops of %s", add->drops, bottle->id);
  if (!bottle->usable && add->drops > 0)
    return dw__broken(why, "adds %s, which is not to be used", bottle->id);
  double steps = add->drops / bottle->step_drops;
  if (fabs(steps - round(steps)) > SLACK * fmax(1, steps))
    return dw__broken(why, "adds %g drops of %s, which can't be measured out in steps of %g", add->drops,
                      bottle->id, bottle->step_drops);
  return true;
}

static bool additions_take(const dw__case *c, const dw_proposal *p, dw_recipe *out, dw__reason why) {
  *out = (dw_recipe){0};
  if (p->n_adds > DW_PLUGIN_ADDS_MAX)
    return dw__broken(why, "lists %u additions; at most %d are possible", p->n_adds, DW_PLUGIN_ADDS_MAX);
  for (uint32_t i = 0; i < p->n_adds; i++) {
    if (!addition_check(c, &p->add[i], why)) return false;
    if (dw_recipe_amount(out, p->add[i].bottle) > 0)
      return dw__broken(why, "adds %s twice", c->bottle[p->add[i].bottle].id);
    if (p->add[i].drops > 0) dw_recipe_add(out, p->add[i].bottle, p->add[i].drops);
  }
  return true;
}

static bool words_take(const dw_proposal *p, dw_advice *out, dw__reason why) {
  char warning[DW_PLUGIN_WORDS];
  if (!dw__text_ends(p->words, sizeof p->words) || !p->words[0])
    return dw__broken(why, "says nothing, or more than %d bytes", DW_PLUGIN_WORDS - 1);
  if (!dw__text_ends(p->warning, sizeof p->warning))
    return dw__broken(why, "leaves its warning open, or longer than %d bytes", DW_PLUGIN_WORDS - 1);
  dw__text_clean(out->words, sizeof out->words, p->words, sizeof p->words);
  dw__text_clean(warning, sizeof warning, p->warning, sizeof p->warning);
  if (warning[0]) dw_note(&out->notes, "%s", warning);
  return true;
}

static void compare_claim(const dw_proposal *p, dw_advice *out) {
  dw_lab claim = p->predicted;
  double off = isfinite(claim.L) && isfinite(claim.a) && isfinite(claim.b)
                   ? dw_de00(claim, out->predicted.lab)
                   : INFINITY;
  if (!isfinite(off))
    dw_note(&out->notes, "It gave no prediction of its own.");
  else if (off > CLAIM_TOLERANCE_DE00)
    dw_note(&out->notes, "Its own prediction was off by %.1f; the color shown is computed anew.", off);
}

bool dw__proposal_check(const dw__case *c, const dw_proposal *proposal, dw_advice *out, char *why,
                        size_t room) {
  dw__reason told = {why, room};
  dw_advice advice = {.layer = proposal->layer, .add_clear_floz = proposal->add_clear_floz};
  dw_error err = {0};
  if (proposal->layer >= c->view.n_layers)
    return dw__broken(told, "is for layer %u of %u", proposal->layer, c->view.n_layers);
  if (!additions_take(c, proposal, &advice.add, told) ||
      !dw__case_fits(c, advice.layer, &advice.add, advice.add_clear_floz, told) ||
      !words_take(proposal, &advice, told))
    return false;
  if (dw__case_predict(c, advice.layer, &advice.add, advice.add_clear_floz, &advice.predicted, &err) != DW_OK)
    return dw__broken(told, "can't be predicted: %s", err.text);
  advice.predicted_de00 = dw_de00(advice.predicted.lab, c->layer[advice.layer].target);
  dw_notes_add(&advice.notes, &advice.predicted.notes);
  compare_claim(proposal, &advice);
  *out = advice;
  return true;
}
