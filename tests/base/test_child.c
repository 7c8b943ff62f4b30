/* Work in a child process: answers, ends, and what a sealed child can no longer do. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "dropwise/child.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <unistd.h>

typedef struct tries {
  int sealed;
  int socket, fork, write, make, kill, exec; /* errno of each try, 0 when it went through */
  int read, memory;
} tries;

static int fault(long result) {
  return result < 0 ? errno : 0;
}

static void try_all(void *arg, void *answer) {
  tries *t = answer;
  pid_t pid;
  t->sealed = dw_child_seal();
  t->socket = fault(socket(AF_INET, SOCK_STREAM, 0));
  pid = fork();
  if (pid == 0) _exit(0);
  t->fork = fault(pid);
  t->write = fault(open(arg, O_WRONLY));
  t->make = fault(open("/tmp/dropwise-child-test", O_RDONLY | O_CREAT, 0600));
  t->kill = fault(kill(1, 0));
  t->exec = fault(execl("/bin/true", "true", (char *)NULL));
  t->read = fault(open(arg, O_RDONLY));
  void *memory = malloc(1 << 20);
  t->memory = memory ? 0 : ENOMEM;
  free(memory);
}

static void test_sealed(void **state) {
  (void)state;
  tries t;
  memset(&t, 0xFF, sizeof t);
  dw_job job = {try_all, (void *)(uintptr_t) "/etc/passwd", &t, sizeof t, 5, 0, 0};
  dw_jobs_run(&job, 1, 1);
  assert_int_equal(job.end, DW_END_ANSWERED);
  if (!t.sealed) skip();
  int refused[] = {t.socket, t.fork, t.write, t.make, t.kill, t.exec};
  for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) assert_int_equal(refused[i], EPERM);
  assert_int_equal(t.read, 0);
  assert_int_equal(t.memory, 0);
}

/* A mapped file is how much work comes back, past the child's ban on growing files. */
static void fill(void *arg, void *answer) {
  dw_child_seal();
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
  dw_job job = {fill, memory, &answer, sizeof answer, 5, 0, 0};
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
      cmocka_unit_test(test_sealed),
      cmocka_unit_test(test_shared_memory_comes_back),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
