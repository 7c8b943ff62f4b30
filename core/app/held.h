/* Bottles that cups hold though the shelf has them no longer. */
#ifndef DROPWISE_APP_HELD_H
#define DROPWISE_APP_HELD_H

#include "dropwise/book_bottles.h"

#include <jansson.h>

/* Whether the cups (an array, each with "drops") hold a bottle that the shelf lacks. */
bool dw__cups_lack(const json_t *cups, const dw_shelf *shelf);
/* Adds these to the shelf, behind the others, with the name and drop size that the book or the starter shelf
 * knows, so that the cups can be read, corrected and printed.  Nothing is known of their color: predict
 * nothing with such a shelf.  Those that it has no room for are left out. */
dw_status dw__shelf_hold(dw_book *book, const json_t *cups, dw_shelf *shelf, dw_error *err);

#endif
