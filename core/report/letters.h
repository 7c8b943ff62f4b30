/* Letters for pictures that have no font. */
#ifndef REPORT_LETTERS_H
#define REPORT_LETTERS_H

#include <stddef.h>
#include <stdint.h>

enum { DW__LETTER_COLUMNS = 5, DW__LETTER_ROWS = 8 };

/* The next letter of a UTF-8 text: DW__LETTER_COLUMNS columns, a bit a pixel, the lowest on top; what ASCII
 * lacks is an empty box.  *at moves on; NULL at the end. */
const uint8_t *dw__letter_next(const char **at);
size_t dw__letter_count(const char *text);

#endif
