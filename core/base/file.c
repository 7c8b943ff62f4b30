#include "dropwise/base.h"

#include <errno.h>
#include <fcntl.h>
#include <nettle/sha2.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

dw_status dw_open_status(int fault) {
  if (fault == ENOENT || fault == ENOTDIR) return DW_NOT_FOUND;
  return fault == ELOOP || fault == ENAMETOOLONG ? DW_BAD_INPUT : DW_IO;
}

static dw_status cannot_open(const char *path, dw_error *err) {
  dw_status status = dw_open_status(errno);
  if (status == DW_NOT_FOUND) return dw_fail(err, status, "There is no file %s.", path);
  return dw_fail(err, status, "%s can't be opened: %s.", path, strerror(errno));
}

/* A pipe, opened without waiting: one with a writer is read to its end however long that takes, but for the writer it is
 * waited only a while.
 * *first  what was read of it so far; EOF: nothing */
static bool is_written(int fd, int *first) {
  enum { WAIT_MS = 5000 };
  struct pollfd pipe = {.fd = fd, .events = POLLIN};
  unsigned char byte;
  if (poll(&pipe, 1, WAIT_MS) != 0) return true;
  ssize_t n = read(fd, &byte, 1);
  if (n == 1) *first = byte;
  return n == 1 || (n < 0 && errno == EAGAIN);
}

static dw_status open_for_reading(const char *path, FILE **out, dw_error *err) {
  struct stat st = {0};
  int first = EOF, fd = open(path, O_RDONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
  *out = NULL;
  if (fd < 0) return cannot_open(path, err);
  dw_status status = DW_OK;
  if (fstat(fd, &st) == 0 && S_ISDIR(st.st_mode))
    status = dw_fail(err, DW_BAD_INPUT, "%s is a folder, not a file.", path);
  else if (S_ISFIFO(st.st_mode) && !is_written(fd, &first))
    status = dw_fail(err, DW_BAD_INPUT, "%s is a pipe that nobody writes to.", path);
  else if (fcntl(fd, F_SETFL, 0) != 0 || !(*out = fdopen(fd, "rb")))
    status = cannot_open(path, err);
  if (status != DW_OK) close(fd);
  if (first != EOF && *out) ungetc(first, *out);
  return status;
}

dw_status dw_file_read(const char *path, size_t limit_bytes, char **out, size_t *n, dw_error *err) {
  FILE *file;
  dw_status status = open_for_reading(path, &file, err);
  if (status != DW_OK) return status;
  dw_text text = {0};
  char chunk[1 << 14];
  size_t got;
  while ((got = fread(chunk, 1, sizeof chunk, file)) > 0) {
    if (got > limit_bytes || text.length > limit_bytes - got) {
      status = dw_fail(err, DW_TOO_LARGE, "%s is larger than the %zu bytes such a file may have.", path,
                       limit_bytes);
      goto done;
    }
    dw_text_put(&text, chunk, got);
  }
  if (ferror(file)) {
    status = dw_fail(err, DW_IO, "Reading %s failed: %s.", path, strerror(errno));
    goto done;
  }
  dw_text_put(&text, "", 0); /* an empty file still gives a terminated text */
  if (text.failed) status = dw_fail_memory(err, path);
done:
  fclose(file);
  if (status == DW_OK) {
    *out = text.data;
    *n = text.length;
  } else {
    dw_text_free(&text);
  }
  return status;
}

static void hex_digest(struct sha256_ctx *sha, char out[65]) {
  uint8_t digest[SHA256_DIGEST_SIZE];
  sha256_digest(sha, sizeof digest, digest);
  dw_hex(digest, sizeof digest, out);
}

bool dw_sha256_valid(const char *text) {
  return strlen(text) == DW_SHA256_ROOM - 1 && strspn(text, "0123456789abcdef") == DW_SHA256_ROOM - 1;
}

void dw_sha256(const void *bytes, size_t n, char out[65]) {
  struct sha256_ctx sha;
  sha256_init(&sha);
  sha256_update(&sha, n, bytes);
  hex_digest(&sha, out);
}

dw_status dw_file_sha256(const char *path, char out[65], dw_error *err) {
  FILE *file;
  dw_status status = open_for_reading(path, &file, err);
  if (status != DW_OK) return status;
  struct sha256_ctx sha;
  sha256_init(&sha);
  uint8_t chunk[1 << 14];
  size_t got;
  while ((got = fread(chunk, 1, sizeof chunk, file)) > 0) sha256_update(&sha, got, chunk);
  if (ferror(file)) status = dw_fail(err, DW_IO, "Reading %s failed: %s.", path, strerror(errno));
  fclose(file);
  if (status == DW_OK) hex_digest(&sha, out);
  return status;
}
