/* Status codes, error text, arenas, checked sizes, text building, files and units.
 *
 * Nothing here keeps global state; every function is safe to call from any thread on distinct objects. */
#ifndef DROPWISE_BASE_H
#define DROPWISE_BASE_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#if defined(__GNUC__)
#define DW_PRINTF(fmt, first) __attribute__((format(printf, fmt, first)))
#else
#define DW_PRINTF(fmt, first)
#endif

/* ---- status ------------------------------------------------------------------------------------------- */

/* One line per status: name, exit code of the command line, what it means. */
#define DW_STATUS_TABLE(X)                                                                                   \
  X(DW_OK, 0, "done")                                                                                        \
  X(DW_REFUSED, 1, "the answer is no")                                                                       \
  X(DW_USAGE, 2, "wrong use")                                                                                \
  X(DW_BAD_INPUT, 2, "the input is not usable")                                                              \
  X(DW_UNSUPPORTED, 2, "the input is of a kind that is not supported")                                       \
  X(DW_TOO_LARGE, 2, "the input exceeds a limit")                                                            \
  X(DW_TOO_FEW, 2, "too little data to answer")                                                              \
  X(DW_NOT_FOUND, 2, "no such thing")                                                                        \
  X(DW_CORRUPT, 2, "the file is damaged")                                                                    \
  X(DW_PLUGIN, 3, "a plugin failed")                                                                         \
  X(DW_LOCKED, 3, "the book is in use")                                                                      \
  X(DW_IO, 3, "reading or writing failed")                                                                   \
  X(DW_NO_MEMORY, 3, "out of memory")                                                                        \
  X(DW_INTERNAL, 3, "a fault in the program")

typedef enum dw_status {
#define DW_STATUS_ENUM(name, exit_code, meaning) name,
  DW_STATUS_TABLE(DW_STATUS_ENUM)
#undef DW_STATUS_ENUM
      DW_STATUS_COUNT
} dw_status;

const char *dw_status_name(dw_status status); /* "DW_OK", for a library user's log; static */
int dw_status_exit_code(dw_status status);    /* 0, 1, 2 or 3 */

/* The caller's own; zero it or leave it: every setter overwrites it whole. */
typedef struct dw_error {
  dw_status code;
  char text[512]; /* one sentence for a person: the file or value at fault and what to do */
} dw_error;

/* Words the error where it is found. Returns code, so that `return dw_fail(err, DW_IO, "...")` reads well.
 * The text is UTF-8 without control characters whatever was put in ('?' stands for what is not), cut between
 * characters; it ends as a sentence does.
 * err  may be NULL */
dw_status dw_fail(dw_error *err, dw_status code, const char *format, ...) DW_PRINTF(3, 4);

/* DW_NO_MEMORY with its sentence; what  names the thing that did not fit ("the photo's pixels") */
dw_status dw_fail_memory(dw_error *err, const char *what);

/* ---- notes: warnings that travel with a result ----------------------------------------------------------
 */

enum { DW_NOTES_MAX = 8, DW_NOTE_TEXT = 200 };
typedef struct dw_notes {
  size_t n;
  char text[DW_NOTES_MAX][DW_NOTE_TEXT];
} dw_notes;

/* Appends one sentence, made fit as dw_fail's; a sentence already there is not repeated, and beyond
 * DW_NOTES_MAX it is dropped. */
void dw_note(dw_notes *notes, const char *format, ...) DW_PRINTF(2, 3);
void dw_notes_add(dw_notes *notes, const dw_notes *more); /* each of them in the same way */

/* ---- memory ---------------------------------------------------------------------------------------------
 */

/* False when the product or sum does not fit a size_t; *out is then unchanged. */
bool dw_size_mul(size_t a, size_t b, size_t *out);
bool dw_size_add(size_t a, size_t b, size_t *out);

typedef struct dw_arena dw_arena;

/* limit_bytes  the most the arena hands out in its life; 0 means no limit.  NULL when out of memory. */
dw_arena *dw_arena_new(size_t limit_bytes);
/* n objects of size bytes, zeroed, aligned for any type, living until dw_arena_free.
 * NULL when n * size overflows, exceeds the limit, or memory is out. */
void *dw_arena_take(dw_arena *arena, size_t n, size_t size);
/* Takes over memory mapped elsewhere: unmapped by dw_arena_free. False (and the memory stays the caller's)
 * when bytes exceed the limit or memory is out. */
