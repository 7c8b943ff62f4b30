/* Inside book/: whether a book's schema is the one that Dropwise makes. */
#ifndef DROPWISE_BOOK_EXPECTED_H
#define DROPWISE_BOOK_EXPECTED_H

#include "dropwise/book.h"

/* Every table, index, view and trigger of the book is as the steps up to that version make it: another's
 * trigger could delete what is written, another's view keep a reader busy for ever.  What SQLite's ANALYZE
 * leaves is passed over.  Errors DW_CORRUPT names the first that differs */
dw_status dw__schema_check(dw_book *book, int64_t version, dw_error *err);

/* SHA-256 of the schema's rows, in hexadecimal: where it is that of the newest schema (dw__book_digest)
 * nothing more is compared, since making the expected one takes longer than most commands. */
dw_status dw__schema_digest(dw_book *book, char out[DW_SHA256_ROOM], dw_error *err);

#endif
