/* The contract test of one plugin: it loads, and on every one of some twenty requests (empty shelf, full cup,
 * one layer, eight, syringe steps, targets out of reach ...), with each of its numbers at its usual, least
 * and most, it answers in time, the same each time, within all limits, in whole sentences, with predictions
 * that the host's own confirm. tests/contract runs the same list over every plugin that is built. */
#ifndef DROPWISE_PLUGIN_CHECK_H
#define DROPWISE_PLUGIN_CHECK_H

#include "dropwise/advise.h"

enum { DW_PLUGIN_CHECKS_MAX = 96 };

typedef struct dw_plugin_check {
  char name[96]; /* "it loads", "three layers", "three layers, its numbers at their most" */
  bool passed;
  char why[DW_NOTE_TEXT + 64]; /* what is wrong, a sentence; "" when it passed */
} dw_plugin_check;

/* Large: on the heap. */
typedef struct dw_plugin_checks {
  dw_plugin_entry_info plugin;
  size_t n, n_passed; /* one that does not load is asked nothing */
  dw_plugin_check check[DW_PLUGIN_CHECKS_MAX];
} dw_plugin_checks;

/* Called for every advice that came of the plugin; may be NULL. */
typedef void (*dw_plugin_watch)(void *ctx, const char *check, const dw_advice_request *request,
                                const dw_advice *advice);

/* file     the plugin; limit_s per answer, 0 means DW_PLUGIN_LIMIT_S
 * Errors   DW_NOT_FOUND there is no such file; DW_NO_MEMORY, DW_IO (no child could be started) */
dw_status dw_plugin_check_file(const char *file, double limit_s, dw_plugin_watch watch, void *ctx,
                               dw_plugin_checks *out, dw_error *err);

#endif
