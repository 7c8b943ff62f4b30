/* Whether a run kept the promises: a sentence and the right exit code, output whole or absent, the book as before or
 * as said, nothing left behind. */
#ifndef DROPWISE_TESTS_SWEEP_JUDGE_H
#define DROPWISE_TESTS_SWEEP_JUDGE_H

#include "run.h"
#include "shop.h"

/* What is right: the run in which nothing failed. */
typedef struct sweep_right {
  sweep_run run;
  char *file; /* what it wrote, without clock times; NULL: nothing */
  size_t n_file;
  char *book_before, *book; /* without clock times */
  bool stays; /* what it does to the book stands when something fails behind that: it only brings it up to
                             * date */
} sweep_right;

/* made  the file that the program writes, in its folder; NULL: none */
void sweep_right_take(const sweep_shop *shop, const char *made, sweep_run *run, sweep_right *out);
void sweep_right_free(sweep_right *right);

/* NULL when all promises were kept; else what was not, in words; valid until the next call. */
const char *sweep_judge(const sweep_shop *shop, const char *made, const sweep_right *right,
                        const sweep_run *run);

#endif
