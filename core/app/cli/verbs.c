/* Commands that are made of smaller ones ("pattern add"), and the book they work on. */
#include "app/cli/book.h"
#include "dropwise/book_journal.h"
#include "dropwise/names.h"

#include <string.h>

/* A color given as three words is the usual slip. */
static dw_status wrong_words(const cli_args *args, const cli_verb *verb, dw_error *err) {
  double number;
  size_t n = args->n_words;
  const char *lab = cli_value(args, "--lab");
  bool parted = lab && n > verb->max_words + 2 && dw_parse_number_in(lab, -200, 200, &number) &&
                dw_parse_number_in(args->word[n - 1], -200, 200, &number) &&
                dw_parse_number_in(args->word[n - 2], -200, 200, &number);
  if (parted)
    return dw_fail(err, DW_USAGE,
                   "A color is written with commas and without blanks: --lab %.20s,%.20s,%.20s", lab,
                   args->word[n - 2], args->word[n - 1]);
  return dw_fail(err, DW_USAGE, "Write: dropwise %s %s %s", args->command->name, verb->name, verb->usage);
}

dw_status cli_verb_run(const cli_args *args, const cli_verb *verbs, dw_error *err) {
  char known[256] = "", meant[DW_NEAREST_WORDS_ROOM];
  dw_nearest nearest = {.word = args->n_words ? args->word[0] : ""};
  for (const cli_verb *v = verbs; v->name; v++) {
    if (args->n_words > 0 && strcmp(v->name, args->word[0]) == 0) {
      size_t words = args->n_words - 1;
      if (words >= v->min_words && words <= v->max_words) return v->run(args, err);
      return wrong_words(args, v, err);
    }
    dw_nearest_offer(&nearest, v->name);
    size_t used = strlen(known);
    snprintf(known + used, sizeof known - used, "%s%s", used ? ", " : "", v->name);
  }
  if (args->n_words == 0)
    return dw_fail(err, DW_USAGE, "dropwise %s needs one of: %s.", args->command->name, known);
  dw_nearest_words(&nearest, meant);
  return dw_fail(err, DW_USAGE, "dropwise %s has no \"%.40s\"; it has: %s.%s", args->command->name,
                 args->word[0], known, meant);
}

bool cli_split_layer(const char *text, char pattern[DW_PATTERN_NAME_ROOM], const char **layer) {
  const char *slash = strrchr(text, '/');
  const size_t length = slash ? (size_t)(slash - text) : 0;
  if (!slash || length >= DW_PATTERN_NAME_ROOM) return false;
  memcpy(pattern, text, length);
  pattern[length] = '\0';
  *layer = slash + 1;
  return true;
}

dw_status cli_id(const char *text, const char *what, const char *list, int64_t *out, dw_error *err) {
  double id;
  if (!dw_parse_number_in(text, 1, CLI_ID_MAX, &id) || id != (double)(int64_t)id)
    return dw_fail(err, DW_USAGE, "\"%.40s\" is no %s's number; %s shows them.", text, what, list);
  *out = (int64_t)id;
  return DW_OK;
}

dw_status cli_book_path(const cli_args *args, char *out, size_t room, dw_error *err) {
  const char *path = cli_value(args, "--book");
  if (!path) return dw_book_default_path(out, room, err);
  if (dw_copy_text(out, room, path)) return DW_OK;
  return dw_fail(err, DW_USAGE, "The book's path is too long.");
}

dw_status cli_book_read(const cli_args *args, dw_book **out, dw_error *err) {
  char path[4096];
  dw_status status = cli_book_path(args, path, sizeof path, err);
  if (status != DW_OK) return status;
  status = dw_book_open(path, DW_BOOK_READ, out, err);
  if (status == DW_UNSUPPORTED) status = dw_book_open(path, DW_BOOK_WRITE, out, err); /* an older one */
  if (status == DW_OK) status = dw_book_begin_reading(*out, err);
  return status;
}

dw_status cli_book_write(const cli_args *args, dw_book **out, dw_error *err) {
  dw_status status = dw_book_open(cli_value(args, "--book"), DW_BOOK_WRITE, out, err);
  return status == DW_OK ? dw_book_begin(*out, err) : status;
}

dw_status cli_book_done(dw_book *book, dw_status status, dw_error *err) {
  if (status == DW_OK) status = dw_book_commit(book, err);
  dw_book_close(book);
  return status;
}

void cli_book_kept(const cli_args *args, const char *what, const dw_book *book) {
  if (*dw_book_kept_words(book))
    cli_kept(args, what);
  else
    cli_remark("Nothing changes: the book has it so already.");
}

dw_status cli_book_keep(const cli_args *args, const char *what, dw_book *book, dw_status status,
                        dw_error *err) {
  if (status == DW_OK) status = dw_book_commit(book, err);
  if (status == DW_OK) cli_book_kept(args, what, book);
  dw_book_close(book);
  return status;
}

dw_status cli_say(const cli_args *args, json_t *json, dw_text *text, dw_error *err) {
  if (args->json) {
    dw_text_free(text);
    return cli_print_json(json, err);
  }
  json_decref(json);
  return cli_print_text(text, err);
}

dw_status cli_export_file(const cli_args *args, const char *path, const char *bytes, size_t n,
                          dw_error *err) {
  dw_text text = {0};
  dw_status status = dw_file_write(path, bytes, n, err);
  if (status != DW_OK) return status;
  dw_text_add(&text, "Wrote %s.\n", path);
  return cli_say(args, json_pack("{s:o}", "export", dw_json_text(path)), &text, err);
}

dw_status cli_book_say(const cli_args *args, dw_book *book, dw_status status, json_t *json, dw_text *text,
                       dw_error *err) {
  status = cli_book_done(book, status, err);
  if (status == DW_OK) return cli_say(args, json, text, err);
  json_decref(json);
  dw_text_free(text);
  return status;
}

dw_status cli_say_change(const cli_args *args, dw_book *book, dw_status status, dw_error *err) {
  return cli_say_change_and(args, book, status, "", err);
}

dw_status cli_say_change_and(const cli_args *args, dw_book *book, dw_status status, const char *then,
                             dw_error *err) {
  char kept[DW_ENTRY_WORDS_ROOM] = "";
  dw_text text = {0};
  if (status == DW_OK) status = dw_book_commit(book, err);
  if (status == DW_OK) dw_copy_text(kept, sizeof kept, dw_book_kept_words(book));
  dw_book_close(book);
  if (status != DW_OK) return status;
  if (*kept) cli_kept(args, "The change was kept");
  dw_text_add(&text, *kept ? "Kept: %s.\n" : "%sNothing changes.\n", kept);
  if (*kept && *then) dw_text_add(&text, "%s\n", then);
  return cli_say(args, json_pack("{s:b, s:s}", "changed", *kept != '\0', "words", kept), &text, err);
}
