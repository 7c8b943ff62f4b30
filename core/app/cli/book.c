#include "app/cli/book.h"

#include <stdlib.h>
#include <string.h>

enum { IMPORT_FILE_MAX = 1 << 30 };

static const cli_option options[] = {
    {"--cgats", NULL, "export: targets, tones and readings as CGATS.17 text instead"},
    {"--no-journal", NULL, "export: without the journal of what was done, and so without its undo"},
    {NULL, NULL, NULL},
};

static dw_status run_path(const cli_args *args, dw_error *err) {
  char path[4096];
  dw_text text = {0};
  dw_status status = cli_book_path(args, path, sizeof path, err);
  if (status != DW_OK) return status;
  dw_text_add(&text, "%s\n", path);
  return cli_say(args, json_pack("{s:o}", "path", dw_json_text(path)), &text, err);
}

static dw_status run_check(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_text found = {0}, text = {0};
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_book_check(book, &found, err);
  if (found.length) fputs(found.data, stderr);
  if (status == DW_OK) {
    dw_text_add(&text, "%s is whole.\n", dw_book_path(book));
    status = cli_say(args, json_pack("{s:o, s:b}", "path", dw_json_text(dw_book_path(book)), "whole", 1),
                     &text, err);
  }
  dw_text_free(&found);
  return cli_book_done(book, status, err);
}

static dw_status run_backup(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_text text = {0};
  char path[4096];
  dw_status status = cli_book_path(args, path, sizeof path, err);
  if (status == DW_OK) status = dw_book_open(path, DW_BOOK_READ, &book, err);
  if (status == DW_UNSUPPORTED) status = dw_book_open(path, DW_BOOK_WRITE, &book, err);
  if (status == DW_OK) status = dw_book_backup(book, args->word[1], err);
  dw_book_close(book);
  if (status != DW_OK) return status;
  dw_text_add(&text, "Wrote and checked %s.\n", args->word[1]);
  return cli_say(args, json_pack("{s:o}", "backup", dw_json_text(args->word[1])), &text, err);
}

static dw_status run_restore(const cli_args *args, dw_error *err) {
  char path[4096], kept[4200];
  dw_text text = {0};
  dw_status status = cli_book_path(args, path, sizeof path, err);
  if (status == DW_OK) status = dw_book_restore(args->word[1], path, kept, sizeof kept, err);
  if (status != DW_OK) return status;
  cli_kept(args, "The backup was put in place");
  dw_text_add(&text, "Put %s in place at %s.\n", args->word[1], path);
  if (*kept) dw_text_add(&text, "The book that was there is kept as %s.\n", kept);
  return cli_say(args, json_pack("{s:o, s:o}", "path", dw_json_text(path), "kept", dw_json_text(kept)), &text,
                 err);
}

/* ---- export and import --------------------------------------------------------------------------------- */

/* To the file named, or to the standard output. */
static dw_status put_out(const cli_args *args, const char *bytes, size_t n, dw_error *err) {
  dw_text text = {0};
  if (args->n_words == 1 || strcmp(args->word[1], "-") == 0) {
    dw_text_put(&text, bytes, n);
    return cli_print_text(&text, err);
  }
  return cli_export_file(args, args->word[1], bytes, n, err);
}

static dw_status run_export(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  char *bytes = NULL;
  size_t n = 0;
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK)
    status =
        cli_has(args, "--cgats")
            ? dw_book_export_cgats(book, &bytes, &n, err)
            : dw_book_export(book, cli_has(args, "--no-journal") ? DW_EXPORT_WITHOUT_JOURNAL : DW_EXPORT_ALL,
                             &bytes, &n, err);
  status = cli_book_done(book, status, err);
  if (status == DW_OK) status = put_out(args, bytes, n, err);
  free(bytes);
  return status;
}

static dw_status run_import(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  char *bytes = NULL;
  size_t n = 0;
  dw_book_imported imported = {0};
  dw_text text = {0};
  dw_status status = dw_file_read(cli_input(args->word[1]), IMPORT_FILE_MAX, &bytes, &n, err);
  if (status == DW_OK) status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = dw_book_import(book, bytes, n, args->word[1], &imported, err);
  free(bytes);
  status = cli_book_done(book, status, err);
  if (status != DW_OK) return status;
  cli_kept(args, "The entries were taken in"); /* a journal that came with them is no entry of its own */
  dw_text_add(&text, "Took %zu entries in", imported.added);
  if (imported.shared) dw_text_add(&text, "; %zu were in the book already", imported.shared);
  dw_text_add(&text, ".\n");
  return cli_say(
      args,
      json_pack("{s:I, s:I}", "added", (json_int_t)imported.added, "shared", (json_int_t)imported.shared),
      &text, err);
}

static const cli_verb verbs[] = {
    {"path", "", 0, 0, run_path},
    {"check", "", 0, 0, run_check},
    {"backup", "FILE", 1, 1, run_backup},
    {"restore", "FILE", 1, 1, run_restore},
    {"export", "[FILE] [--cgats]", 0, 1, run_export},
    {"import", "FILE", 1, 1, run_import},
    {NULL, NULL, 0, 0, NULL},
};

static dw_status run(const cli_args *args, dw_error *err) {
  return cli_verb_run(args, verbs, err);
}

const cli_command cli_book = {
    .name = "book",
    .summary = "the file that holds it all: check, backup, restore, export, import",
    .usage = "path | check | backup FILE | restore FILE | export [FILE] [--cgats] | import FILE",
    .about = "backup may run while the book is in use; restore keeps the book that was there. import takes a "
             "whole\n"
             "export in, or nothing.",
    .example = "dropwise book backup dropwise-2026-05-01.db",
    .options = options,
    .run = run,
};
