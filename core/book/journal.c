/* Entries: written with their transaction, listed, taken back and brought back. */
#include "book/journal.h"
#include "book/entries.h"
#include "book/record.h"
#include "book/sql.h"

#include <stdlib.h>
#include <string.h>

static const char *const door_names[] = {"command", "page"};
static const char *const state_names[] = {"done", "undone", "dropped"};
static const char *const kind_names[] = {
#define KIND_NAME(id, name) name,
    DW_ENTRY_KINDS(KIND_NAME)};

const char *dw_door_name(dw_door door) {
  return door_names[door];
}

const char *dw_entry_kind_name(dw_entry_kind kind) {
  return kind_names[kind];
}

const char *dw_entry_state_name(dw_entry_state state) {
  return state_names[state];
}

void dw_book_set_door(dw_book *book, dw_door door) {
  book->door = door;
}

/* ---- an entry is written ------------------------------------------------------------------------------- */

dw_status dw__journal_begin(dw_book *book, dw_error *err) {
  book->draft = (dw__draft){.kind = DW_ENTRY_KIND_COUNT};
  return dw__record_begin(book, &book->draft.watched, err);
}

void dw__journal_end(dw_book *book) {
  if (book->draft.watched) sqlite3session_delete(book->draft.watched);
  book->draft.watched = NULL;
}

const char *dw_book_kept_words(const dw_book *book) {
  return book->kept;
}

static dw_status tick(dw_book *book, dw_error *err) {
  return dw__book_run(book, NULL, err, "UPDATE clock SET tick = tick + 1", "");
}

/* What was taken back before can't be brought back behind a new entry. */
static dw_status drop_undone(dw_book *book, dw_error *err) {
  return dw__book_run(book, NULL, err, "UPDATE entry SET state = ?, record = '{}' WHERE state = ?", "ii",
                      (int64_t)DW_ENTRY_DROPPED, (int64_t)DW_ENTRY_UNDONE);
}

static dw_status write_entry(dw_book *book, const char *record, dw_error *err) {
  const dw__draft *draft = &book->draft;
  char now[DW_TIME_ROOM], words[DW_ENTRY_WORDS_ROOM];
  bool said = draft->kind < DW_ENTRY_KIND_COUNT;
  dw__book_now(now);
  int n = snprintf(words, sizeof words, "%s%s%s", said ? draft->words : "a change", *draft->place ? " " : "",
                   draft->place);
  if (n >= (int)sizeof words) dw_copy_text(words, sizeof words, draft->words);
  dw_copy_text(book->kept, sizeof book->kept, words);
  const dw__entry_text entry = {.made = now,
                                .door = door_names[book->door],
                                .kind = kind_names[said ? draft->kind : DW_ENTRY_OTHER],
                                .words = words,
                                .record = record,
                                .pattern = draft->pattern,
                                .batch = draft->batch,
                                .state = DW_ENTRY_DONE};
  return dw__entry_write(book, &entry, err);
}

dw_status dw__journal_keep(dw_book *book, dw_error *err) {
  char *record = NULL;
  book->kept[0] = '\0';
  if (!book->draft.watched) return DW_OK;
  dw_status status = dw__record_take(book, book->draft.watched, &record, err);
  if (status == DW_OK && record) status = drop_undone(book, err);
  if (status == DW_OK && record) status = write_entry(book, record, err);
  if (status == DW_OK && record) status = tick(book, err);
  free(record);
  return status;
}

/* ---- entries are read ---------------------------------------------------------------------------------- */

#define ENTRY_SELECT "SELECT id, made, door, kind, words, pattern, batch, state FROM " DW__ENTRY_ROWS " "

static size_t index_of(const char *const *names, size_t n, const char *name) {
  size_t i = 0;
  while (i + 1 < n && strcmp(names[i], name) != 0) i++;
  return i;
}

static dw_status entry_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw_entry *out = element;
  *out = (dw_entry){.id = dw__query_integer(query, 0),
                    .door = (dw_door)index_of(door_names, DW_DOOR_COUNT, dw__query_text(query, 2)),
                    .pattern = dw__query_integer(query, 5),
                    .batch = dw__query_integer(query, 6),
                    .state = (dw_entry_state)dw__query_integer(query, 7)};
  out->kind = (dw_entry_kind)index_of(kind_names, DW_ENTRY_KIND_COUNT, dw__query_text(query, 3));
  dw__query_copy(query, 1, out->made, sizeof out->made);
  dw__query_copy(query, 4, out->words, sizeof out->words);
  return DW_OK;
}

dw_status dw_entry_to_undo(dw_book *book, dw_entry *out, dw_error *err) {
  return dw__book_row(book, entry_from_row, out, "There is nothing to take back.", err,
                      ENTRY_SELECT "WHERE state = ? ORDER BY id DESC LIMIT 1", "i", (int64_t)DW_ENTRY_DONE);
}

