/* The folder that swept programs work in: as it is before each run, and what is in it behind one. */
#ifndef DROPWISE_TESTS_SWEEP_SHOP_H
#define DROPWISE_TESTS_SWEEP_SHOP_H

#include "scratch.h"

#include <stdbool.h>
#include <stddef.h>

typedef struct sweep_shop {
  char root[SCRATCH_ROOM];   /* of all that is made here */
  char work[80], before[80]; /* where the programs run, and what it is set back to */
  char held[80];             /* for hold.h */
  const char *book;          /* the file's name, of the book that is looked at */
} sweep_shop;

/* In memory where that can be had: nothing here tests the disk itself. Gone when the driver ends; one at a time. */
void sweep_shop_make(sweep_shop *shop);
/* Takes the work folder as it is for what each run begins with. */
void sweep_shop_keep(const sweep_shop *shop);
void sweep_shop_reset(const sweep_shop *shop);

/* A file of the work folder, terminated, its clock times set to zeros where `timeless`; NULL: not there. */
char *sweep_shop_file(const sweep_shop *shop, const char *name, bool timeless, size_t *n);
/* The book's content as its export tells it, without clock times; a fault of its check, or of opening it,
 * in its place. */
char *sweep_shop_book(const sweep_shop *shop);
/* Whether the book's file is, byte for byte, what it was, and no log waits beside it. */
bool sweep_shop_book_untouched(const sweep_shop *shop);
/* The name of a file that was not there before, other than `made` (may be NULL) and the book's own; NULL:
 * none. Valid until the next call. */
const char *sweep_shop_left(const sweep_shop *shop, const char *made);

/* In place: the digits of each 2026-05-01T14:03:22 become zeros. */
void sweep_timeless(char *text, size_t n);

#endif
