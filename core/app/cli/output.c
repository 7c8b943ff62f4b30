#include "app/cli/cli.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

void cli_hold_streams(void) {
  for (int fd = STDIN_FILENO; fd <= STDERR_FILENO; fd++)
    if (fcntl(fd, F_GETFD) < 0 && errno == EBADF)
      (void)!open("/dev/null", fd == STDIN_FILENO ? O_WRONLY : O_RDONLY); /* the lowest free one: fd */
  signal(SIGXFSZ,
         SIG_IGN); /* a file beyond the user's limit is an error of its write, not the program's end */
}

void cli_kept(const cli_args *args, const char *what) {
  dw_copy_text(args->outcome->kept, sizeof args->outcome->kept, what);
  signal(SIGPIPE, SIG_IGN); /* a reader that has gone must not end the program before that is said */
}

void cli_no_remark(const cli_args *args, const char *remark, const dw_error *why) {
  dw_error said;
  dw_fail(&said, why->code, "%s, but %s can't be said: %.300s", args->outcome->kept, remark, why->text);
  cli_complain(&said);
}

dw_status cli_printed(dw_error *err) {
  if (fflush(stdout) == 0 && !ferror(stdout)) return DW_OK;
  return dw_fail(err, DW_IO, "The result can't be written to the standard output: %s.", strerror(errno));
}

dw_status cli_print_json(json_t *root, dw_error *err) {
  if (!root) return dw_fail_memory(err, "the JSON result");
  char *text = dw_json_write(root, JSON_INDENT(2) | JSON_REAL_PRECISION(10));
  json_decref(root);
  if (!text) return dw_fail_memory(err, "the JSON result");
  puts(text);
  free(text);
  return cli_printed(err);
}

dw_status cli_text_file(const char *path, dw_status made, dw_text *text, dw_error *err) {
  if (made == DW_OK && text->failed) made = dw_fail_memory(err, "the file");
  if (made == DW_OK) made = dw_file_write(path, text->data, text->length, err);
  dw_text_free(text);
  return made;
}

dw_status cli_print_text(dw_text *text, dw_error *err) {
  dw_status status = DW_OK;
  if (text->failed)
    status = dw_fail_memory(err, "the result");
  else if (text->length)
    fwrite(text->data, 1, text->length, stdout);
  dw_text_free(text);
  return status == DW_OK ? cli_printed(err) : status;
}
