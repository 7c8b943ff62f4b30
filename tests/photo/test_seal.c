/* The seal of a decoder: what it can still do and what not, on kernels with and without Landlock, and that
 * nothing is decoded where it can't be set. */
#include "pictures.h"

#include "base/forbidden.h"
#include "base/kernel.h"

#include "photo/decode/serve.h"
#include "photo/wire.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

enum { ROOM = 128 };

/* ---- a probe in the decoder's place
 * ------------------------------------------------------------------------- */

typedef struct probed {
  dw_status sealed;
  int fault[ROOM];  /* errno of each try, 0 when it went through */
  int memory, file; /* what it must still be able to do: 0 */
  int read_by_name; /* of a file, whatever became of the seal */
} probed;

static int fault_of(long result) {
  return result < 0 ? errno : 0;
}

static _Noreturn void probe(kernel which, int channel) {
  static probed out;
  char byte;
  dw_error err;
  dw_photo_limits limits = dw_photo_limits_default();
  int photo = open("/etc/passwd", O_RDONLY);
  forbidden_prepare();
  if (channel != DW__FD_CHANNEL && dup2(channel, DW__FD_CHANNEL) < 0) _exit(8);
  kernel_play(which);
  out.sealed = dw__decoder_seal(&limits, &err);
  for (size_t i = 0; i < forbidden_count && out.sealed == DW_OK; i++)
    out.fault[i] = fault_of(forbidden_things[i].try_it());
  void *memory = malloc(50 << 20);
  out.memory = memory ? 0 : errno;
  free(memory);
  out.file = fault_of(read(photo, &byte, 1));
  out.read_by_name = fault_of(syscall(SYS_openat, AT_FDCWD, "/etc/passwd", O_RDONLY));
  _exit(write(DW__FD_CHANNEL, &out, sizeof out) == sizeof out ? 0 : 7);
}

static void run_probe(kernel which, probed *out) {
  int ends[2];
  assert_int_equal(socketpair(AF_UNIX, SOCK_SEQPACKET, 0, ends), 0);
  pid_t pid = fork();
  assert_true(pid >= 0);
  if (pid == 0) probe(which, ends[1]);
  close(ends[1]);
  ssize_t n = read(ends[0], out, sizeof *out);
  close(ends[0]);
  assert_int_equal(waitpid(pid, NULL, 0), pid);
  assert_int_equal(n, sizeof *out);
}

static void check_sealed(kernel which) {
  probed out;
  assert_in_range(forbidden_count, 25, ROOM);
  run_probe(which, &out);
  assert_int_equal(out.sealed, DW_OK);
  for (size_t i = 0; i < forbidden_count; i++)
    if (out.fault[i] != EPERM) fail_msg("%s: %s", forbidden_things[i].name, strerror(out.fault[i]));
  assert_int_equal(out.memory, 0);
  assert_int_equal(out.file, 0);
}

static void test_forbidden_things(void **state) {
  (void)state;
  check_sealed(AS_IT_IS);
}

static void test_forbidden_things_without_landlock(void **state) {
  (void)state;
  check_sealed(NO_LANDLOCK);
}

/* The second wall stands by itself: where only the filter can't be set, files are still out of reach. */
static void test_landlock_alone(void **state) {
  (void)state;
  probed out;
  run_probe(NO_SECCOMP, &out);
  assert_int_equal(out.sealed, DW_IO);
  if (kernel_has_landlock()) assert_int_equal(out.read_by_name, EACCES);
}

/* ---- photos
 * ------------------------------------------------------------------------------------------------- */

typedef struct answer {
  dw_status opened, read;
  char text[512];
} answer;

static answer read_photo_on(kernel which, const char *path) {
  answer *out = mmap(NULL, sizeof *out, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
  assert_ptr_not_equal(out, MAP_FAILED);
  pid_t pid = fork();
  if (pid == 0) {
    dw_photo *photo = NULL;
    dw_patch patch;
    dw_error err = {0};
    dw_arena *arena = dw_arena_new(0);
    kernel_play(which);
    out->read = DW_INTERNAL;
    out->opened = dw_photo_open(path, NULL, &photo, &err);
    if (out->opened == DW_OK)
      out->read = dw_photo_patches(photo, &(dw_rect){5, 5, 9, 9}, 1, arena, &patch, &err);
    memcpy(out->text, err.text, sizeof out->text);
    dw_photo_close(photo);
    _exit(0);
  }
  assert_int_equal(waitpid(pid, NULL, 0), pid);
  answer copy = *out;
  munmap(out, sizeof *out);
  return copy;
}

static void test_nothing_is_decoded_unsealed(void **state) {
  const char *path = in_folder(state, "a.jpg");
  picture p = picture_make(61, 43, 3, 8);
  jpeg_write(path, &p, &(jpeg_how){.h = 2, .v = 2});
  answer with = read_photo_on(NO_LANDLOCK, path), without = read_photo_on(NO_SECCOMP, path);
  assert_int_equal(with.opened, DW_OK);
  assert_int_equal(with.read, DW_OK);
  assert_int_equal(without.opened, DW_IO);
  assert_non_null(strstr(without.text, "seccomp"));
  free(p.bytes);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_forbidden_things),
      cmocka_unit_test(test_forbidden_things_without_landlock),
      cmocka_unit_test(test_landlock_alone),
      cmocka_unit_test_setup_teardown(test_nothing_is_decoded_unsealed, folder_make, folder_remove),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
