/* Work in a child process: its answer, and memory that it shares. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "dropwise/child.h"

#include <fcntl.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

/* A mapped file is how much work comes back, past the child's ban on growing files. */
static void fill(void *arg, void *answer) {
  memset(arg, 7, 1 << 20);
  *(int *)answer = 1;
}

static void test_shared_memory_comes_back(void **state) {
  (void)state;
  FILE *file = tmpfile();
  assert_non_null(file);
  assert_int_equal(posix_fallocate(fileno(file), 0, 1 << 20), 0);
  uint8_t *memory = mmap(NULL, 1 << 20, PROT_READ | PROT_WRITE, MAP_SHARED, fileno(file), 0);
  assert_ptr_not_equal(memory, MAP_FAILED);
  int answer = 0;
  dw_job job = {.run = fill, .arg = memory, .answer = &answer, .answer_size = sizeof answer, .limit_s = 5};
  dw_jobs_run(&job, 1, 1);
  assert_int_equal(job.end, DW_END_ANSWERED);
  uint8_t byte = 0;
  assert_int_equal(pread(fileno(file), &byte, 1, (1 << 20) - 1), 1);
  assert_int_equal(byte, 7);
  munmap(memory, 1 << 20);
  fclose(file);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_shared_memory_comes_back),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
