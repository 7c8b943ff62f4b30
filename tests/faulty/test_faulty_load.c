/* Every bad plugin file is refused with a sentence that says why, and the host is as it was. */
#include "dropwise/advise.h"
#include "faulty/aftermath.h"

#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#define BUILT DW_BINARY_DIR "/tests/faulty/load"

/* What each file is refused for; NULL: usable. */
static const struct {
  const char *file, *says;
} faults[] = {
    {"sound.so", NULL},
    {"twin_of_sound.so", "has the id 'sound'"},
    {"wrong_major.so", "made for plugin interface 2"},
    {"short_struct.so", "struct_size as 24"},
    {"huge_struct.so", "struct_size as 4294967295"},
    {"no_advise.so", "no advise function"},
    {"no_entry.so", "no function dw_plugin_entry"},
    {"null_entry.so", "returns nothing"},
    {"wild_entry.so", "crashed"},
    {"no_id.so", "no usable id"},
    {"odd_id.so", "no usable id"},
    {"long_id.so", "no usable id"},
    {"no_title.so", "needs a title"},
    {"escape_title.so", "needs a title"},
    {"null_version.so", "needs a title"},
    {"unresolved.so", "function_that_no_library_has"},
    {"odd_parameter.so", "a parameter that can't be set: number 2 needs numbers least < most"},
    {"same_parameter.so", "number 2 has the name of an earlier one"},
    {"unnamed_parameter.so", "number 1 needs a name"},
    {"wordless_parameter.so", "number 1 needs words"},
    {"many_parameters.so", "there are 9, at most 8 are possible"},
    {"crash_in_constructor.so", "crashed (Aborted)"},
    {"hang_in_constructor.so", "took longer than 0.5 s"},
    {"exit_in_constructor.so", "ended without an answer"},
    {"garbage_in_constructor.so", "disturbed"},
};
enum { N_FAULTS = sizeof faults / sizeof *faults };

static dw_plugins found; /* large */

static const dw_plugin_entry_info *entry_of(const char *file) {
  for (size_t i = 0; i < found.n; i++)
    if (strcmp(strrchr(found.entry[i].path, '/') + 1, file) == 0) return &found.entry[i];
  return NULL;
}

static void find(const char *folder) {
  dw_error err = {0};
  assert_int_equal(dw_plugins_find(&folder, 1, 0.5, &found, &err), DW_OK);
}

static void check_refused(const char *file, const char *says) {
  const dw_plugin_entry_info *entry = entry_of(file);
  if (!entry) fail_msg("%s was not listed", file);
  if (entry->usable) fail_msg("%s slipped through", file);
  if (!strstr(entry->why, says)) fail_msg("%s: '%s' does not say '%s'", file, entry->why, says);
  if (entry->why[strlen(entry->why) - 1] != '.') fail_msg("%s: '%s' is no sentence", file, entry->why);
}

static void test_built_faults_are_refused(void **state) {
  (void)state;
  int files = open_files();
  find(BUILT);
  assert_int_equal(found.n, N_FAULTS);
  for (size_t i = 0; i < N_FAULTS; i++)
    if (faults[i].says) check_refused(faults[i].file, faults[i].says);
  const dw_plugin_entry_info *sound = entry_of("sound.so");
  assert_true(sound->usable);
  assert_string_equal(sound->id, "sound");
  assert_string_equal(sound->title, "A faulty plugin");
  assert_true(sound->path[0] == '/');
  assert_true(childless());
  assert_int_equal(open_files(), files);
}

/* ---- files that are no plugins --------------------------------------------------------------------------
 */

static char folder[] = "/tmp/dropwise-faulty-XXXXXX";

static void put(const char *name, const void *bytes, size_t n) {
  char path[256];
  snprintf(path, sizeof path, "%s/%s", folder, name);
  FILE *file = fopen(path, "wb");
  assert_non_null(file);
  assert_int_equal(fwrite(bytes, 1, n, file), n);
  assert_int_equal(fclose(file), 0);
}

static const char *in_folder(const char *name) {
  static char path[256];
  snprintf(path, sizeof path, "%s/%s", folder, name);
  return path;
}

static void make_odd_files(void) {
  static char start[4096];
  FILE *sound = fopen(BUILT "/sound.so", "rb");
  assert_non_null(sound);
  assert_int_equal(fread(start, 1, sizeof start, sound), sizeof start);
  fclose(sound);
  put("text.so", "this is no library", 18);
  put("empty.so", "", 0);
  put("cut.so", start, sizeof start);
  put("header.so", start, 64);
  put("sound.so.txt", "not looked at", 13);
  put(".hidden.so", "not looked at", 13);
  assert_int_equal(mkfifo(in_folder("pipe.so"), 0600), 0);
  assert_int_equal(mkdir(in_folder("folder.so"), 0700), 0);
  assert_int_equal(symlink("/nowhere/at/all", in_folder("dangling.so")), 0);
  assert_int_equal(symlink(BUILT "/sound.so", in_folder("link.so")), 0);
  assert_int_equal(symlink(BUILT "/sound.so", in_folder("second-link.so")), 0);
}