bool dw_arena_keep_mapped(dw_arena *arena, void *memory, size_t bytes);
void dw_arena_free(dw_arena *arena); /* NULL is fine */

/* ---- text -----------------------------------------------------------------------------------------------
 */

/* A growing text. Zero-initialise; after any failed append it is `failed` and stays as it was. */
typedef struct dw_text {
  char *data; /* NUL-terminated, owned; NULL while empty */
  size_t length, room;
  bool failed;
} dw_text;

void dw_text_add(dw_text *text, const char *format, ...) DW_PRINTF(2, 3);
void dw_text_put(dw_text *text, const char *bytes, size_t n);
void dw_text_html(dw_text *text, const char *plain); /* escapes & < > " ' */
void dw_text_base64(dw_text *text, const uint8_t *bytes, size_t n);
void dw_text_free(dw_text *text); /* leaves it zeroed, fit for reuse */
/* what  for messages: "A photo's preview";  *out  owned by the caller (free). Errors DW_BAD_INPUT */
dw_status dw_base64_decode(const char *text, size_t length, const char *what, uint8_t **out, size_t *n,
                           dw_error *err);

/* ---- parsing ---------------------------------------------------------------------------------------------
 */

/* A finite decimal number with '.' whatever the locale. *rest is set behind it. False: no number there. */
bool dw_parse_number(const char *text, const char **rest, double *out);
/* The whole text is one number between min and max. */
bool dw_parse_number_in(const char *text, double min, double max, double *out);
/* Exactly n numbers separated by commas (blanks around them are fine), nothing behind. */
bool dw_parse_numbers(const char *text, size_t n, double *out);
/* value as a person is shown it, to so many decimals; never minus zero. */
double dw_rounded(double value, int decimals);
/* Two hexadecimal digits for each byte, and NUL: 2 n + 1 bytes. */
void dw_hex(const uint8_t *bytes, size_t n, char *out);
/* Copies at most room-1 bytes, cut between characters; false when it had to cut. */
bool dw_copy_text(char *out, size_t room, const char *text);
enum { DW_ID_ROOM = 48, DW_TITLE_ROOM = 96 }; /* of ids and titles, their NUL counted */
/* "NAME" or "NAME=VALUE" apart, as a person types it; *value borrows from text, NULL without one.  False without
 * a name, or with one that is too long. */
bool dw_split_named(const char *text, char name[DW_ID_ROOM], const char **value);
/* A usable id: 1 to 47 characters of a-z, 0-9, '-' and '_', beginning with a letter or digit. */
bool dw_id_valid(const char *id);

/* ---- UTF-8 (RFC 3629) ------------------------------------------------------------------------------------
 */

/* Bytes (1 to 4) of the character that text, n bytes long, begins with; 0 when it begins with none.
 * code  its number, or NULL; unchanged when there is none */
size_t dw_utf8_character(const char *text, size_t n, uint32_t *code);
/* Where text is to be cut for at most n bytes: n, or less when a character would be cut in two. */
size_t dw_utf8_cut(const char *text, size_t n);
/* The whole text is UTF-8 without control characters. */
bool dw_utf8_plain(const char *text);

/* ---- files -----------------------------------------------------------------------------------------------
 */

/* What it is that open() failed with this errno: DW_NOT_FOUND, DW_BAD_INPUT (the name leads nowhere), DW_IO. */
dw_status dw_open_status(int fault);
/* Whole file into memory. limit_bytes refuses larger ones before reading; a pipe that nobody writes to is refused after
 * five seconds.
 * *out owned by the caller (free); a NUL stands behind the last byte, not counted in *n.
 * Errors DW_NOT_FOUND, DW_BAD_INPUT, DW_IO, DW_TOO_LARGE, DW_NO_MEMORY */
dw_status dw_file_read(const char *path, size_t limit_bytes, char **out, size_t *n, dw_error *err);

/* Writes beside the place and renames, with fsync: the old file or the new one, never half of it. Links are
 * followed; the old file's mode stays, a new one's is as the umask has it. What is no file (a pipe, a device)
 * and this program's own output are written into as they are.
 * Errors DW_IO */
dw_status dw_file_write(const char *path, const void *bytes, size_t n, dw_error *err);