dw_status dw_entry_to_redo(dw_book *book, dw_entry *out, dw_error *err) {
  return dw__book_row(book, entry_from_row, out, "There is nothing to bring back.", err,
                      ENTRY_SELECT "WHERE state = ? ORDER BY id LIMIT 1", "i", (int64_t)DW_ENTRY_UNDONE);
}

dw_status dw_entry_list(dw_book *book, int64_t pattern, size_t most, dw_entry **out, size_t *n,
                        dw_error *err) {
  return dw__book_list(book, sizeof(dw_entry), entry_from_row, out, n, err,
                       ENTRY_SELECT "WHERE ?1 = 0 OR pattern = ?1 ORDER BY id DESC LIMIT ?2", "ii", pattern,
                       most ? (int64_t)most : (int64_t)-1);
}

dw_status dw_book_tick(dw_book *book, int64_t *out, dw_error *err) {
  return dw__book_integer(book, out, "The book's clock is missing; run dropwise book check.", err,
                          "SELECT tick FROM clock", "");
}

/* ---- an entry is taken back, or brought back ----------------------------------------------------------- */

static dw_status record_of(dw_book *book, int64_t entry, char **out, dw_error *err) {
  dw__query query;
  bool row = false;
  dw_status status =
      dw__query_open(book, "SELECT record FROM " DW__ENTRY_ROWS " WHERE id = ?", &query, err, "i", entry);
  if (status == DW_OK) status = dw__query_next(&query, &row, err);
  if (status == DW_OK && !(*out = strdup(dw__query_text(&query, 0))))
    status = dw_fail_memory(err, "the journal");
  if (status == DW_OK) status = dw__query_whole(&query, err);
  dw__query_close(&query);
  return status;
}

typedef dw_status (*next_entry)(dw_book *, dw_entry *, dw_error *);

static dw_status find_next(dw_book *book, next_entry next, int64_t id, dw_entry *out, dw_error *err) {
  dw_error why = {0};
  dw_status status = next(book, out, &why);
  if (status == DW_NOT_FOUND) return dw_fail(err, DW_REFUSED, "%s", why.text);
  if (status != DW_OK) return dw_fail(err, status, "%s", why.text);
  if (id && out->id != id)
    return dw_fail(err, DW_REFUSED, "Something else was done meanwhile; the last is now: %.200s.",
                   out->words);
  return DW_OK;
}

/* Books of older versions have entries whose rows went elsewhere since (entries.h). */
static dw_status turnable(const dw_entry *entry, const char *record, dw_error *err) {
  if (strcmp(record, "{}") != 0) return DW_OK;
  return dw_fail(
      err, DW_REFUSED,
      "This was done with an older Dropwise, before its book was brought up to date: %.200s. It can't be"
      " taken back any more; correct what is wrong.",
      entry->words);
}

/* Turns the entry's record over: taken back it gives the one that brings it back. */
static dw_status turn_over(dw_book *book, dw_entry *entry, dw_entry_state state, dw_error *err) {
  /* brought back, it is as it was packed at first */
  static const char sql[] =
      "UPDATE entry SET state = ?1, record = nullif(?2, (SELECT entry_record(p.words, p.record, numbers)"
      " FROM phrase p WHERE p.id = phrase)) WHERE id = ?3";
  char *record = NULL, *reverse = NULL;
  dw_status status = record_of(book, entry->id, &record, err);
  if (status == DW_OK) status = turnable(entry, record, err);
  if (status == DW_OK) status = dw__journal_begin(book, err);
  if (status == DW_OK) status = dw__record_apply(book, record, err);
  if (status == DW_OK) status = dw__record_take(book, book->draft.watched, &reverse, err);
  if (status == DW_OK)
    status = dw__book_run(book, NULL, err, sql, "iti", (int64_t)state, reverse ? reverse : "{}", entry->id);
  if (status == DW_OK) status = tick(book, err);
  dw__journal_end(book);
  free(record);
  free(reverse);
  entry->state = state;
  return status;
}

static dw_status turn(dw_book *book, next_entry next, int64_t id, dw_entry_state state, dw_entry *out,
                      dw_error *err) {
  dw_entry entry;
  dw_status status = dw__book_begin_bare(book, DW__ACTIONS_OFF, err);
  if (status == DW_OK) status = find_next(book, next, id, &entry, err);
  if (status == DW_OK) status = turn_over(book, &entry, state, err);
  if (status == DW_OK) status = dw_book_commit(book, err);
  dw_book_rollback(book);
  if (status == DW_OK && out) *out = entry;
  return status;
}

dw_status dw_book_undo(dw_book *book, int64_t id, dw_entry *out, dw_error *err) {
  return turn(book, dw_entry_to_undo, id, DW_ENTRY_UNDONE, out, err);
}

dw_status dw_book_redo(dw_book *book, int64_t id, dw_entry *out, dw_error *err) {
  return turn(book, dw_entry_to_redo, id, DW_ENTRY_DONE, out, err);
}
