/* Text from foreign code, made fit for a terminal, a page and a file. */
#ifndef DROPWISE_ADVISE_CLEAN_H
#define DROPWISE_ADVISE_CLEAN_H

#include "dropwise/base.h"

/* A NUL stands within room bytes. */
bool dw__text_ends(const char *text, size_t room);

/* Copies text, which ends within in_room bytes or is cut there, into out (room >= 1 bytes), always
 * terminated. Bytes that are no UTF-8, control characters and characters that turn the direction of writing
 * become '?'; a character that does not fit whole is left out. True when nothing had to be changed. */
bool dw__text_clean(char *out, size_t room, const char *text, size_t in_room);

#endif
