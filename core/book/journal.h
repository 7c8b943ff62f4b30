/* Inside book/: the entry that the transaction at hand will be. */
#ifndef DROPWISE_BOOK_JOURNAL_INNER_H
#define DROPWISE_BOOK_JOURNAL_INNER_H

#include "dropwise/book_journal.h"

typedef struct sqlite3_session sqlite3_session; /* sqlite3.h has it only where a build asks for it */

enum { DW__PLACE_ROOM = 200 };

typedef struct dw__draft {
  sqlite3_session *watched; /* NULL: no entry is made */
  dw_entry_kind kind;       /* DW_ENTRY_KIND_COUNT before anything was said */
  bool named;               /* by dw_book_entry_say */
  int64_t pattern, batch;
  char words[DW_ENTRY_WORDS_ROOM]; /* without the place of the last part */
  char place[DW__PLACE_ROOM];
} dw__draft;

/* The parts of a transaction of the book's own, called behind BEGIN and before COMMIT; end in every case. */
dw_status dw__journal_begin(dw_book *book, dw_error *err);
dw_status dw__journal_keep(dw_book *book, dw_error *err);
void dw__journal_end(dw_book *book);

/* Adds to what the entry says: "12 drops of orange", place "into the belly of batch 2 of frog". What is said
 * of the same place joins what was said before. Of several kinds the first in their list names the entry. */
void dw__tell(dw_book *book, dw_entry_kind kind, int64_t pattern, int64_t batch, const char *place,
              const char *format, ...) DW_PRINTF(6, 7);

/* What a row is of, for its entry: ids and names; zeroed and "" where the row is not there. */
typedef struct dw__where {
  int64_t pattern, batch;
  char pattern_name[64], batch_name[64], layer[64];
} dw__where;
dw_status dw__where_pattern(dw_book *book, int64_t pattern, dw__where *out, dw_error *err);
dw_status dw__where_layer(dw_book *book, int64_t layer, dw__where *out, dw_error *err);
dw_status dw__where_batch(dw_book *book, int64_t batch, dw__where *out, dw_error *err);
dw_status dw__where_cup(dw_book *book, int64_t cup, dw__where *out, dw_error *err);
/* "into the belly of batch 2 of frog": before, then the layer, batch and pattern that are known. */
void dw__where_words(const dw__where *where, const char *before, char out[DW__PLACE_ROOM]);
/* The next id of "pattern" or "batch": one that no entry ever spoke of. */
dw_status dw__next_id(dw_book *book, const char *table, int64_t *out, dw_error *err);

#endif
