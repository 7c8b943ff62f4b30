/* Inside book/: work as books up to version 6 had it, its cups as JSON beside the rows. */
#ifndef DROPWISE_BOOK_WORKS_H
#define DROPWISE_BOOK_WORKS_H

#include "dropwise/book.h"

/* Makes a bench of every row of `work`, under the same id where that is free, and brings its batch's cups to
 * hold all that either told of: what the JSON has beyond the rows is added to them at the time that its log
 * gives; where the rows have more, they stay, and the batch's note says what the bench had.  A work without a
 * batch gets one. In a transaction. moved  how many.  Errors DW_CORRUPT cups that can't be read */
dw_status dw__works_move(dw_book *book, size_t *moved, dw_error *err);

#endif
