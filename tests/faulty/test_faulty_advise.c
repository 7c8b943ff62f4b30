/* Every bad plugin is asked in one go with a sound one. Each fault is told in words that name the plugin,
 * nothing slips through, the sound advice arrives, and the host is as it was. */
#include "base/kernel.h"
#include "base/sanitized.h"
#include "dropwise/advise.h"
#include "faulty/aftermath.h"
#include "faulty/traces.h"
#include "scratch.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

/* What the host must say of each plugin; of some another thing where the seal stops them before they get that
 * far. */
static const struct {
  const char *plugin, *says, *says_sealed;
} refused[] = {
    {"nan-drops", "nan drops of orange", NULL},
    {"negative-drops", "adds -3 drops of orange", NULL},
    {"infinite-drops", "inf drops", NULL},
    {"half-drop", "can't be measured out", NULL},
    {"nan-clear", "nan fl oz of clear base", NULL},
    {"negative-clear", "-1 fl oz of clear base", NULL},
    {"unknown-bottle", "bottle 12 of a shelf of 12", NULL},
    {"unknown-layer", "layer 2 of 2", NULL},
    {"barred-bottle", "adds purple, which is not to be used", NULL},
    {"same-bottle-twice", "adds orange twice", NULL},
    {"over-capacity", "fills the cup to", NULL},
    {"over-drops", "drops in the cup; at most 60", NULL},
    {"too-many-bottles", "bottles in the cup; at most 4", NULL},
    {"huge-count", "lists 2147483647 additions", NULL},
    {"huge-reply", "claims 1000000 proposals", NULL},
    {"unterminated-words", "says nothing, or more than", NULL},
    {"unterminated-warning", "leaves its warning open", NULL},
    {"empty-words", "says nothing", NULL},
    {"holes", "layer 4294967295", NULL},
    {"null-proposals", "layer 4294967295", NULL},
    {"crash", "crashed", NULL},
    {"aborts", "crashed (Aborted)", NULL},
    {"deep", "crashed", NULL},
    {"endless-loop", "took longer than 1 s", NULL},
    {"sleeps", "took longer than 1 s", NULL},
    {"stops-itself", "took longer than 1 s", NULL},
    {"deaf-loop", "took longer than 1 s", NULL},
    {"silent-exit", "ended without an answer", NULL},
    {"says-failed", "reports that it failed", NULL},
    {"odd-return", "reports that it failed (code 77)", NULL},
    {"garbage-to-files", "sent a broken answer", NULL},
    {"floods-files", "sent a broken answer", NULL},
    {"closes-files", "ended without an answer", NULL},
    {"closes-files-and-sleeps", "took longer than 1 s", NULL},
    {"child-keeps-pipe", "ended without an answer (exit code 3)", NULL},
    {"kills-its-group", "crashed (Killed)", "reports that it failed"},
    {"eats-memory", "crashed", NULL},
    {"grows-file", "crashed (File size limit exceeded)", "reports that it failed"},
    {"scribbles", "Plugin scribbles", NULL},
};
enum { N_REFUSED = sizeof refused / sizeof *refused };

static dw_plugins plugins; /* large */
static dw_shelf *shelf;
static dw_advice_request request;
static dw_advice_result *result;
static int files_before;
static bool sealed = true;
static char folder[SCRATCH_ROOM], grown[SCRATCH_ROOM + 8], left_over[16];

static size_t bottle(const char *id) {
  int i = dw_shelf_find(shelf, id);
  assert_true(i >= 0);
  return (size_t)i;
}

static bool name_traces(void) {
  if (!scratch_make(folder, "faulty")) return false;
  snprintf(grown, sizeof grown, "%s/grown", folder);
  snprintf(left_over, sizeof left_over, "dw-left-%d", (int)getpid());
  return setenv(TRACES_FILE, grown, 1) == 0 && setenv(TRACES_NAME, left_over, 1) == 0;
}

