/* Many photos at once, with their progress. */
#include "app/cli/finding.h"
#include "dropwise/pool.h"

#include <unistd.h>

dw_status cli_jobs(const cli_args *args, size_t *out, dw_error *err) {
  return cli_whole(args, "--jobs", 1, DW_POOL_MOST, dw_pool_cores(), out, err);
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