/* The path of something of the user's own: $XDG_DATA_HOME/dropwise/NAME, else ~/.local/share/dropwise/NAME.
 * Errors DW_NOT_FOUND no home folder; DW_USAGE its path is too long */
dw_status dw_user_data_path(const char *name, char *out, size_t room, dw_error *err);
/* The path of a file that lies in the running program's own folder; false when it is not there to be used, or
 * the path does not fit. */
bool dw_beside_program(const char *name, char *out, size_t room);

enum { DW_SHA256_ROOM = 65 };
/* SHA-256 of a file as 64 hexadecimal digits and NUL.  Errors DW_NOT_FOUND, DW_IO */
dw_status dw_file_sha256(const char *path, char out[DW_SHA256_ROOM], dw_error *err);
void dw_sha256(const void *bytes, size_t n, char out[DW_SHA256_ROOM]);
bool dw_sha256_valid(const char *text); /* has such a form */

/* ---- CSV (RFC 4180) ---------------------------------------------------------------------------------------
 */

typedef struct dw_csv dw_csv;
/* Parses text with a header line.  name is used in messages.  The text is copied.
 * Errors DW_BAD_INPUT with the line number, DW_TOO_LARGE over 1,000,000 lines, DW_NO_MEMORY */
dw_status dw_csv_parse(const char *text, size_t n, const char *name, dw_csv **out, dw_error *err);
size_t dw_csv_rows(const dw_csv *csv); /* without the header */
size_t dw_csv_columns(const dw_csv *csv);
/* Column of that name (letter case ignored, blanks trimmed), or -1. */
int dw_csv_column(const dw_csv *csv, const char *name);
const char *dw_csv_title(const dw_csv *csv, size_t column);
const char *dw_csv_cell(const dw_csv *csv, size_t row,
                        size_t column); /* "" where the row is short; borrowed */
/* The last line has no end: the file may be cut. */
bool dw_csv_may_be_cut(const dw_csv *csv);
size_t dw_csv_line(const dw_csv *csv, size_t row); /* where the row stands in the file, from 1 */
/* Finite number in a cell, or DW_BAD_INPUT that names the file, line and column. */
dw_status dw_csv_number(const dw_csv *csv, size_t row, int column, double *out, dw_error *err);
void dw_csv_free(dw_csv *csv);

/* ---- units ------------------------------------------------------------------------------------------------
 */

#define DW_ML_PER_FLOZ                                                                                       \
  29.5735295625 /* US fluid ounce, exact by definition (NIST Handbook 44, appendix C)                        \
                 */
#define DW_MM_PER_INCH 25.4
/* What a drop may have, wherever one is told: 1000 drops a ml down to half a drop. */
#define DW_DROP_ML_MIN 0.001
#define DW_DROP_ML_MAX 2.0
#define DW_DROP_ML_DEFAULT 0.05 /* common practice, no source: a usual dropper tip gives 20 drops per ml */

double dw_fahrenheit_from_celsius(double c);
double dw_celsius_from_fahrenheit(double f);

typedef enum dw_units { DW_UNITS_US, DW_UNITS_METRIC } dw_units;

/* A volume with its unit, whatever its case and blanks: ml, l, floz (fl oz, fl. oz.), cup, pt, qt, gal, these
 * of the US; a plain number is in the units in force: fl oz or ml. False: it is no volume; nothing is
 * changed. units  in force; set to those of the text */
bool dw_parse_volume(const char *text, dw_units *units, double *floz);
/* The same, within a range. what  what the volume is called in the sentence.  Errors DW_USAGE */
dw_status dw_volume_within(const char *what, const char *text, dw_units units, double min_floz,
                           double max_floz, double *floz, dw_error *err);
/* The same of a temperature: F or C, with or without a degree sign. */
bool dw_parse_temperature(const char *text, dw_units *units, double *fahrenheit);
/* A difference of two temperatures in the same way: 5C is 9F. */
bool dw_parse_temperature_step(const char *text, dw_units *units, double *fahrenheit);

#define DW_FAHRENHEIT_PER_CELSIUS 1.8 /* of a difference (NIST SP 811, appendix B.8) */
/* "340 F", or "171 C" */
const char *dw_temperature_text(double fahrenheit, dw_units units, char *out, size_t room);
/* The same of a difference, with a decimal where it has one. */
const char *dw_temperature_step_text(double fahrenheit, dw_units units, char *out, size_t room);

#endif
