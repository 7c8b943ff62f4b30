/* dropwise undo, redo, history */
#include "app/cli/book.h"
#include "dropwise/book_journal.h"

#include <stdlib.h>

enum { HISTORY_DEFAULT = 20, HISTORY_MOST = 1000000 };

/* ---- undo and redo ------------------------------------------------------------------------------------- */

typedef struct turning {
  const char *what, *key, *next; /* "Took back", "undone", "The next undo takes back" */
  const char *kept;
  dw_status (*run)(dw_book *, int64_t, dw_entry *, dw_error *);
  dw_status (*peek)(dw_book *, dw_entry *, dw_error *);
} turning;

static const turning undoing = {
    "Took back",  "undone",        "The next undo takes back", "The last entry was taken back",
    dw_book_undo, dw_entry_to_undo};
static const turning redoing = {
    "Brought back", "redone",        "The next redo brings back", "An entry was brought back",
    dw_book_redo,   dw_entry_to_redo};

/* There must be a book: none is made to take something back in it. */
static dw_status open_there(const cli_args *args, dw_book **out, dw_error *err) {
  char path[4096];
  dw_status status = cli_book_path(args, path, sizeof path, err);
  if (status == DW_OK) status = dw_book_open(path, DW_BOOK_READ, out, err);
  if (status != DW_OK && status != DW_UNSUPPORTED) return status;
  dw_book_close(*out);
  return dw_book_open(path, DW_BOOK_WRITE, out, err);
}

static void say_next(const cli_args *args, dw_book *book, const turning *way, dw_text *text) {
  dw_entry next;
  dw_error why;
  dw_status status = way->peek(book, &next, &why);
  if (status == DW_OK)
    dw_text_add(text, "%s: %s.\n", way->next, next.words);
  else if (dw_status_exit_code(status) == dw_status_exit_code(DW_IO)) /* else there is none */
    cli_no_remark(args, "what comes next", &why);
}

static dw_status turn(const cli_args *args, const turning *way, dw_error *err) {
  dw_book *book = NULL;
  dw_entry entry;
  dw_text text = {0};
  dw_status status = cli_words(args, 0, 0, "nothing more", err);
  if (status == DW_OK) status = open_there(args, &book, err);
  if (status == DW_OK) status = way->run(book, 0, &entry, err);
  if (status == DW_OK) {
    cli_kept(args, way->kept);
    dw_text_add(&text, "%s: %s (%s, %.16s).\n", way->what, entry.words, dw_door_name(entry.door), entry.made);
    say_next(args, book, way, &text);
  }
  dw_book_close(book);
  if (status != DW_OK) return status;
  return cli_say(args, json_pack("{s:o}", way->key, dw_json_entry(&entry)), &text, err);
}

static dw_status run_undo(const cli_args *args, dw_error *err) {
  return turn(args, &undoing, err);
}

static dw_status run_redo(const cli_args *args, dw_error *err) {
  return turn(args, &redoing, err);
}

static const cli_option no_options[] = {{NULL, NULL, NULL}};

const cli_command cli_undo = {
    .name = "undo",
    .summary = "take back the last thing done, of any kind, at the page or by a command",
    .usage = "",
    .about =
        "Takes back the last entry of the book's journal and says which: drops, a reading with what the "
        "bottles\n"
        "learned of it, a target, chips, a fit, an import ... history shows what comes next, redo brings it "
        "back.",
    .example = "dropwise undo",
    .options = no_options,
    .run = run_undo,
};

const cli_command cli_redo = {
    .name = "redo",
    .summary = "bring back what undo took back last",
    .usage = "",
    .about = "Only as long as nothing else was done since.",
    .example = "dropwise redo",
    .options = no_options,
    .run = run_redo,
};

/* ---- history ------------------------------------------------------------------------------------------- */

static const cli_option history_options[] = {
    {"--pattern", "NAME", "what was done with this pattern and its batches"},
    {"--most", "N", "the last N entries; default 20"},
    {NULL, NULL, NULL},
};

static const char *state_words(dw_entry_state state) {
  static const char *const words[] = {"", " (taken back; redo brings it back)", " (taken back)"};
  return words[state];
}

static dw_status load(const cli_args *args, dw_book *book, dw_entry **out, size_t *n, dw_error *err) {
  const char *name = cli_value(args, "--pattern");
  dw_pattern pattern = {0};
  size_t most;
  dw_status status = cli_whole(args, "--most", 1, HISTORY_MOST, HISTORY_DEFAULT, &most, err);
  if (status == DW_OK && name) status = dw_pattern_find(book, name, &pattern, err);
  return status == DW_OK ? dw_entry_list(book, pattern.id, most, out, n, err) : status;
}

static dw_status run_history(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_entry *list = NULL;
  size_t n = 0;
  dw_text text = {0};
  json_t *array = json_array();
  dw_status status = cli_words(args, 0, 0, "nothing more", err);
  if (status == DW_OK) status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = load(args, book, &list, &n, err);
  for (size_t i = n; i-- > 0;) { /* the newest at the end, where a person looks first */
    dw_text_add(&text, "%.10s %.5s  %-8s %-10s %s%s\n", list[i].made, list[i].made + 11,
                dw_door_name(list[i].door), dw_entry_kind_name(list[i].kind), list[i].words,
                state_words(list[i].state));
    array = dw_json_and(array, dw_json_entry(&list[i]));
  }
  if (n == 0) dw_text_add(&text, "Nothing was done yet.\n");
  free(list);
  return cli_book_say(args, book, status, json_pack("{s:o}", "entries", array), &text, err);
}

const cli_command cli_history = {
    .name = "history",
    .summary = "what was done when, and where: at the page or by a command",
    .usage = "[--pattern NAME] [--most N]",
    .about = "One line an entry, the newest last; a correction tells the value before. Times are UTC.",
    .example = "dropwise history --pattern \"creek crawfish\"",
    .options = history_options,
    .run = run_history,
};
