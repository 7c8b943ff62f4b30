/* Files of marks. Each is read once, so that a command's answer is of one reading though the file changes meanwhile, and a
 * pipe gives marks like any file. */
#include "app/cli/cli.h"

#include <pthread.h>
#include <stdlib.h>
#include <string.h>

struct cli_marks_file {
  cli_marks_file *next;
  const char *path; /* the option's */
  json_t *root;
};

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER; /* photos are read several at a time */

static cli_marks_file *find(cli_marks_file *files, const char *path) {
  while (files && strcmp(files->path, path) != 0) files = files->next;
  return files;
}

static dw_status read_file(cli_outcome *outcome, const char *path, cli_marks_file **out, dw_error *err) {
  cli_marks_file *file = calloc(1, sizeof *file);
  if (!file) return dw_fail_memory(err, path);
  dw_status status = dw_json_load(path, DW_MARKS_FILE_MAX, &file->root, err);
  if (status != DW_OK) {
    free(file);
    return status;
  }
  file->path = path;
  file->next = outcome->marks;
  *out = outcome->marks = file;
  return DW_OK;
}

dw_status cli_marks_json(const cli_args *args, const char *path, const json_t **out, dw_error *err) {
  dw_status status = DW_OK;
  pthread_mutex_lock(&lock);
  cli_marks_file *file = find(args->outcome->marks, path);
  if (!file) status = read_file(args->outcome, path, &file, err);
  *out = file ? file->root : NULL;
  pthread_mutex_unlock(&lock);
  return status;
}

dw_status cli_marks_load(const cli_args *args, const char *path, dw_marks *out, dw_error *err) {
  const json_t *root;
  dw_status status = cli_marks_json(args, path, &root, err);
  return status == DW_OK ? dw_marks_from_json(root, path, cli_value(args, "--card-set"), out, err) : status;
}

void cli_marks_files_free(cli_marks_file *files) {
  while (files) {
    cli_marks_file *next = files->next;
    json_decref(files->root);
    free(files);
    files = next;
  }
}
