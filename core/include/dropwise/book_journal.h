/* The book's journal: every transaction that changed something is one entry, which can be taken back and
 * brought back.
 *
 * dw_book_commit writes the entry with the change itself: what was done in one sentence, through which door,
 * and what takes it back.  The functions of the book that write add their words by themselves ("30 drops of
 * brown into the belly of batch 2 of frog"); a caller that knows better says so with dw_book_entry_say.  A
 * transaction that changed nothing makes no entry.  What a transaction worked out on the way (what bottles
 * learned from a reading) belongs to its entry and goes and comes back with it.
 *
 * An undo takes back the last entry that is done, of whatever kind; a redo brings back the one that was taken
 * back last.  After an undo the book's tables are as they were before the entry, ids included; after a redo
 * as they were behind it.  A new entry behind an undo ends the redo: the entries that were taken back stay in
 * the history as dropped, with their words alone. */
#ifndef DROPWISE_BOOK_JOURNAL_H
#define DROPWISE_BOOK_JOURNAL_H

#include "dropwise/book.h"

/* Who wrote: a command, or the page. */
typedef enum dw_door { DW_DOOR_COMMAND, DW_DOOR_PAGE, DW_DOOR_COUNT } dw_door;
const char *dw_door_name(dw_door door); /* "command", "page" */
/* Of the transactions that begin from now on; DW_DOOR_COMMAND at first. */
void dw_book_set_door(dw_book *book, dw_door door);

/* What an entry is about.  Of several in one transaction the earlier in this list names the entry;
 * from "batch" on they are only named where nothing before them was done. */
#define DW_ENTRY_KINDS(X)                                                                                    \
  X(IMPORT, "import")                                                                                        \
  X(CORRECTION, "correction")                                                                                \
  X(FIT, "fit")                                                                                              \
  X(CHIP, "chip")                                                                                            \
  X(READING, "reading")                                                                                      \
  X(DROPS, "drops")                                                                                          \
  X(GOOD, "good")                                                                                            \
  X(TARGET, "target")                                                                                        \
  X(TONE, "tone")                                                                                            \
  X(LOT, "lot")                                                                                              \
  X(PATTERN, "pattern")                                                                                      \
  X(BOTTLE, "bottle")                                                                                        \
  X(MOLD, "mold")                                                                                            \
  X(SETTING, "setting")                                                                                      \
  X(BATCH, "batch")                                                                                          \
  X(BENCH, "bench")                                                                                          \
  X(POUR, "pour")                                                                                            \
  X(PHOTO, "photo")                                                                                          \
  X(OTHER, "other")
typedef enum dw_entry_kind {
#define DW_ENTRY_ENUM(id, name) DW_ENTRY_##id,
  DW_ENTRY_KINDS(DW_ENTRY_ENUM)
#undef DW_ENTRY_ENUM
      DW_ENTRY_KIND_COUNT
} dw_entry_kind;
const char *dw_entry_kind_name(dw_entry_kind kind); /* "drops" */

typedef enum dw_entry_state {
  DW_ENTRY_DONE,
  DW_ENTRY_UNDONE, /* taken back; a redo can bring it back */
  DW_ENTRY_DROPPED /* taken back, and something else was done since */
} dw_entry_state;
const char *dw_entry_state_name(dw_entry_state state); /* "done", "undone", "dropped" */

enum { DW_ENTRY_WORDS_ROOM = 240 };

typedef struct dw_entry {
  int64_t id;
  char made[DW_TIME_ROOM];
  dw_door door;
  dw_entry_kind kind;
  dw_entry_state state;
  int64_t pattern, batch; /* that it is about; 0: none, or several. They may be gone by now */
  char words[DW_ENTRY_WORDS_ROOM];
} dw_entry;

/* Names the entry of the transaction instead of what the book's functions say of it, or nothing where they
 * said something already and kind is DW_ENTRY_OTHER.  pattern, batch  0: none. In a transaction. */
void dw_book_entry_say(dw_book *book, dw_entry_kind kind, int64_t pattern, int64_t batch, const char *format,
                       ...) DW_PRINTF(5, 6);
/* What the last commit kept, in words; "" when it changed nothing. Until the next transaction begins. */
const char *dw_book_kept_words(const dw_book *book);

/* As dw_book_begin, for what is nobody's deed and is never taken back: a photo's picture kept aside. */
dw_status dw_book_begin_aside(dw_book *book, dw_error *err);

/* The entry that an undo would take back, or a redo bring back.  DW_NOT_FOUND there is none */
dw_status dw_entry_to_undo(dw_book *book, dw_entry *out, dw_error *err);
dw_status dw_entry_to_redo(dw_book *book, dw_entry *out, dw_error *err);
/* Take it back, or bring it back, in a transaction of its own; none may be open.
 * id   the entry that was named to the person, or 0 for whichever it is
 * out  what was taken or brought back, in its new state; may be NULL
 * Errors DW_REFUSED there is none, or it is not the one with that id any more; DW_CORRUPT the book's rows are
 * not as the entry left them (written by another program); DW_LOCKED, DW_IO.  On error nothing was changed */
dw_status dw_book_undo(dw_book *book, int64_t id, dw_entry *out, dw_error *err);
dw_status dw_book_redo(dw_book *book, int64_t id, dw_entry *out, dw_error *err);

/* Entries, the newest first.  pattern  0: of all.  most  how many; 0: all */
dw_status dw_entry_list(dw_book *book, int64_t pattern, size_t most, dw_entry **out, size_t *n,
                        dw_error *err);

/* Grows with every entry, undo and redo, never twice the same: what was read at one tick is still so while it
 * stands.  Cheap enough to be asked again and again. */
dw_status dw_book_tick(dw_book *book, int64_t *out, dw_error *err);

#endif
