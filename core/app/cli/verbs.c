/* Commands that are made of smaller ones ("pattern add"), and the book they work on. */
#include "app/cli/book.h"

#include <string.h>

pt_status cli_verb_run(const cli_args *args, const cli_verb *verbs, pt_error *err) {
  char known[256] = "";
  for (const cli_verb *v = verbs; v->name; v++) {
    if (args->n_words > 0 && strcmp(v->name, args->word[0]) == 0) {
      size_t words = args->n_words - 1;
      if (words >= v->min_words && words <= v->max_words) return v->run(args, err);
      return pt_fail(err, PT_USAGE, "Write: pourtone %s %s %s", args->command->name, v->name, v->usage);
    }
    size_t used = strlen(known);
    snprintf(known + used, sizeof known - used, "%s%s", used ? ", " : "", v->name);
  }
  if (args->n_words == 0)
    return pt_fail(err, PT_USAGE, "pourtone %s needs one of: %s.", args->command->name, known);
  return pt_fail(err, PT_USAGE, "pourtone %s has no \"%.40s\"; it has: %s.", args->command->name,
                 args->word[0], known);
}

pt_status cli_book_path(const cli_args *args, char *out, size_t room, pt_error *err) {
  const char *path = cli_value(args, "--book");
  if (!path) return pt_book_default_path(out, room, err);
  if (pt_copy_text(out, room, path)) return PT_OK;
  return pt_fail(err, PT_USAGE, "The book's path is too long.");
}

pt_status cli_book_read(const cli_args *args, pt_book **out, pt_error *err) {
  char path[4096];
  pt_status status = cli_book_path(args, path, sizeof path, err);
  if (status != PT_OK) return status;
  status = pt_book_open(path, PT_BOOK_READ, out, err);
  if (status == PT_UNSUPPORTED) status = pt_book_open(path, PT_BOOK_WRITE, out, err); /* an older one */
  if (status == PT_OK) status = pt_book_begin_reading(*out, err);
  return status;
}

pt_status cli_book_write(const cli_args *args, pt_book **out, pt_error *err) {
  pt_status status = pt_book_open(cli_value(args, "--book"), PT_BOOK_WRITE, out, err);
  return status == PT_OK ? pt_book_begin(*out, err) : status;
}

pt_status cli_book_done(pt_book *book, pt_status status, pt_error *err) {
  if (status == PT_OK) status = pt_book_commit(book, err);
  pt_book_close(book);
  return status;
}

pt_status cli_say(const cli_args *args, json_t *json, pt_text *text, pt_error *err) {
  if (args->json) {
    pt_text_free(text);
    return cli_print_json(json, err);
  }
  json_decref(json);
  return cli_print_text(text, err);
}
