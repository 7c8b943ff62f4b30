/* How hot the cups were, when, and what went back onto the heat: the book's notes of temperatures. */
#ifndef DROPWISE_BOOK_HEAT_H
#define DROPWISE_BOOK_HEAT_H

#include "dropwise/book.h"

/* What a cup of plastisol can be in F, and what is usual (common practice, no source; the maker's data sheet
 * rules). */
#define DW_HEAT_COLDEST_F 60.0
#define DW_HEAT_HOTTEST_F 450.0
#define DW_HEAT_USUAL_LEAST_F 250.0
#define DW_HEAT_USUAL_MOST_F 375.0

enum { DW_HEAT_MINUTE_MAX = 100000 };
#define DW_HEAT_BY_CLOCK (-1)

typedef struct dw_heat_note {
  int64_t id, cup;
  double temperature_f; /* NAN: none was taken */
  int minute;           /* of the batch: 0 at its first note */
  bool reheat;          /* the cup went back onto the heat */
  char noted[DW_TIME_ROOM];
} dw_heat_note;

/* Notes of a cup how hot it is, or that it is heated again, or both. What was noted last of the same minute
 * again changes nothing.  In a transaction.
 * temperature_f  NAN: none was taken, which only a reheat may lack
 * minute         or DW_HEAT_BY_CLOCK: minutes since the batch's first note, which has 0
 * Errors DW_BAD_INPUT out of range, neither a temperature nor a reheat; DW_NOT_FOUND no such cup */
dw_status dw_book_heat_note(dw_book *book, int64_t cup, double temperature_f, int minute, bool reheat,
                            dw_error *err);
/* The last temperature noted of the cup was written down wrong, or none was.  In a transaction.
 * Errors as dw_book_heat_note */
dw_status dw_book_heat_correct(dw_book *book, int64_t cup, double temperature_f, dw_error *err);
/* Of all cups of a batch, by minute. *out owned by the caller (free) */
dw_status dw_book_heat_list(dw_book *book, int64_t batch, dw_heat_note **out, size_t *n, dw_error *err);

/* Spread of a batch's cups' temperatures (largest less smallest, over two cups at least), and its blend's
 * width; NAN where not known. */
typedef struct dw_batch_heat {
  int64_t batch;
  double spread_f, blend_mm;
} dw_batch_heat;
/* Of each batch of a pattern, in the order they were poured. *out owned by the caller (free) */
dw_status dw_batch_heat_list(dw_book *book, int64_t pattern, dw_batch_heat **out, size_t *n, dw_error *err);
/* Of one.  Errors DW_NOT_FOUND */
dw_status dw_batch_heat_get(dw_book *book, int64_t batch, dw_batch_heat *out, dw_error *err);

#endif
