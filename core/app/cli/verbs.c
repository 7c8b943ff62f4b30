/* Commands that are made of smaller ones ("pattern add"), and the book they work on. */
#include "app/cli/book.h"
#include "pourtone/names.h"

#include <string.h>

/* A color given as three words is the usual slip. */
static pt_status wrong_words(const cli_args *args, const cli_verb *verb, pt_error *err) {
  double number;
  size_t n = args->n_words;
  const char *lab = cli_value(args, "--lab");
  bool parted = lab && n > verb->max_words + 2 && pt_parse_number_in(lab, -200, 200, &number) &&
                pt_parse_number_in(args->word[n - 1], -200, 200, &number) &&
                pt_parse_number_in(args->word[n - 2], -200, 200, &number);
  if (parted)
    return pt_fail(err, PT_USAGE,
                   "A color is written with commas and without blanks: --lab %.20s,%.20s,%.20s", lab,
                   args->word[n - 2], args->word[n - 1]);
  return pt_fail(err, PT_USAGE, "Write: pourtone %s %s %s", args->command->name, verb->name, verb->usage);
}

pt_status cli_verb_run(const cli_args *args, const cli_verb *verbs, pt_error *err) {
  char known[256] = "", meant[PT_NEAREST_WORDS_ROOM];
  pt_nearest nearest = {.word = args->n_words ? args->word[0] : ""};
  for (const cli_verb *v = verbs; v->name; v++) {
    if (args->n_words > 0 && strcmp(v->name, args->word[0]) == 0) {
      size_t words = args->n_words - 1;
      if (words >= v->min_words && words <= v->max_words) return v->run(args, err);
      return wrong_words(args, v, err);
    }
    pt_nearest_offer(&nearest, v->name);
    size_t used = strlen(known);
    snprintf(known + used, sizeof known - used, "%s%s", used ? ", " : "", v->name);
  }
  if (args->n_words == 0)
    return pt_fail(err, PT_USAGE, "pourtone %s needs one of: %s.", args->command->name, known);
  pt_nearest_words(&nearest, meant);
  return pt_fail(err, PT_USAGE, "pourtone %s has no \"%.40s\"; it has: %s.%s", args->command->name,
                 args->word[0], known, meant);
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
