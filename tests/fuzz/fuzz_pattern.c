/* Any bytes as a pattern's file taken in, with its bottles or without, and taken back. */
#include "books.h"

#include "dropwise/batch_travel.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n) {
  static dw_book *book;
  static dw_shelf *shelf;
  static dw_pattern_arrived arrived;
  dw_error err;
  if (!book) {
    book = fuzz_book_filled("book.db");
    if (dw_book_shelf(book, &shelf, NULL, &err) != DW_OK) promise(false, err.text);
  }
  json_t *root = json_loadb((const char *)bytes, n, JSON_REJECT_DUPLICATES, NULL);
  const dw_pattern_import how = {
      .file = "the file", .name = n % 4 < 2 ? "another" : NULL, .with_bottles = n % 2};
  if (root) {
    promise(dw_book_begin(book, &err) == DW_OK, "a transaction begins");
    if (promised(dw_pattern_import_json(book, root, shelf, &how, &arrived, &err), &err))
      promise(arrived.pattern > 0, "a pattern arrived");
    dw_book_rollback(book);
  }
  json_decref(root);
  return 0;
}
