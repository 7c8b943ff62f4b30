/* The standard input as a file. */
#include "app/cli/cli.h"

#include <errno.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

enum { INPUT_MOST = 1 << 30, CHUNK = 1 << 16 };

/* A pipe can be read once, and what is read of it may be looked at more than once. Larger than anything that is read from a
 * file it is left as it is, and refused there. */
static void spool(void) {
  char chunk[CHUNK];
  ssize_t got = 0;
  int whole = memfd_create("stdin", MFD_CLOEXEC);
  for (size_t n = 0; whole >= 0 && n <= INPUT_MOST; n += (size_t)got) {
    do got = read(STDIN_FILENO, chunk, sizeof chunk);
    while (got < 0 && errno == EINTR);
    if (got <= 0 || write(whole, chunk, (size_t)got) != got) break;
  }
  if (whole < 0) return;
  dup2(whole, STDIN_FILENO);
  close(whole);
}

const char *cli_input(const char *word) {
  struct stat st;
  if (strcmp(word, "-") != 0) return word;
  if (fstat(STDIN_FILENO, &st) == 0 && !S_ISREG(st.st_mode)) spool();
  return "/dev/stdin";
}
