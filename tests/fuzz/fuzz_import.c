/* Any bytes as an export taken in, by an empty book or by one that holds something. Parsing apart from storing: it is
 * always taken back, so that nothing is written to a file. */
#include "books.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n) {
  static dw_book *books[2];
  dw_book_imported done;
  dw_error err;
  if (!books[0]) {
    books[0] = fuzz_book_empty("empty.db");
    books[1] = fuzz_book_filled("filled.db");
  }
  char *text = fuzz_text(bytes, n);
  dw_book *book = books[n % 2];
  promise(dw_book_begin(book, &err) == DW_OK, "a transaction begins");
  if (promised(dw_book_import(book, text, n, "the file", &done, &err), &err))
    promise(done.added + done.shared < n, "no more rows than bytes");
  dw_book_rollback(book);
  free(text);
  return 0;
}
