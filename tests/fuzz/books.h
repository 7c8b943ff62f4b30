/* A book to fuzz on: made of seeds/import/whole.json, in memory. */
#ifndef DROPWISE_TESTS_FUZZ_BOOKS_H
#define DROPWISE_TESTS_FUZZ_BOOKS_H

#include "fuzz.h"

#include "dropwise/book.h"

/* A new book, name in fuzz_folder(): with what the seed holds, or empty. dw_book_close() */
dw_book *fuzz_book_filled(const char *name);
dw_book *fuzz_book_empty(const char *name);
/* name in fuzz_folder(); until the next call with the same slot, 0 to 3 */
const char *fuzz_place(int slot, const char *name);

/* Keeps what the book holds now. */
void fuzz_book_keep(dw_book *book);
/* Brings it back, where anything was changed since. */
void fuzz_book_again(dw_book *book);
void fuzz_book_forget(void);
bool fuzz_book_in_transaction(const dw_book *book);

#endif
