/* Inside book/: how an entry lies in the file.
 *
 * Entries say the same again and again: "belly read as 70.00,2.00,9.00 in batch 2 of frog".  What they share
 * stands once, as a `phrase` with a # for each run of digits ("belly read as # in batch # of frog", and the
 * record {"made":{"reading":[#]}} likewise); the entry keeps its phrase's id and the runs, packed.  A record
 * that holds values of rows (were, gone) stays as it is, in the entry. */
#ifndef DROPWISE_BOOK_ENTRIES_H
#define DROPWISE_BOOK_ENTRIES_H

#include "book/sql.h"

/* Entries as their columns were before they were packed; behind SELECT ... FROM. Needs dw__entries_connect.
 */
#define DW__ENTRY_ROWS                                                                                       \
  "(SELECT e.id AS id, strftime('%Y-%m-%dT%H:%M:%SZ', e.made, 'unixepoch') AS made, p.door AS door,"         \
  " p.kind AS kind, entry_words(p.words, e.numbers) AS words, e.pattern AS pattern, e.batch AS batch,"       \
  " e.state AS state, coalesce(e.record, entry_record(p.words, p.record, e.numbers)) AS record"              \
  " FROM entry e JOIN phrase p ON p.id = e.phrase)"

/* Makes the two functions known that DW__ENTRY_ROWS asks. They give NULL for what is damaged. */
int dw__entries_connect(sqlite3 *db);

typedef struct dw__entry_text {
  int64_t id; /* 0: the next */
  const char *made, *door, *kind, *words, *record;
  int64_t pattern, batch, state;
} dw__entry_text;
dw_status dw__entry_write(dw_book *book, const dw__entry_text *entry, dw_error *err);

/* Takes the rows of `entry_text` in, a table with the columns of DW__ENTRY_ROWS.  Entries that told of rows
 * of `work`, which are no more, and those before them can't be taken back any more: their record becomes {}.
 * works_moved  so it is for all. */
dw_status dw__entries_take(dw_book *book, bool works_moved, dw_error *err);

#endif
