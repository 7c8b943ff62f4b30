/* PNG of 16 bits a channel. */
#ifndef TESTS_TRACED_PICTURE_H
#define TESTS_TRACED_PICTURE_H

#include <stdint.h>

/* RGB, native order, to be freed; NULL where it is no such picture or memory ran out. */
uint16_t *picture16_read(const char *path, int *w, int *h);

#endif
