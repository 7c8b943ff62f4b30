/* dropwise bottle fit */
#include "app/cli/bottle.h"

#include <stdlib.h>

enum { WORST_SHOWN = 5 };
#define GAP_SAID 0.1 /* air under the chips, 0 to 1: less hardly changes a color */

/* Chip indices, the one furthest off first. */
static size_t *rank_chips(const dw_fit *fit) {
  size_t *order = calloc(fit->n + 1, sizeof *order);
  for (size_t i = 0; order && i < fit->n; i++) {
    size_t at = i;
    for (; at > 0 && fit->chip[order[at - 1]].de00 < fit->chip[i].de00; at--) order[at] = order[at - 1];
    order[at] = i;
  }
  return order;
}

static json_t *chip_json(const dw_fit *fit, const dw_chip *chips, size_t i) {
  char words[160];
  dw_chip_words(&chips[i], fit->shelf, words, sizeof words);
  return json_pack("{s:s, s:o, s:o, s:o}", "chip", words, "lab", dw_json_lab(chips[i].lab), "de00",
                   dw_json_round(fit->chip[i].de00, 2), "weight", dw_json_round(fit->chip[i].weight, 2));
}

static json_t *fit_json(const dw_fit *fit, const dw_chip *chips, const size_t *order) {
  json_t *list = json_array();
  for (size_t i = 0; i < fit->n; i++) list = dw_json_and(list, chip_json(fit, chips, order[i]));
  return json_pack("{s:I, s:o, s:o, s:s, s:o, s:o, s:o, s:o, s:o}", "chips", (json_int_t)fit->n, "mean_de00",
                   dw_json_round(fit->mean_de00, 2), "max_de00", dw_json_round(fit->max_de00, 2), "worst",
                   fit->worst_words, "k2", dw_json_round(fit->shelf->surface.k2, 3), "gap",
                   dw_json_round(fit->shelf->surface.gap, 3), "warnings", dw_json_notes(&fit->warnings),
                   "suggestions", dw_json_notes(&fit->suggestions), "residuals", list);
}

static void fit_text(const dw_fit *fit, const dw_chip *chips, const size_t *order, const dw_learned *learned,
                     dw_text *out) {
  char words[160];
  /* -fanalyzer: it is called where dw_fit_chips has given a fit */
  dw_text_add(out, "Fitted %zu bottles to %zu chips: off by %.2f in the mean, %.2f at worst.\n",
              fit->shelf->n, fit->n, fit->mean_de00, fit->max_de00);
  if (fit->shelf->surface.gap > GAP_SAID)
    dw_text_add(out, "Air lay under the chips; the fit allows for it. Wet contact tells more.\n");
  dw_text_add(out, "%s\n", fit->worst_words);
  for (size_t i = 0; i < fit->n && i < WORST_SHOWN; i++) {
    dw_chip_words(&chips[order[i]], fit->shelf, words, sizeof words);
    dw_text_add(out, "  %5.2f  %s\n", fit->chip[order[i]].de00, words);
  }
  dw_text_notes(&fit->warnings, "", out);
  for (size_t i = 0; i < fit->suggestions.n; i++) dw_text_add(out, "%s\n", fit->suggestions.text[i]);
  for (size_t i = 0; i < learned->n; i++)
    if (*learned->bottle[i].words) dw_text_add(out, "From pours: %s.\n", learned->bottle[i].words);
}

dw_status cli_bottle_fit(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_shelf *shelf = NULL;
  dw_chip *chips = NULL;
  dw_fit *fit = NULL;
  size_t n = 0, *order = NULL;
  json_t *json = NULL;
  dw_text text = {0};
  dw_learned *learned = calloc(1, sizeof *learned);
  dw_status status = learned ? cli_book_write(args, &book, err) : dw_fail_memory(err, "the fit");
  if (status == DW_OK) status = dw_chips_load(book, &shelf, &chips, &n, err);
  if (status == DW_OK) status = dw_bottles_fit(shelf, chips, n, DW_FIT_FRESH, &fit, err);
  if (status == DW_OK && !(order = rank_chips(fit))) status = dw_fail_memory(err, "the fit's report");
  if (status == DW_OK) {
    json = fit_json(fit, chips, order);
    status = dw_book_fit_adopt(book, fit, json, learned, err);
  }
  status = cli_book_keep(args, "The fit was kept", book, status, err);
  if (status == DW_OK) {
    fit_text(fit, chips, order, learned, &text);
    status = cli_say(args, json_incref(json), &text, err);
  }
  json_decref(json);
  dw_fit_free(fit);
  dw_shelf_free(shelf);
  free(chips);
  free(order);
  free(learned);
  return status;
}
