/* A plugin that tries the forbidden is refused all of it, with Landlock and on a kernel without; where no
 * filter can be set, plugins run and that is said. */
#include "base/kernel.h"
#include "dropwise/advise.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

#define FOLDER DW_BINARY_DIR "/tests/faulty/sealed"

typedef struct outcome {
  bool usable, unsealed;
  char why[256], words[DW_PLUGIN_WORDS], note[DW_NOTE_TEXT];
} outcome;

static void ask(outcome *out) {
  static dw_plugins plugins; /* large */
  static dw_advice_request request;
  const char *folder = FOLDER, *id = "probe";
  dw_shelf *shelf = NULL;
  dw_advice_result *result = NULL;
  if (dw_plugins_find(&folder, 1, 20, &plugins, NULL) || plugins.n != 1 || dw_shelf_starter(&shelf, NULL))
    return;
  out->usable = plugins.entry[0].usable;
  out->unsealed = plugins.unsealed;
  dw_copy_text(out->why, sizeof out->why, plugins.entry[0].why);
  if (plugins.notes.n) dw_copy_text(out->note, sizeof out->note, plugins.notes.text[0]);
  request = (dw_advice_request){.shelf = shelf, .slab = {10, DW_BACKING_GRAY}, .n = 1, .limit_s = 20};
  request.rules = dw_rules_default();
  request.only = &id;
  request.n_only = 1;
  request.layer[0] = (dw_layer){.name = "back",
                                .target = {45, 30, 40},
                                .target_see_through = -1,
                                .cup = {.volume_floz = 4, .capacity_floz = 5, .drops = {1, {{0, 12}}}}};
  if (dw_advise(&request, &plugins, &result, NULL) == DW_OK && result->n)
    dw_copy_text(out->words, sizeof out->words, result->advice[0].words);
  dw_advice_result_free(result);
  dw_shelf_free(shelf);
}

static outcome ask_on(kernel which) {
  outcome *shared = mmap(NULL, sizeof *shared, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
  assert_ptr_not_equal(shared, MAP_FAILED);
  pid_t pid = fork();
  if (pid == 0) {
    kernel_play(which);
    ask(shared);
    _exit(0);
  }
  int status = -1;
  assert_int_equal(waitpid(pid, &status, 0), pid);
  assert_int_equal(status, 0);
  outcome out = *shared;
  munmap(shared, sizeof *shared);
  return out;
}

static void check_sealed(kernel which) {
  outcome out = ask_on(which);
  size_t loading = 0, asking = 0, all = 0;
  int end = 0;
  if (!out.usable) fail_msg("%s", out.why);
  assert_false(out.unsealed);
  assert_string_equal(out.note, "");
  sscanf(out.words, "Refused %zu and %zu of %zu; own library read; through:.%n", &loading, &asking, &all,
         &end);
  if (end == 0 || (size_t)end != strlen(out.words)) fail_msg("%s", out.words);
  assert_true(all >= 25 && loading == all && asking == all);
}

static void test_all_is_refused(void **state) {
  (void)state;
  check_sealed(AS_IT_IS);
}

static void test_all_is_refused_without_landlock(void **state) {
  (void)state;
  check_sealed(NO_LANDLOCK);
}

static void test_where_there_is_no_seal_that_is_said(void **state) {
  (void)state;
  outcome out = ask_on(NO_SECCOMP);
  assert_true(out.usable && out.unsealed);
  assert_non_null(strstr(out.note, "can't seal plugins"));
  assert_non_null(strstr(out.words, "Refused 0 and 0 of"));
}

int main(void) {
  setenv("DROPWISE_TEST_PROBE", FOLDER "/probe.so", 1);
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_all_is_refused),
      cmocka_unit_test(test_all_is_refused_without_landlock),
      cmocka_unit_test(test_where_there_is_no_seal_that_is_said),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