static int ask_all(void **state) {
  (void)state;
  dw_error err = {0};
  const char *built = DW_BINARY_DIR "/tests/faulty/advise";
  if (!name_traces()) return -1;
  if (dw_shelf_starter(&shelf, &err) || dw_plugins_find(&built, 1, 5, &plugins, &err)) return -1;
  request = (dw_advice_request){.shelf = shelf, .slab = {10, DW_BACKING_GRAY}, .n = 2, .limit_s = 1};
  request.rules = (dw_rules){.step_drops = 1,
                             .step_ml = 0.1,
                             .max_drops = 60,
                             .max_bottles = 4,
                             .max_clear_floz = 5,
                             .step_clear_floz = .05};
  request.rules.use[bottle("purple")] = DW_USE_NEVER;
  for (size_t i = 0; i < 2; i++) {
    request.layer[i] = (dw_layer){
        .target = {45, 30, 40}, .target_see_through = -1, .cup = {.volume_floz = 4, .capacity_floz = 5}};
    dw_recipe_add(&request.layer[i].cup.drops, bottle("orange"), 12);
    strcpy(request.layer[i].name, i ? "belly" : "back");
  }
  files_before = open_files();
  return dw_advise(&request, &plugins, &result, &err) == DW_OK ? 0 : -1;
}

static int free_all(void **state) {
  (void)state;
  dw_advice_result_free(result);
  dw_shelf_free(shelf);
  return scratch_remove(folder);
}

static const dw_plugin_fault *fault_of(const char *plugin) {
  for (size_t i = 0; i < result->n_faults; i++)
    if (strcmp(result->fault[i].plugin, plugin) == 0) return &result->fault[i];
  return NULL;
}

/* Its advice, or the same advice of another that names it. */
static const dw_advice *advice_of(const char *plugin) {
  for (size_t i = 0; i < result->n; i++)
    if (strcmp(result->advice[i].plugin, plugin) == 0) return &result->advice[i];
  return NULL;
}

static bool loaded(const char *plugin) {
  for (size_t i = 0; i < plugins.n; i++)
    if (plugins.entry[i].usable && strcmp(plugins.entry[i].id, plugin) == 0) return true;
  return false;
}

static void test_each_fault_is_told(void **state) {
  (void)state;
  for (size_t i = 0; i < N_REFUSED; i++) {
    const char *id = refused[i].plugin;
    const char *says = sealed && refused[i].says_sealed ? refused[i].says_sealed : refused[i].says;
    if (!loaded(id)) fail_msg("%s was not loaded", id);
#ifdef DW__SANITIZER
    if (strcmp(id, "eats-memory") == 0) continue; /* no limit on address space there: see confine.c */
#endif
    const dw_plugin_fault *fault = fault_of(id);
    if (!fault) fail_msg("%s slipped through", id);
    if (!strstr(fault->why, says) || !strstr(fault->why, id))
      fail_msg("%s: '%s' does not say '%s'", id, fault->why, says);
    if (advice_of(id)) fail_msg("%s is advice all the same", id);
  }
}

static void test_nobody_else_is_blamed(void **state) {
  (void)state;
  for (size_t i = 0; i < result->n_faults; i++) {
    size_t j = 0;
    while (j < N_REFUSED && strcmp(refused[j].plugin, result->fault[i].plugin) != 0) j++;
    if (j == N_REFUSED) fail_msg("%s", result->fault[i].why);
  }
}

/* All that passes is the one right proposal: those who made it too are named in its notes or merged into it.
 */
static void test_sound_advice_arrives(void **state) {
  (void)state;
  dw_recipe cup = {1, {{bottle("orange"), 13.0 / 4}}};
  dw_prediction expected;
  assert_int_equal(dw_predict(shelf, &cup, &request.slab, &expected, NULL), DW_OK);
  assert_int_equal(result->n, 1);
  const dw_advice *advice = &result->advice[0];
  assert_int_equal(advice->layer, 0);
  assert_int_equal(advice->add.n, 1);
  assert_int_equal(advice->add.part[0].bottle, bottle("orange"));
  assert_true(advice->add.part[0].amount == 1);
  assert_true(dw_de00(advice->predicted.lab, expected.lab) < 1e-9);
  assert_true(fabs(advice->predicted_de00 - dw_de00(expected.lab, request.layer[0].target)) < 1e-9);
}

