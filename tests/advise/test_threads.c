/* A host of many threads, as the page's server is: advice asked from several at once while others allocate
 * and print without pause. Every answer arrives and is the same. Skipped with the address sanitizer, whose
 * allocator (unlike glibc's) may be left locked in the child of a process with threads. */
#include "bench_for_tests.h"
#include "faulty/aftermath.h"

#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>

enum { ASKERS = 4, ROUNDS = 5, CHURNERS = 2 };

static atomic_bool over;
static atomic_int answers, faults;

/* Keeps malloc's and stdio's locks busy, with a pause so that the machine can do something else too. */
static void *churn(void *arg) {
  FILE *file = fopen("/dev/null", "w");
  (void)arg;
  while (file && !over) {
    void *blocks[64];
    for (size_t i = 0; i < 64; i++) blocks[i] = malloc(i * 200 + 1);
    fprintf(file, "%p\n", blocks[63]);
    for (size_t i = 0; i < 64; i++) free(blocks[i]);
    nanosleep(&(struct timespec){0, 20000}, NULL);
  }
  if (file) fclose(file);
  return NULL;
}

static void *keep_asking(void *arg) {
  dw_advice_result **out = arg;
  for (int round = 0; round < ROUNDS; round++) {
    dw_advice_result_free(*out);
    *out = NULL;
    if (dw_advise(&b->request, &b->plugins, out, NULL)) return NULL;
    answers++;
    faults += (int)(*out)->n_faults;
  }
  return NULL;
}

static void test_many_threads(void **state) {
  (void)state;
  pthread_t asker[ASKERS], churner[CHURNERS];
  dw_advice_result *out[ASKERS] = {0};
  bench_cup(b, "back", "orange=12;brown=4", (dw_lab){45, 25, 35});
  bench_cup(b, "belly", "white=6;orange=1", (dw_lab){78, 5, 15});
  int files = open_files();
  for (size_t i = 0; i < CHURNERS; i++) assert_int_equal(pthread_create(&churner[i], NULL, churn, NULL), 0);
  for (size_t i = 0; i < ASKERS; i++)
    assert_int_equal(pthread_create(&asker[i], NULL, keep_asking, &out[i]), 0);
  for (size_t i = 0; i < ASKERS; i++) pthread_join(asker[i], NULL);
  over = true;
  for (size_t i = 0; i < CHURNERS; i++) pthread_join(churner[i], NULL);
  assert_int_equal(answers, ASKERS * ROUNDS);
  assert_int_equal(faults, 0);
  for (size_t i = 0; i < ASKERS; i++) {
    assert_int_equal(out[i]->n, out[0]->n);
    for (size_t k = 0; k < out[0]->n; k++)
      assert_string_equal(out[i]->advice[k].words, out[0]->advice[k].words);
    if (i > 0) dw_advice_result_free(out[i]);
  }
  assert_true(out[0]->n > 0);
  dw_advice_result_free(out[0]);
  assert_true(childless());
  assert_int_equal(open_files(), files);
}

#if defined(__has_feature)
#if __has_feature(address_sanitizer)
#define SANITIZED 1
#endif
#endif

int main(void) {
#if defined(SANITIZED) || defined(__SANITIZE_ADDRESS__)
  puts("skipped: the address sanitizer's allocator may stay locked after a fork");
  return 77;
#endif
  const struct CMUnitTest tests[] = {bench_test(test_many_threads)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
