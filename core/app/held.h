/* Bottles that cups hold though the shelf has them no longer. */
#ifndef POURTONE_APP_HELD_H
#define POURTONE_APP_HELD_H

#include "pourtone/book_bottles.h"

#include <jansson.h>

/* Whether the cups (an array, each with "drops") hold a bottle that the shelf lacks. */
bool pt__cups_lack(const json_t *cups, const pt_shelf *shelf);
/* Adds these to the shelf, behind the others, with the name and drop size that the book or the starter shelf
 * knows, so that the cups can be read, corrected and printed.  Nothing is known of their color: predict
 * nothing with such a shelf.  Those that it has no room for are left out. */
pt_status pt__shelf_hold(pt_book *book, const json_t *cups, pt_shelf *shelf, pt_error *err);

#endif
