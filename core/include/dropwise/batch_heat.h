/* What the cups' temperatures mean: whether one can be, and how far apart those of one pour are. */
#ifndef DROPWISE_BATCH_HEAT_H
#define DROPWISE_BATCH_HEAT_H

#include "dropwise/book_heat.h"
#include "dropwise/book_settings.h"
#include "dropwise/json.h"

/* What is unusual of a cup becomes the warning, what can't be is refused: a slip of the finger, or the other
 * unit.
 * units    in which it is said;  warning  "" where it is usual
 * Errors DW_USAGE */
dw_status dw_heat_check(double fahrenheit, dw_units units, char *warning, size_t room, dw_error *err);

typedef struct dw_heat_spread {
  double spread_f; /* NAN: fewer than two cups have a temperature */
  double limit_f;  /* the maker's own; 0: none is set */
  bool beyond;     /* the limit */
  char words[DW_NOTE_TEXT];
} dw_heat_spread;
void dw_heat_spread_judge(double spread_f, const dw_settings *settings, dw_heat_spread *out);
/* Of a batch's cups, by the book's settings.  Errors DW_NOT_FOUND no such batch */
dw_status dw_heat_spread_get(dw_book *book, int64_t batch, const dw_settings *settings, dw_heat_spread *out,
                             dw_error *err);
/* {"spread_f", "limit_f", "beyond", "words"}, a new reference or NULL. */
json_t *dw_json_heat_spread(const dw_heat_spread *spread);
/* {"minute", "temperature_f", "reheat", "noted"}, a new reference or NULL. */
json_t *dw_json_heat_note(const dw_heat_note *note);

/* Where temperatures come from; static. */
extern const char dw_heat_source[];

#endif
