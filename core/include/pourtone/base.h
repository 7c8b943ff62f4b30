/* Status codes, error text, arenas, checked sizes, text building, files and units.
 *
 * Nothing here keeps global state; every function is safe to call from any thread on distinct objects. */
#ifndef POURTONE_BASE_H
#define POURTONE_BASE_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#if defined(__GNUC__)
#define PT_PRINTF(fmt, first) __attribute__((format(printf, fmt, first)))
#else
#define PT_PRINTF(fmt, first)
#endif

/* ---- status ------------------------------------------------------------------------------------------- */

/* One line per status: name, exit code of the command line, what it means. */
#define PT_STATUS_TABLE(X)                                                                                   \
  X(PT_OK, 0, "done")                                                                                        \
  X(PT_REFUSED, 1, "the answer is no")                                                                       \
  X(PT_USAGE, 2, "wrong use")                                                                                \
  X(PT_BAD_INPUT, 2, "the input is not usable")                                                              \
  X(PT_UNSUPPORTED, 2, "the input is of a kind that is not supported")                                       \
  X(PT_TOO_LARGE, 2, "the input exceeds a limit")                                                            \
  X(PT_TOO_FEW, 2, "too little data to answer")                                                              \
  X(PT_NOT_FOUND, 2, "no such thing")                                                                        \
  X(PT_CORRUPT, 2, "the file is damaged")                                                                    \
  X(PT_PLUGIN, 3, "a plugin failed")                                                                         \
  X(PT_LOCKED, 3, "the book is in use")                                                                      \
  X(PT_IO, 3, "reading or writing failed")                                                                   \
  X(PT_NO_MEMORY, 3, "out of memory")                                                                        \
  X(PT_INTERNAL, 3, "a fault in the program")

typedef enum pt_status {
#define PT_STATUS_ENUM(name, exit_code, meaning) name,
  PT_STATUS_TABLE(PT_STATUS_ENUM)
#undef PT_STATUS_ENUM
      PT_STATUS_COUNT
} pt_status;

const char *pt_status_name(pt_status status); /* "PT_OK", for a library user's log; static */
int pt_status_exit_code(pt_status status);    /* 0, 1, 2 or 3 */

/* The caller's own; zero it or leave it: every setter overwrites it whole. */
typedef struct pt_error {
  pt_status code;
  char text[512]; /* one sentence for a person: the file or value at fault and what to do */
} pt_error;

/* Words the error where it is found. Returns code, so that `return pt_fail(err, PT_IO, "...")` reads well.
 * The text is UTF-8 without control characters whatever was put in ('?' stands for what is not), cut between
 * characters.
 * err  may be NULL */
pt_status pt_fail(pt_error *err, pt_status code, const char *format, ...) PT_PRINTF(3, 4);

/* PT_NO_MEMORY with its sentence; what  names the thing that did not fit ("the photo's pixels") */
pt_status pt_fail_memory(pt_error *err, const char *what);

/* ---- notes: warnings that travel with a result ----------------------------------------------------------
 */

enum { PT_NOTES_MAX = 8, PT_NOTE_TEXT = 200 };
typedef struct pt_notes {
  size_t n;
  char text[PT_NOTES_MAX][PT_NOTE_TEXT];
} pt_notes;

/* Appends one sentence, made fit as pt_fail's; a sentence already there is not repeated, and beyond
 * PT_NOTES_MAX it is dropped. */
void pt_note(pt_notes *notes, const char *format, ...) PT_PRINTF(2, 3);

/* ---- memory ---------------------------------------------------------------------------------------------
 */

/* False when the product or sum does not fit a size_t; *out is then unchanged. */
bool pt_size_mul(size_t a, size_t b, size_t *out);
bool pt_size_add(size_t a, size_t b, size_t *out);

typedef struct pt_arena pt_arena;

/* limit_bytes  the most the arena hands out in its life; 0 means no limit.  NULL when out of memory. */
pt_arena *pt_arena_new(size_t limit_bytes);
/* n objects of size bytes, zeroed, aligned for any type, living until pt_arena_free.
 * NULL when n * size overflows, exceeds the limit, or memory is out. */
void *pt_arena_take(pt_arena *arena, size_t n, size_t size);
void pt_arena_free(pt_arena *arena); /* NULL is fine */

/* ---- text -----------------------------------------------------------------------------------------------
 */

/* A growing text. Zero-initialise; after any failed append it is `failed` and stays as it was. */
typedef struct pt_text {
  char *data; /* NUL-terminated, owned; NULL while empty */
  size_t length, room;
  bool failed;
} pt_text;

