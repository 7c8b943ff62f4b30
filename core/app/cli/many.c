/* Many photos at once, with their progress. */
#include "app/cli/finding.h"
#include "dropwise/pool.h"

#include <unistd.h>

dw_status cli_jobs(const cli_args *args, size_t *out, dw_error *err) {
  double jobs;
  dw_status status = cli_number(args, "--jobs", 1, DW_POOL_MOST, (double)dw_pool_cores(), &jobs, err);
  if (status == DW_OK && jobs != (double)(size_t)jobs)
    status = dw_fail(err, DW_USAGE, "--jobs takes a whole number from 1 to %d.", DW_POOL_MOST);
  if (status == DW_OK) *out = (size_t)jobs;
  return status;
}

typedef struct many {
  size_t n;
  void (*job)(void *context, size_t i);
  void *context;
} many;

static void run_one(void *context, size_t i) {
  const many *m = context;
  m->job(m->context, i);
}

static void say_count(void *context, size_t count) {
  const many *m = context;
  fprintf(stderr, "\r%zu of %zu photos", count, m->n);
  if (count == m->n) fprintf(stderr, "\r\033[K");
}

void cli_each_photo(size_t n, size_t jobs, void (*job)(void *context, size_t i), void *context) {
  many m = {n, job, context};
  bool watched = n > 1 && isatty(STDERR_FILENO);
  json_object_seed(0); /* by one thread: the library draws it at the first object otherwise */
  dw_pool_run(n, jobs, run_one, watched ? say_count : NULL, &m);
}
