/* Where a written file ends up: behind links, in pipes, and with which mode. All in a folder of its own. */
#include "check.h"
#include "dropwise/base.h"

#include <dirent.h>
#include <fcntl.h>
#include <pthread.h>
#include <sys/stat.h>
#include <unistd.h>

static char folder[64];

static const char *in_folder(const char *name) {
  static char paths[4][384];
  static size_t next;
  char *path = paths[next++ % 4];
  snprintf(path, sizeof paths[0], "%s/%s", folder, name);
  return path;
}

static int setup(void **state) {
  (void)state;
  snprintf(folder, sizeof folder, "/tmp/dw_file_write_XXXXXX");
  return mkdtemp(folder) ? 0 : -1;
}

/* Counts what lies in the folder, and empties it. */
static size_t entries_take(void) {
  size_t n = 0;
  DIR *dir = opendir(folder);
  assert_non_null(dir);
  for (struct dirent *e; (e = readdir(dir));) {
    if (e->d_name[0] == '.') continue;
    unlink(in_folder(e->d_name));
    n++;
  }
  closedir(dir);
  return n;
}

static int teardown(void **state) {
  (void)state;
  entries_take();
  return rmdir(folder);
}

static void put(const char *path, const char *text) {
  dw_error err = {0};
  if (dw_file_write(path, text, strlen(text), &err) != DW_OK) fail_msg("%s", err.text);
}

static void assert_holds(const char *path, const char *expected) {
  char *text;
  size_t n;
  dw_error err;
  assert_int_equal(dw_file_read(path, 1000, &text, &n, &err), DW_OK);
  assert_string_equal(text, expected);
  free(text);
}

static mode_t mode_of(const char *path) {
  struct stat st;
  assert_int_equal(lstat(path, &st), 0);
  return st.st_mode;
}

static void test_a_new_file_has_the_mode_of_the_umask(void **state) {
  (void)state;
  static const mode_t masks[] = {0022, 0002, 0077};
  for (size_t i = 0; i < 3; i++) {
    mode_t before = umask(masks[i]);
    put(in_folder("new"), "x");
    umask(before);
    assert_int_equal(mode_of(in_folder("new")) & 0777, 0666 & ~masks[i]);
    assert_int_equal(entries_take(), 1);
  }
}

static void test_an_old_file_keeps_its_mode(void **state) {
  (void)state;
  static const mode_t modes[] = {0600, 0640, 0664, 0755};
  put(in_folder("old"), "one");
  for (size_t i = 0; i < 4; i++) {
    assert_int_equal(chmod(in_folder("old"), modes[i]), 0);
    put(in_folder("old"), "two");
    assert_int_equal(mode_of(in_folder("old")) & 0777, modes[i]);
  }
  assert_holds(in_folder("old"), "two");
  assert_int_equal(entries_take(), 1);
}

static void test_a_link_stays_and_its_file_is_replaced(void **state) {
  (void)state;
  put(in_folder("file"), "one");
  assert_int_equal(symlink("file", in_folder("link")), 0);
  assert_int_equal(symlink("link", in_folder("second")), 0);
  put(in_folder("second"), "two");
  assert_true(S_ISLNK(mode_of(in_folder("second"))) && S_ISLNK(mode_of(in_folder("link"))));
  assert_true(S_ISREG(mode_of(in_folder("file"))));
  assert_holds(in_folder("file"), "two");
  assert_int_equal(entries_take(), 3);
}

static void test_a_link_that_leads_nowhere_is_refused(void **state) {
  (void)state;
  dw_error err;
  assert_int_equal(symlink("nothing", in_folder("link")), 0);
  assert_int_equal(dw_file_write(in_folder("link"), "x", 1, &err), DW_IO);
  assert_non_null(strstr(err.text, "leads nowhere"));
  assert_true(S_ISLNK(mode_of(in_folder("link"))));
  assert_int_equal(entries_take(), 1);
}

static void *read_pipe(void *path) {
  static char got[16];
  int fd = open(path, O_RDONLY);
  ssize_t n = read(fd, got, sizeof got - 1);
  got[n > 0 ? n : 0] = '\0';
  close(fd);
  return got;
}

static void test_a_pipe_is_written_into(void **state) {
  (void)state;
  pthread_t reader;
  void *got;
  char path[384];
  snprintf(path, sizeof path, "%s/pipe", folder);
  assert_int_equal(mkfifo(path, 0600), 0);
  assert_int_equal(pthread_create(&reader, NULL, read_pipe, path), 0);
  put(path, "hello");
  assert_true(S_ISFIFO(mode_of(path)));
  assert_int_equal(pthread_join(reader, &got), 0);
  assert_string_equal(got, "hello");
  assert_int_equal(entries_take(), 1);
}

/* "/dev/stdout" of a shell's "> file": the report must not take the place of the file that is being filled.
 */
static void test_the_own_output_goes_on_where_it_stands(void **state) {
  (void)state;
  int own = dup(STDOUT_FILENO), fd = open(in_folder("out"), O_WRONLY | O_CREAT, 0600);
  assert_true(own >= 0 && fd >= 0);
  assert_int_equal(symlink("/proc/self/fd/1", in_folder("link")), 0);
  fflush(stdout);
  dup2(fd, STDOUT_FILENO);
  dw_error err;
  ssize_t first = write(STDOUT_FILENO, "before ", 7);
  dw_status status = dw_file_write(in_folder("link"), "page ", 5, &err);
  ssize_t last = write(STDOUT_FILENO, "after", 5);
  dup2(own, STDOUT_FILENO);
  close(own);
  close(fd);
  assert_int_equal(status, DW_OK);
  assert_true(first == 7 && last == 5);
  assert_true(S_ISLNK(mode_of(in_folder("link"))));
  assert_holds(in_folder("out"), "before page after");
  assert_int_equal(entries_take(), 2);
}

static void test_a_folder_is_refused(void **state) {
  (void)state;
  dw_error err;
  assert_int_equal(dw_file_write(folder, "x", 1, &err), DW_IO);
  assert_non_null(strstr(err.text, "is a folder"));
  assert_int_equal(dw_file_write(in_folder("none/file"), "x", 1, &err), DW_IO);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_a_new_file_has_the_mode_of_the_umask),
                                     cmocka_unit_test(test_an_old_file_keeps_its_mode),
                                     cmocka_unit_test(test_a_link_stays_and_its_file_is_replaced),
                                     cmocka_unit_test(test_a_link_that_leads_nowhere_is_refused),
                                     cmocka_unit_test(test_a_pipe_is_written_into),
                                     cmocka_unit_test(test_the_own_output_goes_on_where_it_stands),
                                     cmocka_unit_test(test_a_folder_is_refused)};
  return cmocka_run_group_tests(tests, setup, teardown);
}