void pt_text_add(pt_text *text, const char *format, ...) PT_PRINTF(2, 3);
void pt_text_put(pt_text *text, const char *bytes, size_t n);
void pt_text_html(pt_text *text, const char *plain); /* escapes & < > " ' */
void pt_text_base64(pt_text *text, const uint8_t *bytes, size_t n);
void pt_text_free(pt_text *text); /* leaves it zeroed, fit for reuse */

/* ---- parsing ---------------------------------------------------------------------------------------------
 */

/* A finite decimal number with '.' whatever the locale. *rest is set behind it. False: no number there. */
bool pt_parse_number(const char *text, const char **rest, double *out);
/* The whole text is one number between min and max. */
bool pt_parse_number_in(const char *text, double min, double max, double *out);
/* Exactly n numbers separated by commas (blanks around them are fine), nothing behind. */
bool pt_parse_numbers(const char *text, size_t n, double *out);
/* value as a person is shown it, to so many decimals; never minus zero. */
double pt_rounded(double value, int decimals);
/* Copies at most room-1 bytes, cut between characters; false when it had to cut. */
bool pt_copy_text(char *out, size_t room, const char *text);
/* A usable id: 1 to 47 characters of a-z, 0-9, '-' and '_', beginning with a letter or digit. */
bool pt_id_valid(const char *id);

/* ---- UTF-8 (RFC 3629) ------------------------------------------------------------------------------------
 */

/* Bytes (1 to 4) of the character that text, n bytes long, begins with; 0 when it begins with none.
 * code  its number, or NULL; unchanged when there is none */
size_t pt_utf8_character(const char *text, size_t n, uint32_t *code);
/* Where text is to be cut for at most n bytes: n, or less when a character would be cut in two. */
size_t pt_utf8_cut(const char *text, size_t n);
/* The whole text is UTF-8 without control characters. */
bool pt_utf8_plain(const char *text);

/* ---- files -----------------------------------------------------------------------------------------------
 */

/* Whole file into memory. limit_bytes refuses larger ones before reading.
 * *out owned by the caller (free); a NUL stands behind the last byte, not counted in *n.
 * Errors PT_NOT_FOUND, PT_IO, PT_TOO_LARGE, PT_NO_MEMORY */
pt_status pt_file_read(const char *path, size_t limit_bytes, char **out, size_t *n, pt_error *err);

/* Writes beside the place and renames, with fsync: the old file or the new one, never half of it. Links are
 * followed; the old file's mode stays, a new one's is as the umask has it. What is no file (a pipe, a device)
 * and this program's own output are written into as they are.
 * Errors PT_IO */
pt_status pt_file_write(const char *path, const void *bytes, size_t n, pt_error *err);

/* SHA-256 of a file as 64 hexadecimal digits and NUL.  Errors PT_NOT_FOUND, PT_IO */
pt_status pt_file_sha256(const char *path, char out[65], pt_error *err);
void pt_sha256(const void *bytes, size_t n, char out[65]);

/* ---- CSV (RFC 4180) ---------------------------------------------------------------------------------------
 */

typedef struct pt_csv pt_csv;
/* Parses text with a header line.  name is used in messages.  The text is copied.
 * Errors PT_BAD_INPUT with the line number, PT_TOO_LARGE over 1,000,000 lines, PT_NO_MEMORY */
pt_status pt_csv_parse(const char *text, size_t n, const char *name, pt_csv **out, pt_error *err);
size_t pt_csv_rows(const pt_csv *csv); /* without the header */
size_t pt_csv_columns(const pt_csv *csv);
/* Column of that name (letter case ignored, blanks trimmed), or -1. */
int pt_csv_column(const pt_csv *csv, const char *name);
const char *pt_csv_title(const pt_csv *csv, size_t column);
const char *pt_csv_cell(const pt_csv *csv, size_t row,
                        size_t column);            /* "" where the row is short; borrowed */
size_t pt_csv_line(const pt_csv *csv, size_t row); /* where the row stands in the file, from 1 */
/* Finite number in a cell, or PT_BAD_INPUT that names the file, line and column. */
pt_status pt_csv_number(const pt_csv *csv, size_t row, int column, double *out, pt_error *err);
void pt_csv_free(pt_csv *csv);

/* ---- units ------------------------------------------------------------------------------------------------
 */

#define PT_ML_PER_FLOZ                                                                                       \
  29.5735295625 /* US fluid ounce, exact by definition (NIST Handbook 44, appendix C)                        \
                 */
#define PT_MM_PER_INCH 25.4
#define PT_DROP_ML_DEFAULT 0.05 /* common practice, no source: a usual dropper tip gives 20 drops per ml */

double pt_fahrenheit_from_celsius(double c);

typedef enum pt_units { PT_UNITS_US, PT_UNITS_METRIC } pt_units;

#endif
