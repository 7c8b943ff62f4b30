/* What patterns.c and targets.c share. */
#ifndef POURTONE_BOOK_AIMS_INNER_H
#define POURTONE_BOOK_AIMS_INNER_H

#include "pourtone/book_aims.h"

pt_target_how pt__target_how(const char *text); /* "photos", as the table has it */

#endif
