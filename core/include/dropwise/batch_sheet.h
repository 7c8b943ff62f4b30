/* What stands on the cup sheet: the cups of what lies on the bench, or of the last batch of a pattern. */
#ifndef DROPWISE_BATCH_SHEET_H
#define DROPWISE_BATCH_SHEET_H

#include "dropwise/batch_advice.h"
#include "dropwise/batch_heat.h"
#include "dropwise/book_bench.h"
#include "dropwise/plan.h"

typedef struct dw_sheet_cup {
  char layer[DW_LAYER_NAME_ROOM];
  dw_cup cup; /* drops: bottles of the sheet's shelf */
  bool has_target, has_color;
  dw_lab target;
  dw_lab color; /* as measured, or predicted of the drops */
  bool measured;
  double uncertainty_de00; /* of color when measured */
  double temperature_f;    /* taken last; NAN: none was */
  int minute;              /* of the batch, when it was taken; -1: not known */
  size_t reheats;
  bool has_advised; /* dw_sheet_advise: */
  dw_cup advised;   /* the cup when what is advised was added */
} dw_sheet_cup;

typedef struct dw_sheet {
  char title[DW_TITLE_ROOM];
  char note[256];
  char date[24];           /* "2026-05-01" */
  char lack[DW_NOTE_TEXT]; /* what bottles without chips need; "" */
  char source[160];        /* "Batch 8, poured 2026-05-01" or "As advised, not poured yet"; "" */
  const dw_shelf *shelf;   /* borrowed */
  dw_slab slab;            /* how the colors are meant */
  dw_units units;
  int64_t pattern;
  int64_t batch;       /* of the cups; 0: none yet */
  dw_heat_spread heat; /* of the batch's cups */
  size_t n;
  dw_sheet_cup cup[DW_LAYERS_MAX]; /* from back to belly */
  bool has_mold;                   /* it is known how the mold stands: */
  dw_mold mold;
  size_t chamber[DW_LAYERS_MAX]; /* n cups, from the left chamber to the right (dw_mold_chambers) */
} dw_sheet;

/* Adds what is advised for the cups of the sheet's batch; nothing of a sheet without one.  Within a transaction.
 * What can't be advised on stays without.  Errors DW_NO_MEMORY */
dw_status dw_sheet_advise(dw_book *book, const dw_plugins *plugins, dw_sheet *sheet, dw_error *err);
/* Sets the cups in the order of that mold's chambers.  Errors as dw_mold_chambers */
dw_status dw_sheet_set_mold(dw_sheet *sheet, const dw_mold *mold, dw_error *err);

/* The cups of what lies on the bench.
 * out  its shelf the caller's, dw_shelf_free, on error too; large: on the heap.  Within a transaction.
 * Errors DW_NOT_FOUND no such bench */
dw_status dw_sheet_of_bench(dw_book *book, int64_t bench, dw_units units, dw_sheet *out, dw_shelf **shelf,
                            dw_error *err);
/* The cups of the pattern's newest batch with something in it, else (and with next set) the cups as advised.
 * Errors DW_NOT_FOUND no such pattern, or neither a cup nor a target */
dw_status dw_sheet_of_pattern(dw_book *book, const char *pattern, const dw_plugins *plugins, bool next,
                              dw_units units, dw_sheet *out, dw_shelf **shelf, dw_error *err);

#endif