static void test_odd_files_are_refused(void **state) {
  (void)state;
  make_odd_files();
  find(folder);
  check_refused("text.so", "can't be opened");
  check_refused("empty.so", "can't be opened");
  check_refused("cut.so", "cut.so");
  check_refused("header.so", "header.so");
  check_refused("pipe.so", "not a file");
  check_refused("folder.so", "not a file");
  check_refused("dangling.so", "can't be reached");
  assert_int_equal(found.n, 8); /* the two links are one file, listed where it really is */
  assert_true(entry_of("sound.so")->usable);
  assert_true(childless());
}

static void copy(const char *from, const char *to) {
  static char bytes[1 << 20];
  FILE *file = fopen(from, "rb");
  assert_non_null(file);
  size_t n = fread(bytes, 1, sizeof bytes, file);
  assert_true(n > 0 && n < sizeof bytes);
  fclose(file);
  put(to, bytes, n);
}

static void test_what_others_may_change_is_refused(void **state) {
  (void)state;
  assert_int_equal(chmod(in_folder("text.so"), 0646), 0);
  find(folder);
  check_refused("text.so", "Anyone on this machine can change text.so");
  assert_int_equal(chmod(in_folder("text.so"), 0644), 0);

  copy(BUILT "/sound.so", "own.so");
  remove(in_folder("link.so"));
  remove(in_folder("second-link.so"));
  assert_int_equal(chmod(folder, 0777), 0);
  find(folder);
  check_refused("own.so", "Anyone on this machine can change dropwise-faulty");
  assert_int_equal(chmod(folder, 01777), 0); /* as /tmp is: nobody can change another's file */
  find(folder);
  assert_true(entry_of("own.so")->usable);
  assert_int_equal(chmod(folder, 0700), 0);
}

/* Only root can give files away. */
static void test_what_belongs_to_another_is_refused(void **state) {
  (void)state;
  if (chown(in_folder("own.so"), 12345, 12345)) skip();
  find(folder);
  check_refused("own.so", "own.so belongs to another user");
  assert_int_equal(chown(in_folder("own.so"), geteuid(), getegid()), 0);
  assert_int_equal(chown(folder, 12345, 12345), 0);
  find(folder);
  check_refused("own.so", "belongs to another user");
  assert_int_equal(chown(folder, geteuid(), getegid()), 0);
}

static void test_a_missing_folder_is_a_note(void **state) {
  (void)state;
  find("/nowhere/at/all");
  assert_int_equal(found.n, 0);
  assert_int_equal(found.notes.n, 1);
  assert_non_null(strstr(found.notes.text[0], "/nowhere/at/all"));
}

static void test_the_first_folder_wins(void **state) {
  (void)state;
  const char *const both[] = {folder, BUILT, folder};
  dw_error err = {0};
  assert_int_equal(dw_plugins_find(both, 3, 0.5, &found, &err), DW_OK);
  assert_int_equal(found.n, 8 + N_FAULTS - 1);
  check_refused("twin_of_sound.so", "has the id 'sound'");
}

/* A host without standard streams gives their numbers to the pipe: it must still work. */
static void test_a_host_without_standard_streams(void **state) {
  (void)state;
  fflush(NULL);
  pid_t pid = fork();
  if (pid == 0) {
    for (int fd = 0; fd < 3; fd++) close(fd);
    const char *dir = BUILT;
    dw_status status = dw_plugins_find(&dir, 1, 0.5, &found, NULL);
    _exit(status == DW_OK && entry_of("sound.so")->usable && !entry_of("no_entry.so")->usable ? 0 : 1);
  }
  int status = -1;
  assert_int_equal(waitpid(pid, &status, 0), pid);
  assert_int_equal(status, 0);
}

/* A host that ignores SIGCHLD has its children reaped by the kernel. */
static void test_a_host_that_ignores_its_children(void **state) {
  (void)state;
  signal(SIGCHLD, SIG_IGN);
  find(BUILT);
  signal(SIGCHLD, SIG_DFL);
  assert_true(entry_of("sound.so")->usable);
  assert_false(entry_of("crash_in_constructor.so")->usable);
}

static int remove_folder(void **state) {
  (void)state;
  static const char *const names[] = {"text.so",      "empty.so",   "cut.so",         "header.so",
                                      "sound.so.txt", ".hidden.so", "pipe.so",        "folder.so",
                                      "dangling.so",  "link.so",    "second-link.so", "own.so"};
  for (size_t i = 0; i < sizeof names / sizeof *names; i++) remove(in_folder(names[i]));
  return rmdir(folder);
}

static int make_folder(void **state) {
  (void)state;
  return mkdtemp(folder) ? 0 : -1;
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_built_faults_are_refused),
      cmocka_unit_test(test_odd_files_are_refused),
      cmocka_unit_test(test_a_missing_folder_is_a_note),
      cmocka_unit_test(test_the_first_folder_wins),
      cmocka_unit_test(test_what_others_may_change_is_refused),
      cmocka_unit_test(test_what_belongs_to_another_is_refused),
      cmocka_unit_test(test_a_host_without_standard_streams),
      cmocka_unit_test(test_a_host_that_ignores_its_children),
  };
  return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
