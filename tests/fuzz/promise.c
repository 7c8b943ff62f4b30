#include "fuzz.h"

#include "scratch.h"

#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

void promise(bool kept, const char *what) {
  if (kept) return;
  fprintf(stderr, "broken promise: %s\n", what);
  abort();
}

void promise_refusal(dw_status status, const dw_error *err) {
  size_t n = strnlen(err->text, sizeof err->text);
  promise(err->code == status, "the error holds the status");
  promise(n > 10 && n < sizeof err->text, "a refusal has a sentence");
  promise(dw_utf8_plain(err->text), "a refusal is plain UTF-8 on one line");
  if (status == DW_INTERNAL || status == DW_NO_MEMORY) fprintf(stderr, "%s\n", err->text);
  promise(status != DW_INTERNAL, "no fault in the program");
  promise(status != DW_NO_MEMORY, "memory suffices");
}

bool promised(dw_status status, const dw_error *err) {
  if (status != DW_OK) promise_refusal(status, err);
  return status == DW_OK;
}

int fuzz_file(const uint8_t *bytes, size_t n) {
  static int fd = -1;
  if (fd < 0) fd = memfd_create("fuzz", MFD_CLOEXEC);
  promise(fd >= 0 && ftruncate(fd, 0) == 0 && pwrite(fd, bytes, n, 0) == (ssize_t)n &&
              lseek(fd, 0, SEEK_SET) == 0,
          "a file in memory");
  return fd;
}

const char *fuzz_path(const uint8_t *bytes, size_t n) {
  static char path[40];
  snprintf(path, sizeof path, "/proc/self/fd/%d", fuzz_file(bytes, n));
  return path;
}

static char folder[SCRATCH_ROOM];
static pid_t maker;

static void folder_remove(void) {
  if (getpid() == maker) scratch_remove(folder);
}

const char *fuzz_folder(void) {
  if (*folder) return folder;
  promise(scratch_make(folder, "fuzz"), "a folder in memory");
  maker = getpid();
  atexit(folder_remove);
  return folder;
}

char *fuzz_text(const uint8_t *bytes, size_t n) {
  char *text = malloc(n + 1);
  promise(text != NULL, "memory");
  memcpy(text, bytes, n);
  text[n] = '\0';
  return text;
}

void fuzz_patch(void *frame, size_t size, const uint8_t *bytes, size_t n) {
  while (n > 3) {
    size_t at = ((size_t)bytes[0] << 8 | bytes[1]) % size, length = bytes[2];
    bytes += 3;
    n -= 3;
    if (length > n) length = n;
    if (length > size - at) length = size - at;
    memcpy((uint8_t *)frame + at, bytes, length);
    bytes += length;
    n -= length;
  }
}
