/* What foreign code must not leave behind in the host. */
#ifndef DROPWISE_TESTS_AFTERMATH_H
#define DROPWISE_TESTS_AFTERMATH_H

#include <ctype.h>
#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>

/* Open files of this process. */
static inline int open_files(void) {
  int n = 0;
  DIR *folder = opendir("/proc/self/fd");
  if (!folder) return -1;
  while (readdir(folder)) n++;
  closedir(folder);
  return n;
}

/* No child is left, running or dead. */
static inline int childless(void) {
  return waitpid(-1, NULL, WNOHANG) == -1 && errno == ECHILD;
}

/* Running processes of that name on the whole machine (15 characters at most, as the kernel keeps them); the
 * dead that nobody has asked after yet do not count. */
static inline int processes_named(const char *name) {
  int n = 0;
  DIR *folder = opendir("/proc");
  if (!folder) return -1;
  for (struct dirent *item; (item = readdir(folder));) {
    char path[300], comm[32] = "", state = 'Z';
    if (!isdigit((unsigned char)item->d_name[0])) continue;
    snprintf(path, sizeof path, "/proc/%s/stat", item->d_name);
    FILE *file = fopen(path, "r");
    if (!file) continue;
    if (fscanf(file, "%*d (%31[^)]) %c", comm, &state) == 2) n += state != 'Z' && strcmp(comm, name) == 0;
    fclose(file);
  }
  closedir(folder);
  return n;
}

#endif
