/* What every test includes: cmocka with the headers it wants, and a comparison of doubles (cmocka 1.1 has
 * none). */
#ifndef DROPWISE_TESTS_CHECK_H
#define DROPWISE_TESTS_CHECK_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* Fails, with both values, unless |actual - expected| <= room; a NaN fails. */
#define assert_near(actual, expected, room)                                                                  \
  check_near((actual), (expected), (room), #actual, __FILE__, __LINE__)

static inline void check_near(double actual, double expected, double room, const char *what, const char *file,
                              int line) {
  if (fabs(actual - expected) <= room) return;
  print_error("%s is %.17g, expected %.17g within %g\n", what, actual, expected, room);
  _fail(file, line);
}

#endif