static dw_advice_result *ask_only(const char *id) {
  dw_advice_request one = request;
  dw_advice_result *out = NULL;
  one.only = &id;
  one.n_only = 1;
  assert_int_equal(dw_advise(&one, &plugins, &out, NULL), DW_OK);
  return out;
}

static void test_a_lie_is_corrected_and_told(void **state) {
  (void)state;
  dw_advice_result *out = ask_only("lies");
  assert_int_equal(out->n, 1);
  assert_non_null(strstr(out->advice[0].notes.text[0], "Its own prediction was off by"));
  assert_true(dw_de00(out->advice[0].predicted.lab, result->advice[0].predicted.lab) < 1e-9);
  dw_advice_result_free(out);
}

static void test_a_missing_claim_is_told(void **state) {
  (void)state;
  dw_advice_result *out = ask_only("no-claim");
  assert_int_equal(out->n, 1);
  assert_non_null(strstr(out->advice[0].notes.text[0], "no prediction of its own"));
  assert_true(isfinite(out->advice[0].predicted.lab.a));
  dw_advice_result_free(out);
}

static void test_words_are_cleaned(void **state) {
  (void)state;
  dw_advice_result *out = ask_only("escape-words");
  assert_int_equal(out->n, 1);
  assert_string_equal(out->advice[0].words, "Red ?[31malert? ? and ?turned.");
  dw_advice_result_free(out);
}

static void test_a_changed_request_changes_nothing(void **state) {
  (void)state;
  dw_advice_result *out = ask_only("changes-request");
  assert_int_equal(out->n, 1);
  for (size_t i = 0; i < request.n;
       i++) /* what stands behind it is told where the advice at hand ends far off */
    assert_memory_equal(&out->state[i], &result->state[i], offsetof(dw_layer_state, n_instead));
  assert_true(out->advice[0].predicted_de00 == result->advice[0].predicted_de00);
  assert_true(request.layer[0].target.L == 45);
  dw_advice_result_free(out);
}

static void test_the_host_answers_misuse_with_an_error(void **state) {
  (void)state;
  dw_advice_result *out = ask_only("misuses-host");
  if (out->n_faults) fail_msg("%s", out->fault[0].why);
  dw_advice_result_free(out);
}

static void test_nothing_is_left_behind(void **state) {
  (void)state;
  struct stat about;
  assert_true(childless());
  assert_int_equal(open_files(), files_before);
  for (int wait = 0; wait < 100 && processes_named(left_over); wait++)
    usleep(10000); /* dying takes a while */
  assert_int_equal(processes_named(left_over), 0);
  assert_int_equal(stat(grown, &about), sealed ? -1 : 0);
  if (!sealed) assert_int_equal(about.st_size, 0);
}

static void test_it_is_told_whether_they_are_sealed(void **state) {
  (void)state;
  assert_true(plugins.unsealed == !sealed);
  bool told = plugins.notes.n > 0 && strstr(plugins.notes.text[0], "can't seal plugins") != NULL;
  assert_true(told == !sealed);
}

/* "unsealed": on a kernel that has no filter of system calls. */
int main(int argc, char **argv) {
  sealed = argc < 2 || strcmp(argv[1], "unsealed") != 0;
  if (!sealed) kernel_play(NO_SECCOMP);
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_each_fault_is_told),
      cmocka_unit_test(test_nobody_else_is_blamed),
      cmocka_unit_test(test_sound_advice_arrives),
      cmocka_unit_test(test_a_lie_is_corrected_and_told),
      cmocka_unit_test(test_a_missing_claim_is_told),
      cmocka_unit_test(test_words_are_cleaned),
      cmocka_unit_test(test_a_changed_request_changes_nothing),
      cmocka_unit_test(test_the_host_answers_misuse_with_an_error),
      cmocka_unit_test(test_nothing_is_left_behind),
      cmocka_unit_test(test_it_is_told_whether_they_are_sealed),
  };
  return cmocka_run_group_tests(tests, ask_all, free_all);
}
