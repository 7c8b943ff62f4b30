/* The book: patterns with their layers, targets with their history, tones. */
#ifndef POURTONE_BOOK_AIMS_H
#define POURTONE_BOOK_AIMS_H

#include "pourtone/book.h"

/* ---- patterns ------------------------------------------------------------------------------------------ */

enum { PT_PATTERN_NAME_ROOM = 64, PT_PATTERN_LAYERS_MAX = 8 };

typedef enum pt_target_how {
  PT_TARGET_PHOTO,
  PT_TARGET_PHOTOS,
  PT_TARGET_NUMBERS,
  PT_TARGET_LAYER
} pt_target_how;
const char *pt_target_how_words(pt_target_how how); /* "from a photo" */

typedef struct pt_pattern_layer {
  int64_t id;
  char name[PT_ID_ROOM];
  double see_through; /* wanted contrast ratio, or -1 */
  bool has_target;
  pt_lab target;
  double target_uncertainty_de00;
  pt_target_how target_how;
  char target_since[PT_TIME_ROOM];
  bool target_no_card; /* from photos of which one at least had no card and no gray patch */
} pt_pattern_layer;

typedef struct pt_pattern {
  int64_t id;
  char name[PT_PATTERN_NAME_ROOM];
  char note[PT_BOOK_NOTE_ROOM];
  char created[PT_TIME_ROOM];
  size_t batches;
  size_t n;
  pt_pattern_layer layer[PT_PATTERN_LAYERS_MAX]; /* in order, back first */
} pt_pattern;

/* In a transaction: add, rename, set and remove.
 * Errors PT_BAD_INPUT a name or note that is empty, too long, or there already; PT_NOT_FOUND */
pt_status pt_pattern_add(pt_book *book, const char *name, const char *note, const char *const *layers,
                         size_t n, int64_t *id, pt_error *err);
pt_status pt_pattern_rename(pt_book *book, int64_t id, const char *name, pt_error *err);
pt_status pt_pattern_set_note(pt_book *book, int64_t id, const char *note, pt_error *err);
/* contrast_ratio -1 takes the wish back */
pt_status pt_pattern_set_see_through(pt_book *book, int64_t layer, double contrast_ratio, pt_error *err);
/* With its targets, batches, readings and work. */
pt_status pt_pattern_remove(pt_book *book, int64_t id, pt_error *err);
pt_status pt_pattern_find(pt_book *book, const char *name, pt_pattern *out, pt_error *err);
pt_status pt_pattern_get(pt_book *book, int64_t id, pt_pattern *out, pt_error *err);
/* By name. */
pt_status pt_pattern_list(pt_book *book, pt_pattern **out, size_t *n, pt_error *err);
/* The layer of that name; PT_NOT_FOUND lists the layers that there are. */
pt_status pt_pattern_layer_find(const pt_pattern *pattern, const char *name, const pt_pattern_layer **out,
                                pt_error *err);

/* ---- targets ------------------------------------------------------------------------------------------- */

typedef struct pt_target {
  pt_lab lab;
  double uncertainty_de00; /* of its reading, or the spread of several; 0 for numbers */
  pt_target_how how;
  int64_t photo;      /* its row, or 0 */
  const char *detail; /* JSON object: marks and light of the photos, or the layer it was taken from (with
                         "no_card"); NULL: {} */
} pt_target;
/* "No card: this target can be off by 6."; "" for one that is well known. */
void pt_target_doubt_words(bool no_card, double uncertainty_de00, char *out, size_t room);
/* Sets a layer's target; the one before stays as history. In a transaction.
 * Errors PT_BAD_INPUT a color out of range, a detail that is no JSON object */
pt_status pt_target_set(pt_book *book, int64_t layer, const pt_target *target, pt_error *err);

typedef struct pt_target_past {
  int64_t id;
  pt_lab lab;
  double uncertainty_de00;
  pt_target_how how;
  char created[PT_TIME_ROOM];
  char photo[PT_SHA256_ROOM]; /* "" without one */
  bool no_card;               /* as pt_pattern_layer's */
  char *detail;               /* JSON, whole; owned by the list */
} pt_target_past;
/* Newest first; *out by pt_target_history_free. */
pt_status pt_target_history(pt_book *book, int64_t layer, pt_target_past **out, size_t *n, pt_error *err);
void pt_target_history_free(pt_target_past *list, size_t n); /* NULL is fine */

/* ---- tones: the range of natural colors for a layer ---------------------------------------------------- */

enum { PT_TONE_NAME_ROOM = 64, PT_TONE_COLORS_MAX = 500 };

typedef struct pt_tone {
  int64_t id;
  char name[PT_TONE_NAME_ROOM];
  char note[PT_BOOK_NOTE_ROOM];
  bool invented; /* a sample of ours, not from an animal */
  char created[PT_TIME_ROOM];
  size_t n; /* colors */
} pt_tone;

/* In a transaction: add, color_add, remove. */
pt_status pt_tone_add(pt_book *book, const char *name, const char *note, bool invented, int64_t *id,
                      pt_error *err);
/* photo 0: from numbers.  detail as in pt_target.  Errors PT_TOO_LARGE over PT_TONE_COLORS_MAX */
pt_status pt_tone_color_add(pt_book *book, int64_t tone, pt_lab lab, int64_t photo, const char *detail,
                            pt_error *err);
pt_status pt_tone_remove(pt_book *book, int64_t id, pt_error *err);
pt_status pt_tone_find(pt_book *book, const char *name, pt_tone *out, pt_error *err);
pt_status pt_tone_list(pt_book *book, pt_tone **out, size_t *n, pt_error *err);
/* Its colors, in the order they were added. */
pt_status pt_tone_colors(pt_book *book, int64_t id, pt_lab **out, size_t *n, pt_error *err);

#endif
