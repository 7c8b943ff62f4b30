/* Writing a whole file: beside the old one and renamed over it, or straight into what is no file. */
#include "dropwise/base.h"

#include <errno.h>
#include <fcntl.h>
#include <libgen.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { NAMES_TRIED = 1000 };

static bool write_all(int fd, const char *bytes, size_t n) {
  while (n > 0) {
    ssize_t wrote = write(fd, bytes, n);
    if (wrote < 0 && errno == EINTR) continue;
    if (wrote <= 0) return false;
    bytes += wrote;
    n -= (size_t)wrote;
  }
  return true;
}

/* So that the new name survives a power cut; a file system that can't sync a folder is left at that. */
static void sync_folder_of(const char *path) {
  char copy[4096];
  if (!dw_copy_text(copy, sizeof copy, path)) return;
  int fd = open(dirname(copy), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (fd < 0) return;
  (void)fsync(fd);
  close(fd);
}

/* A new file beside path, its name in *name: as the process's mask has it, or as the old file is. */
static int open_beside(const char *path, const struct stat *old, dw_text *name) {
  int fd = -1;
  for (int i = 0; i < NAMES_TRIED && fd < 0; i++) {
    dw_text_free(name);
    dw_text_add(name, "%s.%ld-%d", path, (long)getpid(), i);
    if (name->failed) return -1;
    fd = open(name->data, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, old ? 0600 : 0666);
    if (fd < 0 && errno != EEXIST) return -1;
  }
  if (fd < 0 || !old) return fd;
  /* Only root can give a file back to its owner; others become the owner of what they replace. */
  bool kept = fchown(fd, old->st_uid, old->st_gid) == 0 || errno == EPERM;
  if (kept && fchmod(fd, old->st_mode & 0777) == 0) return fd;
  int why = errno;
  close(fd);
  unlink(name->data);
  errno = why;
  return -1;
}

static dw_status replace_file(const char *path, const struct stat *old, const void *bytes, size_t n,
                              dw_error *err) {
  dw_text beside = {0};
  dw_status status = DW_OK;
  int fd = open_beside(path, old, &beside);
  if (fd < 0) {
    status = beside.failed ? dw_fail_memory(err, path)
                           : dw_fail(err, DW_IO, "%s can't be written: %s.", path, strerror(errno));
    goto done;
  }
  bool written = write_all(fd, bytes, n) && fsync(fd) == 0;
  written = close(fd) == 0 && written;
  if (!written || rename(beside.data, path) != 0) {
    status = dw_fail(err, DW_IO, "%s can't be written: %s; what was there before is untouched.", path,
                     strerror(errno));
    unlink(beside.data);
  } else {
    sync_folder_of(path);
  }
done:
  dw_text_free(&beside);
  return status;
}

/* The open output that this file is: /dev/stdout and the like may lead to a file, or to a socket that can't
 * be opened by name; what is written there goes on where the output stands. */
static int open_output(const struct stat *st) {
  for (int fd = STDOUT_FILENO; fd <= STDERR_FILENO; fd++) {
    struct stat own;
    if (fstat(fd, &own) == 0 && own.st_dev == st->st_dev && own.st_ino == st->st_ino)
      return fcntl(fd, F_DUPFD_CLOEXEC, 0);
  }
  return -1;
}

static dw_status write_into(int fd, const char *path, const void *bytes, size_t n, dw_error *err) {
  bool written = fd >= 0 && write_all(fd, bytes, n);
  if (fd >= 0) written = close(fd) == 0 && written;
  return written ? DW_OK : dw_fail(err, DW_IO, "%s can't be written: %s.", path, strerror(errno));
}

/* A pipe's reader is waited for a while, then it is read from at the reader's speed. */
static dw_status write_pipe(const char *path, const void *bytes, size_t n, dw_error *err) {
  enum { WAIT_MS = 5000, STEP_MS = 20 };
  int fd = -1;
  for (int waited = 0; waited <= WAIT_MS; waited += STEP_MS) {
    fd = open(path, O_WRONLY | O_NONBLOCK | O_CLOEXEC);
    if (fd >= 0 || errno != ENXIO) break;
    poll(NULL, 0, STEP_MS);
    errno = ENXIO;
  }
  if (fd < 0 && errno == ENXIO) return dw_fail(err, DW_IO, "%s is a pipe that nobody reads.", path);
  if (fd >= 0) (void)fcntl(fd, F_SETFL, 0);
  return write_into(fd, path, bytes, n, err);
}

dw_status dw_file_write(const char *path, const void *bytes, size_t n, dw_error *err) {
  struct stat st, link;
  if (stat(path, &st) != 0) {
    if (errno != ENOENT) return dw_fail(err, DW_IO, "%s can't be written: %s.", path, strerror(errno));
    if (lstat(path, &link) == 0)
      return dw_fail(err, DW_IO, "%s is a link that leads nowhere; remove it, or make what it leads to.",
                     path);
    return replace_file(path, NULL, bytes, n, err);
  }
  if (S_ISDIR(st.st_mode)) return dw_fail(err, DW_IO, "%s is a folder, not a file.", path);
  int output = open_output(&st);
  if (output >= 0) return write_into(output, path, bytes, n, err);
  if (S_ISFIFO(st.st_mode)) return write_pipe(path, bytes, n, err);
  if (!S_ISREG(st.st_mode))
    return write_into(open(path, O_WRONLY | O_NOCTTY | O_CLOEXEC), path, bytes, n, err);
  char *real = realpath(path, NULL);
  if (!real) return dw_fail(err, DW_IO, "%s can't be written: %s.", path, strerror(errno));
  dw_status status = replace_file(real, &st, bytes, n, err);
  free(real);
  return status;
}
